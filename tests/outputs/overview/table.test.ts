// The overview's table: rows from what a broker delivers, bounded, suspicious of everything; and that changes lead to the same rows.

import { describe, expect, it } from "vitest";
import { frameOf } from "../../../daemon/outputs/frame.ts";
import { OverviewTable } from "../../../daemon/outputs/overview/table.ts";
import { changedRow, type OverviewRow } from "../../../daemon/wire/overview.ts";
import { plainBeat } from "../../support/beat.ts";

const ABOUT = {
  about: {
    name: "Orchard gate",
    simulated: false,
    speed: 1,
    version: "0.0.0",
    boot_id: "b",
    limit_celsius: 110,
    reduce_celsius: 100,
    toroids: 3,
    fan_nominal_rpm: null,
  },
  page: "https://orchard.example.org/",
  every_seconds: 1,
  expiry_seconds: 30,
};

const arrival = (topic: string, value: unknown, expirySeconds: number | null = null) => ({
  topic: `club/feedpoints/${topic}`,
  payload: Buffer.from(typeof value === "string" ? value : JSON.stringify(value)),
  retained: true,
  expirySeconds,
});
const state = (second: number, core = 60) => frameOf({ ...plainBeat(second, core), band: "40 m" });
const table = (most = 10) => new OverviewTable("club/feedpoints", most);

describe("a row", () => {
  it("is as old as the broker says that its state has waited, whichever of its messages came first", () => {
    for (const first of ["about", "state"]) {
      const heard = table();
      const take = {
        about: () => heard.take(arrival("a/about", ABOUT), 100),
        state: () => heard.take(arrival("a/state", state(1), 18), 100),
      };
      take[first === "about" ? "about" : "state"]();
      take[first === "about" ? "state" : "about"]();
      expect(heard.rows[0]).toMatchObject({ id: "a", name: "Orchard gate", made_seconds: 88, presence: "unknown" });
    }
  });

  it.each([
    ["about", "{", "about is no JSON"],
    ["about", { ...ABOUT, about: { ...ABOUT.about, name: 7 } }, "about: about.name"],
    ["state", { ...state(1), power_stage: "boost" }, "state: power_stage"],
    ["availability", { state: "asleep" }, "availability: state"],
    ["state", [], "state: shape"],
  ])("says what could not be read of %s, and keeps what it had", (name, value, words) => {
    const heard = table();
    heard.take(arrival("a/about", ABOUT), 100);
    heard.take(arrival(`a/${name}`, value), 101);
    expect(heard.rows[0]).toMatchObject({ name: "Orchard gate", unreadable: words });
    heard.take(arrival("a/availability", { state: "online" }), 102);
    expect(heard.rows[0]).toMatchObject({ presence: "online", unreadable: null });
  });

  it("links to the web only", () => {
    const heard = table();
    for (const page of ["javascript:alert(1)", "file:///etc/passwd", "https://", null]) {
      heard.take(arrival("a/about", { ...ABOUT, page }), 100);
      expect(heard.rows[0]?.page).toBeNull();
    }
  });
});

describe("the table", () => {
  it("has a bound, counts who found no room, and gives a place back", () => {
    const heard = table(2);
    for (const id of ["a", "b", "c", "d", "c"]) heard.take(arrival(`${id}/about`, ABOUT), 100);
    expect(heard.rows.map(({ id }) => id)).toEqual(["a", "b"]);
    expect(heard.hidden).toBe(2);
    heard.changes();
    heard.take(arrival("a/about", ""), 101);
    expect(heard.changes()).toEqual({ rows: [], gone: ["a"] });
    heard.take(arrival("c/about", ABOUT), 102);
    expect(heard.rows.map(({ id }) => id)).toEqual(["b", "c"]);
  });

  it("tells changes that lead to its rows, and nothing of a row that stood still", () => {
    const heard = table();
    const rows = new Map<string, OverviewRow>();
    const follow = (): number => {
      const { rows: changes, gone } = heard.changes();
      for (const id of gone) rows.delete(id);
      for (const change of changes)
        rows.set(change.id, changedRow(rows.get(change.id), change) ?? (change as OverviewRow));
      return changes.length;
    };
    for (let second = 1; second <= 20; second += 1) {
      for (const id of ["a", "b", "c"])
        heard.take(arrival(`${id}/state`, state(second, 50 + second), 30), 100 + second);
      if (second % 5 === 0) heard.take(arrival("a/about", ABOUT), 100 + second);
      expect(follow()).toBe(3);
      expect([...rows.values()]).toEqual(heard.rows);
    }
    expect(follow()).toBe(0);
  });

  it("passes over topics that are not its own", () => {
    const heard = table();
    for (const topic of ["a/record", "a/nonsense", "/about", "a"]) heard.take(arrival(topic, ABOUT), 100);
    expect(heard.changes().rows).toEqual([]);
  });
});
