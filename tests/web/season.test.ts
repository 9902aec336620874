// The Season view's pure parts: the sentence out of trends, the grid of hours, zoom arithmetic, comma-separated values.

import { describe, expect, it } from "vitest";
import type { SeasonHour, SeasonReview, SessionSummary, Summary, Wear } from "../../daemon/wire/season.ts";
import { figuresFor } from "../../web/figures.ts";
import { DEFAULT_PREFERENCES } from "../../web/preferences.ts";
import { dayOf, gridOf, monthStarts } from "../../web/season/calendar.ts";
import { changeOf, hotterKelvin, workingRiseKelvin } from "../../web/season/change.ts";
import { usualPair } from "../../web/season/compare.tsx";
import { csv, field, hoursCsv, wearCsv } from "../../web/season/csv.ts";
import { boxOf, cellAt, shapeOf } from "../../web/season/map-paint.ts";
import { seasonSays } from "../../web/season/says.ts";
import { afterKey, roundTicks, within, zoomed } from "../../web/season/span.ts";
import { hourlyPeaks } from "../../web/season/trace-table.tsx";

const figures = figuresFor(DEFAULT_PREFERENCES, "en-GB");
const DAY = 86_400;
/** 1 May 2026, 00:00 UTC. */
const MAY = Date.UTC(2026, 4, 1) / 1000;

const NOTHING: Summary = {
  known_seconds: 0,
  transmitting_seconds: 0,
  overs: 0,
  duty_ratio: null,
  drive_joules: 0,
  heat_joules: 0,
  peak_core_celsius: null,
  peak_core_upper_celsius: null,
  seconds_above: [],
  reduced_seconds: 0,
  inhibited_seconds: 0,
  sensor_errors_receiving: 0,
  sensor_errors_transmitting: 0,
  bands: [],
};

/** Sixty days, with `early` in the first half and `late` in the second, and a scatter of ±`scatter`. */
function wear(quantity: string, early: number, late: number, scatter: number, rest: Partial<Wear> = {}): Wear {
  return {
    quantity,
    name: quantity,
    unit: "",
    points: Array.from({ length: 60 }, (_, day) => [
      MAY + (day + 0.5) * DAY,
      (day < 30 ? early : late) + scatter * ((day % 3) - 1),
    ]),
    steps: [],
    trend: null,
    alarm_value: null,
    days_to_alarm: null,
    sentence: "",
    ...rest,
  };
}

/** Days that rest at 15 °C and are on the air at 20:00 with 65 °C. */
const hours: readonly SeasonHour[] = Array.from({ length: 60 * 24 }, (_, index) => ({
  hour: MAY / 3600 + index,
  peak_core_celsius: index % 24 === 20 ? 65 : 15,
  transmitting_seconds: index % 24 === 20 ? 1200 : 0,
  heat_joules: index % 24 === 20 ? 36_000 : 0,
}));

const review = (wears: readonly Wear[], rest: Partial<SeasonReview> = {}): SeasonReview => ({
  name: "Orchard gate",
  simulated: true,
  demo: false,
  imported: false,
  from_seconds: MAY,
  to_seconds: MAY + 60 * DAY,
  utc_offset_seconds: 0,
  sentence: "",
  total: NOTHING,
  days: [],
  hours,
  cycles: [],
  wear: wears,
  fan: { turning_hours: 0, weighted_hours: 0, starts: 0, rule: "" },
  sessions: [],
  notes: [],
  ...rest,
});

describe("the sentence", () => {
  it("says by how much the core runs hotter for the same loss, since when, and what the fan does", () => {
    // Airflow 0.94 × 0.96 = 0.9024 of what it was: 50 K × (0.9024^-0.6 − 1) = 3.2 K, by hand.
    const said = seasonSays(
      review([wear("flow_factor", 1, 0.94, 0.002), wear("fan_rpm_per_volt", 900, 864, 1)]),
      figures,
    );
    expect(said.text).toBe("The core runs 3\u00a0K hotter for the same loss than in May; the fan is 4\u00a0% slower.");
    expect(said.tone).toBe("calm");
  });

  it("takes scatter for scatter", () => {
    const said = seasonSays(
      review([wear("flow_factor", 1, 0.99, 0.1), wear("fan_rpm_per_volt", 900, 880, 60)]),
      figures,
    );
    expect(said.text).toBe("The core runs as warm for the same loss as in May; the fan is as fast as then.");
  });

  it("names the band that turns more drive into heat, and what reaches its alarm soonest first", () => {
    const said = seasonSays(
      review([
        wear("loss_factor 80 m", 1, 1.09, 0.004, { name: "loss factor on 80 m", days_to_alarm: 300 }),
        wear("loss_factor 40 m", 1, 1.02, 0.002),
        wear("flow_factor", 1, 1, 0.002, { name: "flow factor", days_to_alarm: 20 }),
      ]),
      figures,
    );
    expect(said.text).toContain("80\u00a0m turns 9\u00a0% more of the drive into heat");
    expect(said.notes).toEqual([
      "At this pace the flow factor will reach its alarm in 3 weeks.",
      "At this pace the loss factor on 80 m will reach its alarm in 10 months.",
    ]);
    expect(said.tone).toBe("act");
  });

  it("does not judge an empty or a young season", () => {
    expect(seasonSays(review([], { hours: [] }), figures).text).toBe("Nothing is logged yet.");
    const young = wear("flow_factor", 1, 0.5, 0);
    expect(seasonSays(review([{ ...young, points: young.points.slice(0, 9) }]), figures).text).toContain("too early");
  });

  it("rests on changes that are more than scatter and on the rise of the working hours", () => {
    expect(changeOf(wear("x", 10, 11, 0.1))).toMatchObject({ before: 10, now: 11, telling: true });
    expect(changeOf(wear("x", 10, 10.01, 1))?.telling).toBe(false);
    expect(workingRiseKelvin(review([]))).toBe(50);
    expect(hotterKelvin(50, 1)).toBe(0);
    expect(hotterKelvin(50, 0.5)).toBeCloseTo(50 * (2 ** 0.6 - 1), 9);
  });
});

