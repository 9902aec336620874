// The facts of tachometer and daemon as pairs of words, and everything as the plain text that may go to a friend: no name
// of the feedpoint, no address, no path.

import type { Check, HardwareHealth } from "../../daemon/wire/check.ts";
import type { About, Frame } from "../../daemon/wire/frame.ts";
import { type Figures, joined } from "../figures.ts";
import { strings } from "../strings.ts";
import { perThousand } from "./troubles.ts";

const words = strings.check;
export type Fact = readonly [string, string];

const milliseconds = (seconds: number | null): string =>
  seconds === null ? words.notKnown : `${Math.round(seconds * 1000)}\u00a0ms`;
const ratio = (value: number | null, figures: Figures): string =>
  value === null ? words.notKnown : joined(figures.ratio(value));

/** How the tachometer reads. */
export function tachFacts(tach: NonNullable<Check["tach"]>, figures: Figures): readonly Fact[] {
  return [
    [strings.drawing.fan, tach.rpm === null ? words.notKnown : joined(figures.speed(tach.rpm))],
    [words.regularity, ratio(tach.regularity, figures)],
    [words.rejected, String(tach.rejected_edges)],
    [words.lost, tach.lost_edges === null ? words.notKnown : String(tach.lost_edges)],
  ];
}

function rigFacts({ rig, rig_link_age_seconds: age }: Check, figures: Figures): readonly Fact[] {
  const link = age === null ? words.noRig : `${Math.round(age)}\u00a0s`;
  if (rig === null) return [[words.rig, link]];
  const { trouble, power_ratio: power, found_ratio: found } = rig;
  const setting = power === null ? words.notKnown : joined(figures.ratio(power));
  return [
    [words.rig, trouble === null ? link : `${link}: ${trouble}`],
    [words.rigPower, found === null ? setting : `${setting}, ${words.lowered(joined(figures.ratio(found)))}`],
  ];
}

/** Who tells of the drive, best first, and how far apart they are. */
export function driveFacts({ drive_sources, drive_power_ratio, swr }: Check, figures: Figures): readonly Fact[] {
  return [
    ...drive_sources.map(({ name, watts, code, transmitting, used }): Fact => {
      const power = watts === null ? strings.drawing.code(code) : joined(figures.power(watts));
      const key =
        transmitting === null ? null : transmitting ? strings.drawing.transmitting : strings.drawing.receiving;
      const said = [power, key, used ? words.driveUsed : null].filter((part) => part !== null && part !== "");
      return [words.driveSource(name), said.length === 0 ? words.notKnown : said.join(", ")];
    }),
    ...(drive_sources.length === 0 ? [[words.drive, words.driveNobody] as const] : []),
    ...(drive_power_ratio === null ? [] : [[words.driveApart, `${drive_power_ratio}\u00a0×`] as const]),
    ...(swr === null ? [] : [[words.swr, swr.toFixed(1)] as const]),
  ];
}

/** Program, cycle, log, clock, and every link outward that is configured. */
export function daemonFacts(check: Check, figures: Figures): readonly Fact[] {
  const { hardware, log } = check;
  return [
    [words.version, `${check.version}, Node ${check.node}`],
    ...(hardware === null
      ? []
      : ([
          [words.uptime, joined(figures.duration(hardware.uptime_seconds))],
          [words.memory, `${Math.round(hardware.resident_bytes / 1e6)}\u00a0MB`],
          [words.restarts, `${hardware.service_restarts}\u00a0×`],
        ] as const)),
    [words.cycle, milliseconds(check.cycle_seconds)],
    [words.late, milliseconds(check.cycle_late_seconds)],
    [words.log, log.writable ? words.written : words.notWritten],
    [words.disk, ratio(log.disk_free_ratio, figures)],
    [words.clock, check.wall_trusted ? words.trusted : words.untrusted],
    ...rigFacts(check, figures),
    ...check.notices.map(({ name, waiting, failures, delivered_seconds_ago: ago }): Fact => {
      const delivered = words.noticesDelivered(ago === null ? null : joined(figures.duration(ago)));
      return [words.noticesTo(name), `${words.noticesFact(waiting, failures)}; ${delivered}`];
    }),
    ...(check.mqtt === null
      ? []
      : ([
          [words.broker, words.brokerFact(check.mqtt.connected, check.mqtt.trouble, check.mqtt.record_waiting)],
        ] as const)),
  ];
}

/** A rate with one decimal, or a dash where nothing was counted. */
export function rateText(errors: number, sweeps: number): string {
  const rate = perThousand(errors, sweeps);
  return rate === null ? words.noCycles : rate.toFixed(1);
}

function hardwareLines({ parts, buses, sweeps }: HardwareHealth): readonly string[] {
  return [
    `${words.partsCaption}:`,
    ...parts.map(({ name, part, place, errors }) => {
      const rate = (side: "receiving" | "transmitting"): string =>
        rateText(
          errors.reduce((sum, count) => sum + count[side], 0),
          sweeps[side],
        );
      const codes = errors.map(({ code }) => strings.drawing.code(code)).join("; ");
      return `  ${name} (${part}, ${place}): ${rate("receiving")} / ${rate("transmitting")} ${codes}`.trimEnd();
    }),
    ...buses.map(({ bus, transfers, retries, reopens, errors, stuck }) => {
      const counts = `${transfers} ${words.transfers}, ${retries} ${words.retries}, ${reopens} ${words.reopens}`;
      return `  ${bus}: ${counts}, ${errors} ${words.errors}, ${stuck ? words.stuck : words.free}`;
    }),
  ];
}

/** Everything as plain text, a fact a line. */
export function factsText(check: Check, frame: Frame, figures: Figures, about: About | null): string {
  const facts = [
    ...(check.tach === null ? [] : tachFacts(check.tach, figures)),
    ...driveFacts(check, figures),
    ...daemonFacts(check, figures),
  ];
  const stage = `${strings.stage.title}: ${strings.stage.names[frame.power_stage]}`;
  const lines = [
    words.friendHead(check.version),
    ...(about?.simulated === true ? [strings.simulated(about.speed)] : []),
    "",
    ...(check.hardware === null ? [] : hardwareLines(check.hardware)),
    ...facts.map(([name, value]) => `${name}: ${value}`),
    [stage, ...frame.alarms.map(({ tag }) => strings.alarmView.name(tag))].join(", "),
  ];
  return lines.join("\n").replaceAll("\u00a0", " ");
}
