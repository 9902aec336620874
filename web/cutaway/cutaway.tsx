// The cutaway drawing: the box in section with its air, core and fan, and each number written where it is measured.
// It draws what the frame says, however bad, and never keeps an older number alive.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { About, Frame } from "../../daemon/wire/frame.ts";
import type { Figures } from "../figures.ts";
import { heatColour, heatPosition } from "../heat-scale.ts";
import type { Freshness } from "../model.ts";
import type { Look } from "../preferences.ts";
import { strings } from "../strings.ts";
import { BoxBack, BoxFront } from "./box.tsx";
import { Callouts, Leaders } from "./callouts.tsx";
import { Core } from "./core.tsx";
import { AirStream, Rotor } from "./motion.tsx";
import { readouts, spokenDrawing } from "./readout.ts";
import { ScaleBar, ScaleText } from "./scale-bar.tsx";
import { SHEETS, type Sheet } from "./sheet.ts";

export type CutawayProps = {
  readonly frame: Frame;
  readonly about: About;
  readonly figures: Figures;
  readonly look: Look;
  readonly moving: boolean;
  readonly fresh: Freshness;
  readonly ageSeconds: number | null;
};

/** Below this width, CSS pixels, the narrow sheet is drawn. */
const NARROW_PIXELS = 620;
/** Airflow that moves the streaks at their nominal speed, m³/s: a small fan behind louvres. */
const NOMINAL_AIRFLOW = 0.004;
const USUAL_RPM = 2500;

function useSheet() {
  const figure = useRef<HTMLDivElement>(null);
  const sheet = useSignal<Sheet>(SHEETS.wide);
  useEffect(() => {
    const element = figure.current;
    if (element === null) return;
    const choose = (width: number): void => {
      sheet.value = width < NARROW_PIXELS ? SHEETS.narrow : SHEETS.wide;
    };
    choose(element.clientWidth);
    const observer = new ResizeObserver(([entry]) => {
      if (entry !== undefined) choose(entry.contentRect.width);
    });
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return { figure, sheet: sheet.value };
}

/** How fast the rotor is drawn; null where the speed is not believed. */
function rotorRate(frame: Frame, about: About): number | null {
  if (frame.fan === "stalled" || frame.fan === "off on purpose") return 0;
  const rpm = frame.quantities.fan_rpm?.value ?? null;
  if (rpm === null || frame.fan === "doubtful" || frame.fan === "unknown") return null;
  return Math.min(1.6, rpm / (about.fan_nominal_rpm ?? USUAL_RPM));
}

function airRate(frame: Frame): number | null {
  const airflow = frame.quantities.airflow_cubic_meters_per_second?.value ?? null;
  // The root keeps a small box's air moving and a large box's air calm.
  return airflow === null ? null : Math.min(1.6, Math.sqrt(Math.max(0, airflow) / NOMINAL_AIRFLOW));
}

export function Cutaway({ frame, about, figures, look, moving, fresh, ageSeconds }: CutawayProps) {
  const { figure, sheet } = useSheet();
  const written = readouts(frame, figures);
  const core = frame.quantities.core_celsius?.value ?? null;
  const upper = frame.quantities.core_upper_celsius?.value ?? null;
  const known = fresh === "fresh" || fresh === "stale";
  const runs = moving && fresh === "fresh";
  const heat = core === null || !known ? null : heatColour(heatPosition(core, about.limit_celsius), look);
  const viewBox = `0 0 ${sheet.width} ${sheet.height}`;
  const box = `translate(${sheet.origin[0]} ${sheet.origin[1]}) scale(${sheet.scale})`;
  return (
    <div
      ref={figure}
      class={`cutaway sheet-${sheet.name} age-${fresh}${heat === null ? " heat-unknown" : ""}`}
      role="img"
      aria-label={spokenDrawing(written, frame, ageSeconds)}
      style={{ aspectRatio: `${sheet.width} / ${sheet.height}`, ...(heat === null ? {} : { "--heat": heat }) }}
    >
      <svg viewBox={viewBox} aria-hidden="true">
        <g transform={box}>
          <BoxBack />
        </g>
      </svg>
      <AirStream sheet={sheet} moving={runs} rate={airRate(frame)} />
      <svg viewBox={viewBox} aria-hidden="true">
        <defs>
          <pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <rect class="hatch-ground" width="7" height="7" />
            <line class="hatch-line" x1="0" y1="0" x2="0" y2="7" />
          </pattern>
        </defs>
        <g transform={box}>
          <Core toroids={about.toroids} />
          <BoxFront />
        </g>
        <ScaleBar
          sheet={sheet}
          look={look}
          limitCelsius={about.limit_celsius}
          reduceCelsius={about.reduce_celsius}
          coreCelsius={known ? core : null}
          upperCelsius={known ? upper : null}
        />
      </svg>
      <Rotor sheet={sheet} moving={runs} rate={rotorRate(frame, about)} halted={frame.fan === "stalled"} />
      <svg viewBox={viewBox} aria-hidden="true">
        <Leaders sheet={sheet} readouts={written} />
      </svg>
      <Callouts sheet={sheet} readouts={written} />
      <ScaleText
        sheet={sheet}
        figures={figures}
        limitCelsius={about.limit_celsius}
        reduceCelsius={about.reduce_celsius}
      />
      <div
        class="wire-note"
        style={{
          left: `${(sheet.wireLabel[0] / sheet.width) * 100}%`,
          top: `${(sheet.wireLabel[1] / sheet.height) * 100}%`,
        }}
      >
        {strings.drawing.wire}
      </div>
    </div>
  );
}