describe("the grid of hours", () => {
  it("puts each hour at its local day and hour", () => {
    const offset = -5 * 3600;
    const grid = gridOf({ hours, utc_offset_seconds: offset });
    expect(grid.days).toBe(61);
    expect(grid.firstDay).toBe(dayOf(MAY, offset));
    // 20:00 UTC is 15:00 five hours west.
    expect(grid.cells[24 + 15]?.peak_core_celsius).toBe(65);
    expect(grid.cells[0]).toBeNull();
    expect(
      monthStarts(grid).map((day) => new Date((grid.firstDay + day) * DAY * 1000).toISOString().slice(0, 10)),
    ).toEqual(["2026-05-01", "2026-06-01"]);
  });

  it.each([360, 1280])("finds under the pointer the cell that was painted there, %d px", (width) => {
    const shape = shapeOf(60, width);
    for (const index of [0, 25, 700, 60 * 24 - 1]) {
      const [left, top, wide, high] = boxOf(index, shape);
      expect(cellAt(left + wide / 2, top + high / 2, 60, shape)).toBe(index);
    }
    expect(shape.width).toBeLessThanOrEqual(width);
  });
});

describe("zoom", () => {
  const whole = { from: 0, to: 100 };
  it("stays inside the whole and never below the shortest", () => {
    expect(within({ from: -20, to: 10 }, whole, 5)).toEqual({ from: 0, to: 30 });
    expect(within({ from: 99, to: 99.5 }, whole, 5)).toEqual({ from: 95, to: 100 });
    expect(within({ from: -500, to: 500 }, whole, 5)).toEqual(whole);
    expect(zoomed(whole, 0.5)).toEqual({ from: 25, to: 75 });
  });
  it("answers its keys and leaves the others alone", () => {
    expect(afterKey("+", whole, whole)).toEqual({ from: 25, to: 75 });
    expect(afterKey("ArrowRight", { from: 20, to: 40 }, whole)).toEqual({ from: 25, to: 45 });
    expect(afterKey("0", { from: 20, to: 40 }, whole)).toEqual(whole);
    expect(afterKey("Tab", whole, whole)).toBeNull();
  });
  it("writes round numbers on the axis", () => {
    expect(roundTicks(0.93, 1.07, 4)).toEqual([0.95, 1, 1.05]);
    expect(roundTicks(0, 100, 5)).toEqual([0, 20, 40, 60, 80, 100]);
  });
});

describe("comma-separated values (RFC 4180)", () => {
  it("ends lines with CRLF and quotes commas, quotes and line ends (2.1, 2.6, 2.7)", () => {
    expect(csv([["aaa", 'b"bb', "c,c"]])).toBe('aaa,"b""bb","c,c"\r\n');
    expect(field("two\nlines")).toBe('"two\nlines"');
    expect(field(null)).toBe("");
  });
  it("says in every row that it is simulated, in SI units", () => {
    const lines = hoursCsv(review([])).split("\r\n");
    expect(lines[0]).toBe("time,peak_core_celsius,transmitting_seconds,heat_joules,origin");
    expect(lines[21]).toBe("2026-05-01T20:00:00Z,65,1200,36000,simulated");
    expect(lines.slice(1, -1).every((line) => line.endsWith(",simulated"))).toBe(true);
  });
  it("holds only what is shown", () => {
    const text = wearCsv(review([]), [wear("flow_factor", 1, 1, 0)], { from: MAY, to: MAY + 3 * DAY });
    expect(text.trimEnd().split("\r\n")).toHaveLength(1 + 3);
  });
});

describe("sessions", () => {
  const session = (id: number, kind: SessionSummary["kind"]): SessionSummary => ({
    id,
    kind,
    name: `s${id}`,
    from_seconds: 0,
    to_seconds: 7200,
    summary: NOTHING,
    cycles: [],
    exact: true,
  });
  it("are the last two contests to begin with", () => {
    expect(
      usualPair([session(1, "contest"), session(2, "contest"), session(3, "heat run"), session(4, "contest")]),
    ).toEqual([2, 4]);
    expect(usualPair([session(1, "contest"), session(3, "heat run")])).toEqual([1, 3]);
    expect(usualPair([session(1, "contest")])).toBeNull();
  });
  it("have the hottest core of each elapsed hour in the table", () => {
    const traces = [
      {
        session: session(1, "contest"),
        points: [
          [0, 20, 30],
          [1800, 30, 50],
          [3700, 20, 40],
        ] as const,
      },
      { session: session(2, "contest"), points: [[10, 20, 25]] as const },
    ];
    expect(hourlyPeaks(traces)).toEqual([
      [50, 25],
      [40, null],
    ]);
  });
});
