// The course of a heat run as a strip of its stages, each as wide as it is long, with what is over and what is now in words and
// shape; below it the numbers that matter meanwhile. It shows; it decides nothing.

import type { Frame } from "../../daemon/wire/frame.ts";
import { type HeatRunStage, type LiveStage, STAGE_SECONDS, type WireHeatRun } from "../../daemon/wire/heat-run.ts";
import { type Figures, joined } from "../figures.ts";
import { heatRun as words } from "../strings/heat-run.ts";
import { strings } from "../strings.ts";

const ORDER: readonly LiveStage[] = ["prepare", "key-down", "fan-off", "cool-down"];
/** Widths as of minutes; the strip's own rule keeps the short ones readable. */
const minutes = (stage: LiveStage): number => STAGE_SECONDS[stage] / 60;

/** A run is being recorded. */
export const isLive = (stage: HeatRunStage): stage is LiveStage => stage in STAGE_SECONDS;

export function CourseStrip({ run, fanOff }: { readonly run: WireHeatRun; readonly fanOff: boolean }) {
  const stages = ORDER.filter((stage) => stage !== "fan-off" || fanOff);
  const now = isLive(run.stage) ? stages.indexOf(run.stage) : run.stage === "idle" ? -1 : stages.length;
  return (
    <ol class="course" aria-label={words.courseTitle}>
      {stages.map((stage, index) => {
        const share =
          index < now ? 1 : index > now ? 0 : Math.min(1, run.stage_seconds / Math.max(1, run.target_seconds));
        return (
          <li
            key={stage}
            class={index === now ? "course-now" : undefined}
            aria-current={index === now ? "step" : undefined}
            style={{ flexGrow: minutes(stage) }}
          >
            <span class="course-bar">
              <span style={{ width: `${share * 100}%` }} />
            </span>
            <span class="course-name">{words.course[stage]}</span>{" "}
            <span class="note">{index < now ? words.isOver : words.courseMinutes(String(minutes(stage)))}</span>
          </li>
        );
      })}
    </ol>
  );
}

/** Core, outlet, fan and drive as they are now. */
export function RunNumbers({ frame, figures }: { readonly frame: Frame; readonly figures: Figures }) {
  const of = (name: keyof Frame["quantities"]): number | null => frame.quantities[name]?.value ?? null;
  const celsius = (value: number | null, digits: number): string =>
    value === null ? strings.drawing.noReading : joined(figures.temperature(value, digits));
  const [drive, fan] = [of("drive_watts"), of("fan_rpm")];
  const rows = [
    [words.live.core, celsius(of("core_celsius"), 0)],
    [words.live.upper, celsius(of("core_upper_celsius"), 0)],
    [words.live.outlet, celsius(of("outlet_celsius"), 1)],
    [words.live.fan, fan === null ? strings.drawing.noReading : joined(figures.speed(fan))],
    [words.live.drive, drive === null ? strings.drawing.noReading : joined(figures.power(drive))],
  ] as const;
  return (
    <dl class="run-numbers">
      {rows.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}
