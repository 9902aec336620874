// The drawings as circuits: nothing hangs loose, what must be in series is, what they show can be bought and is what the config says.

import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { parseConfig } from "../../../daemon/config/parse.ts";
import { headerOffset } from "../../../hardware/gpio/header-lines.ts";
import { headerLine } from "../../../hardware/header.ts";
import type { LineSpec } from "../../../hardware/ports.ts";
import { drawSheet } from "../../../hardware/wiring/draw.ts";
import { allSheets } from "../../../hardware/wiring/index.ts";
import { looseEnds, netsOf } from "../../../hardware/wiring/junctions.ts";
import { PARTS } from "../../../hardware/wiring/parts.ts";
import { pinText, WIRED_CHIPS, WIRED_LINES } from "../../../hardware/wiring/pins.ts";
import { type Sheet, wire } from "../../../hardware/wiring/sheet.ts";

const sheetOf = (name: string): Sheet => {
  const sheet = allSheets().find((candidate) => candidate.name === name);
  if (sheet === undefined) throw new Error(`no sheet ${name}`);
  return sheet;
};

/** The net that a terminal belongs to. */
const netWith = (sheet: Sheet, terminal: string): readonly string[] =>
  netsOf(sheet).find((net) => net.includes(terminal)) ?? [];

describe("every drawing", () => {
  it.each(allSheets().map((sheet) => [sheet.name, sheet] as const))("%s has no loose end", (_name, sheet) => {
    expect(looseEnds(sheet)).toEqual([]);
  });

  it.each(allSheets().map((sheet) => [sheet.name, sheet] as const))(
    "%s is well-formed, titled and described",
    (_name, sheet) => {
      const svg = drawSheet(sheet);
      expect(svg).toContain(`<title id="title">${sheet.title}</title>`);
      expect(sheet.description.length).toBeGreaterThan(60);
      expect(svg).not.toMatch(/NaN|undefined|<script/);
      expect(svg.match(/<g[ >]/g)?.length ?? 0).toBe(svg.match(/<\/g>/g)?.length ?? 0);
    },
  );

  it("is found out when a wire ends in the air, runs aslant, or a part is not wired", () => {
    const resistor = { kind: "resistor", id: "R1", at: [5, 5] } as const;
    const base = { name: "x", title: "x", description: "x", size: [9, 9] as const };
    expect(looseEnds({ ...base, parts: [resistor], wires: ["0,5 3,5"].map(wire) })).toEqual([
      "x: a wire ends at 0,5 and touches nothing",
      "x: R1 has nothing at 7,5",
    ]);
    expect(looseEnds({ ...base, wires: ["0,0 3,5"].map(wire) })[0]).toBe("x: a wire runs aslant from 0,0 to 3,5");
    expect(() => wire("1,2 x")).toThrow("a wire's corner: expected x,y, got x");
  });

  it("shows only parts of the list, and the list holds only parts that are shown", () => {
    const shown = new Set(
      allSheets().flatMap((sheet) => [
        ...(sheet.parts ?? []).filter(({ kind }) => kind !== "ground" && kind !== "supply").map(({ id }) => id),
        ...(sheet.blocks ?? []).flatMap(({ title }) => title.match(/\b[A-Z]{1,2}\d+\b/g) ?? []),
      ]),
    );
    expect([...shown].sort()).toEqual(PARTS.map(({ reference }) => reference).sort());
  });
});

describe("the tach input", () => {
  const sheet = sheetOf("tach");
  it("is pulled up to 3.3 V, and reaches the pin only through R2", () => {
    expect(netWith(sheet, "R1.2")).toEqual(expect.arrayContaining(["FB1.2", "R1.2", "R2.1"]));
    expect(netWith(sheet, "R1.1").join()).toContain("3.3 V");
    expect(netWith(sheet, `Header, ${pinText("tach")}`)).toEqual(
      expect.arrayContaining(["R2.2", "C3.1", "D2.1", "D3.2"]),
    );
  });
  it("keeps 12 V apart from everything else", () => {
    expect(netWith(sheet, "Fan M1, +12 V")).toEqual(["+12 V, fused", "Fan M1, +12 V"]);
  });
});

