// The overview's page without a browser: what a row says, which stands first, and how old it is.

import { describe, expect, it } from "vitest";
import type { OverviewRow } from "../../daemon/wire/overview.ts";
import { figuresFor } from "../../web/figures.ts";
import { EMPTY_OVERVIEW, fits, reduceOverview, rowAge, tell, worstFirst } from "../../web/overview/model.ts";
import { DEFAULT_PREFERENCES } from "../../web/preferences.ts";
import { PLAIN_FRAME } from "../support/frame.ts";

const figures = figuresFor(DEFAULT_PREFERENCES, "en");
const HEAD = { now_seconds: 500, broker_trouble: null, hidden: 0 } as const;

const row = (id: string, changes: Partial<OverviewRow> = {}): OverviewRow => ({
  id,
  name: id,
  simulated: false,
  page: null,
  limit_celsius: 110,
  every_seconds: 1,
  presence: "online",
  made_seconds: 499,
  unreadable: null,
  glance: PLAIN_FRAME,
  ...changes,
});
const modelOf = (...rows: readonly OverviewRow[]) =>
  reduceOverview(EMPTY_OVERVIEW, { type: "snapshot", sequence: 4, version: "0", most: 9, ...HEAD, rows }, 20);
const told = (one: OverviewRow, now = 20) => tell(one, modelOf(one), now, figures);

describe("a row", () => {
  it("is as old as the overview's server says, and grows older on the page's own clock", () => {
    const model = modelOf(row("a"));
    expect(rowAge(row("a"), model, 20)).toBe(1);
    expect(rowAge(row("a"), model, 33.5)).toBe(14.5);
  });

  it("counts a message that was long under way as old", () => {
    const late = {
      type: "delta",
      sequence: 5,
      ...HEAD,
      now_seconds: 501,
      rows: [{ id: "a", made_seconds: 501 }],
      gone: [],
    } as const;
    const model = reduceOverview(modelOf(row("a")), late, 25);
    expect(rowAge(model.rows.get("a") ?? row("a"), model, 25)).toBe(4);
  });

  it("says what its own page would say, until it is silent or gone", () => {
    expect(told(row("a")).sentence).toEqual({
      text: "At this pace the core levels off at 71\u00a0°C, below the limit.",
      tone: "calm",
    });
    expect(told(row("a"), 34).sentence).toEqual({ text: "No data from the feedpoint for 15 s.", tone: "blind" });
    expect(told(row("a", { every_seconds: 60 }), 34).sentence.tone).toBe("calm");
    expect(told(row("a", { presence: "lost" })).sentence.text).toMatch(/^It is gone/);
    expect(told(row("a", { glance: null, made_seconds: null })).sentence.tone).toBe("blind");
    expect(told(row("a", { unreadable: "state: fan" })).sentence.tone).toBe("blind");
  });
});

describe("the order", () => {
  it("is worst first, waiting alarms before none, then by name with its numbers", () => {
    const alarm = {
      tag: "fan_slow",
      state: "unacknowledged",
      priority: "low",
      text: "",
      since_seconds: 1,
      until_seconds: null,
    } as const;
    const rows = [
      row("Gate 10"),
      row("Gate 9"),
      row("Gate 8", { presence: "stopped" }),
      row("Gate 7", { glance: { ...PLAIN_FRAME, headroom: { kind: "reaches limit", seconds: 200 } } }),
      row("Gate 6", { glance: { ...PLAIN_FRAME, alarms: [alarm] } }),
      row("Gate 5", { glance: { ...PLAIN_FRAME, power_stage: "inhibited" } }),
    ];
    const names = rows
      .map((one) => told(one))
      .sort(worstFirst)
      .map(({ name }) => name);
    expect(names).toEqual(["Gate 5", "Gate 8", "Gate 7", "Gate 6", "Gate 9", "Gate 10"]);
  });

  it("is narrowed by words and by kind", () => {
    const one = told(row("Orchard"));
    expect(fits(one, " ORCH", "all")).toBe(true);
    expect(fits(one, "levels off", "calm")).toBe(true);
    expect(fits(one, "orchard", "act")).toBe(false);
    expect(fits(one, "vineyard", "all")).toBe(false);
  });
});

it("a missed message asks for a snapshot and keeps what stands", () => {
  const model = reduceOverview(modelOf(row("a")), { type: "delta", sequence: 9, ...HEAD, rows: [], gone: ["a"] }, 21);
  expect(model.gap).toBe(true);
  expect(model.rows.has("a")).toBe(true);
});