describe("the permit lines", () => {
  const sheet = sheetOf("permit");
  it.each([
    ["reduce", "R3", "R4", "Q1", "D4", "K1"],
    ["inhibit", "R5", "R6", "Q2", "D5", "K2"],
  ])(
    "%s: pin → gate, gate held to ground, coil in the drain with its diode",
    (name, gate, release, fet, diode, relay) => {
      expect(netWith(sheet, `${gate}.1`)).toEqual([`Header, ${pinText(name)}`, `${gate}.1`].sort());
      expect(netWith(sheet, `${fet}.1`)).toEqual([`${fet}.1`, `${gate}.2`, `${release}.1`].sort());
      expect(netWith(sheet, `${fet}.3`)).toEqual(expect.arrayContaining([`${release}.2`, "Header, pin 20, ground"]));
      expect(netWith(sheet, `${fet}.2`)).toEqual(expect.arrayContaining([`${diode}.1`, `${relay}.2`]));
      // The diode's cathode is at the supply: it blocks while the coil is fed.
      expect(netWith(sheet, "5 V")).toEqual(expect.arrayContaining([`${diode}.2`, `${relay}.1`]));
    },
  );
  it("has the thermal cutout in series with inhibit: no way past it", () => {
    expect(netWith(sheet, "12 V, from F2")).toEqual(["12 V, from F2", "S1.2"]);
    expect(netWith(sheet, "S1.1")).toEqual(["K2.2", "S1.1"]);
    expect(netWith(sheet, "K4.1")).toContain("K2.1");
  });
  it("closes the keying line only by an energised relay, and takes the bias off only by one", () => {
    const kinds = (sheet.parts ?? [])
      .filter(({ id }) => id === "K3" || id === "K4")
      .map(({ id, kind }) => `${id} ${kind}`);
    expect(kinds.sort()).toEqual(["K3 break", "K3 coil", "K4 coil", "K4 make"]);
  });
});

describe("the options", () => {
  const sheet = sheetOf("options");
  it("time the one-shot by R8 and C5 alone, and hold Q3 by its output alone", () => {
    expect(netWith(sheet, "U1, R, C")).toEqual(["C5.1", "R8.2", "U1, R, C"]);
    expect(netWith(sheet, "U1, C")).toEqual(["C5.2", "U1, C"]);
    expect(netWith(sheet, "U1, Q")).toEqual(["Q3.1", "R11.1", "U1, Q"]);
    expect(netWith(sheet, "Q3.2")).toEqual(["Q1 and Q2, ", "Q3.2"]);
  });
  it("let the fan run while K5 is released", () => {
    expect(
      (sheet.parts ?? [])
        .filter(({ id }) => id === "K5")
        .map(({ kind }) => kind)
        .sort(),
    ).toEqual(["break", "coil"]);
    expect(netWith(sheet, "K5.1")).not.toEqual([]);
    expect(netWith(sheet, "Fan M1, +12 V").length).toBe(2);
  });
});

describe("pins and addresses", () => {
  const { config } = parseConfig(readFileSync("systemd/emberwire.toml", "utf8"), "systemd/emberwire.toml");
  it("are those of the whole station's config", () => {
    const given = config as unknown as Record<string, Record<string, unknown> | undefined>;
    const wired = WIRED_LINES.flatMap(({ config: place, offset }) => (place === null ? [] : [{ place, offset }]));
    expect(wired.length).toBeGreaterThan(2);
    const needed = wired.filter(({ place }) => given[place[0]]?.[place[1]] !== undefined);
    expect(needed.length).toBe(3);
    for (const { place, offset } of needed)
      expect(headerOffset(given[place[0]]?.[place[1]] as LineSpec), place.join(".")).toBe(offset);
    for (const { name, chip, address } of WIRED_CHIPS) {
      expect(config.sensor.find((sensor) => sensor.name === name)).toMatchObject({ chip, address });
    }
  });
  it("put every output where the reset pull releases it", () => {
    for (const name of ["reduce", "inhibit", "pulse", "fan_cut"]) {
      const line = WIRED_LINES.find((candidate) => candidate.name === name);
      expect(headerLine(line?.offset ?? -1)?.resetPull).toBe("down");
    }
  });
});
