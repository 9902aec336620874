// The checkup under every fault that can be scripted: what it says, with what to do; or why a checkup that permits no power and lasts
// some seconds cannot see it, and then that it raises no false alarm. A new kind of fault without a row does not compile.

import { describe, expect, it } from "vitest";
import { checkFeedpoint } from "../../daemon/checkup/feedpoint.ts";
import type { Finding, Verdict } from "../../daemon/checkup/finding.ts";
import { parseConfig } from "../../daemon/config/parse.ts";
import { settingsOf } from "../../daemon/config/program.ts";
import { DEMO_CONFIG, DEMO_NAME } from "../../daemon/demo.ts";
import { openHardware } from "../../hardware/open.ts";
import type { HardwareSpec } from "../../hardware/ports.ts";
import type { FaultKind, Trouble } from "../../hardware/simulated/faults.ts";
import { demoScenario, type Scenario } from "../../hardware/simulated/scenario.ts";
import { shed, WIRING } from "../hardware/simulated/shed.ts";
import { DEMO_SPEC } from "../hardware/simulated/wirings.ts";
import { withMuteAdapter, withSlowTransfers } from "../support/mute-adapter.ts";

const FAN = settingsOf(parseConfig(DEMO_CONFIG, DEMO_NAME)).fan;

type Scene = {
  readonly spec?: HardwareSpec;
  readonly scenario?: Partial<Scenario>;
  readonly fan?: Partial<NonNullable<typeof FAN>>;
  /** How long the troubles have held when the checkup begins. */
  readonly heldSeconds?: number;
};

async function checkedUp(troubles: readonly Trouble[], scene: Scene = {}): Promise<readonly Finding[]> {
  const { spec = DEMO_SPEC } = scene;
  const faults = troubles.map((trouble) => ({ ...trouble, startSeconds: 0, endSeconds: null }));
  const { base, board } = shed({ spec, faults, scenario: { ...demoScenario(1), ...scene.scenario } });
  await base.advanceAsync(scene.heldSeconds ?? 2);
  const opened = await base.settle(openHardware(spec, board));
  const fan = FAN === null ? null : { ...FAN, ...scene.fan };
  const findings = await base.settle(checkFeedpoint({ opened, board, spec, fan }));
  await base.settle(opened.hardware.close().catch(() => {}));
  return findings;
}

/** What must be among the findings. */
type Told = {
  readonly what: string;
  readonly verdict: Exclude<Verdict, "good">;
  readonly says: RegExp;
  readonly remedy: RegExp;
};

type Row = { readonly trouble: Trouble; readonly told: Told } | { readonly trouble: Trouble; readonly unseen: string };

const ROWS: { readonly [Kind in FaultKind]: readonly Row[] } = {
  "fan stall": [
    {
      trouble: { kind: "fan stall" },
      told: {
        what: "tachometer",
        verdict: "bad",
        says: /no pulses/,
        remedy: /draws \d+ mA at 12\.\d V.*free or replace it/,
      },
    },
  ],
  "fan lockout": [
    {
      trouble: { kind: "fan lockout" },
      told: { what: "tachometer", verdict: "bad", says: /no pulses/, remedy: /supply off for some seconds/ },
    },
  ],
  "fan slow": [
    {
      trouble: { kind: "fan slow", speedRatio: 0.7 },
      told: { what: "tachometer", verdict: "warning", says: /slower than the 1\d{4} rpm expected/, remedy: /bearing/ },
    },
  ],
  "fan surging": [
    {
      trouble: { kind: "fan surging", depth: 0.15, periodSeconds: 4 },
      told: { what: "tachometer", verdict: "warning", says: /swings by \d+ %/, remedy: /contacts/ },
    },
  ],
  "fan slow start": [
    {
      trouble: { kind: "fan slow start", timeConstantSeconds: 8 },
      unseen: "the fan runs already; a checkup does not stop it",
    },
  ],
  "tach lead lost": [
    {
      trouble: { kind: "tach lead lost" },
      told: { what: "tachometer", verdict: "bad", says: /no pulses/, remedy: /If it turns: compare the tach lead/ },
    },
  ],
  "tach noise": [
    {
      trouble: { kind: "tach noise", edgesPerSecond: 6000 },
      told: { what: "tachometer", verdict: "bad", says: /make no speed/, remedy: /pull-up to 3\.3 V/ },
    },
  ],
  "vents clogged": [
    {
      trouble: { kind: "vents clogged", flowFactor: 0.5, rampSeconds: 0 },
      unseen: "it shows in the rise under power, which the estimate follows",
    },
  ],
  "chip silent": [
    {
      trouble: { kind: "chip silent", part: "outlet" },
      told: {
        what: "outlet",
        verdict: "bad",
        says: /^the chip did not answer$/,
        remedy: /bus itself is well: i2c-1 0x18, .* answer\. Look at this chip alone/,
      },
    },
    {
      trouble: { kind: "chip silent", part: "supply" },
      told: { what: "supply", verdict: "bad", says: /did not answer/, remedy: /bus itself is well/ },
    },
  ],
  "bus stuck": [
    {
      trouble: { kind: "bus stuck", bus: 1 },
      told: {
        what: "inlet",
        verdict: "bad",
        says: /no answer before the deadline/,
        remedy: /SDA and SCL both rest at 3\.3 V.*pull-up is missing/,
      },
    },
  ],
  "value stuck": [
    {
      trouble: { kind: "value stuck", part: "outlet" },
      unseen: "still air gives equal numbers for minutes; the alarm waits for a quarter hour",
    },
  ],
  "garbage bytes": [
    {
      trouble: { kind: "garbage bytes", part: "outlet" },
      told: {
        what: "outlet",
        verdict: "bad",
        says: /another chip answers/,
        remedy: /none of the chips known here, or its wires are disturbed/,
      },
    },
  ],
  "checksum wrong": [
    {
      trouble: { kind: "checksum wrong", part: "ambient" },
      told: { what: "ambient", verdict: "bad", says: /SHT4x's checksum/, remedy: /its wires are disturbed/ },
    },
  ],
  "power-on value": [
    {
      trouble: { kind: "power-on value", part: "outlet" },
      told: { what: "outlet", verdict: "bad", says: /no conversion yet/, remedy: /weak supply/ },
    },
  ],
  "chip offset": [
    {
      trouble: { kind: "chip offset", part: "inlet", kelvin: -9, kelvinPerHour: 0 },
      told: { what: "air", verdict: "warning", says: /\d\.\d K apart/, remedy: /another thermometer/ },
    },
    {
      trouble: { kind: "chip offset", part: "outlet", kelvin: 2, kelvinPerHour: 0 },
      unseen: "nothing else hangs in the air that leaves",
    },
  ],
  "air sensors swapped": [
    {
      trouble: { kind: "air sensors swapped" },
      told: {
        what: "air",
        verdict: "bad",
        says: /outlet is \d\.\d K colder than the inlet/,
        remedy: /exchange the two roles/,
      },
    },
  ],
  "supply sag": [
    {
      trouble: { kind: "supply sag", volts: 8 },
      told: { what: "supply", verdict: "bad", says: /8\.0\d V/, remedy: /nominal_supply is 12 V: measure both ends/ },
    },
  ],
  "wet core": [
    {
      trouble: { kind: "wet core", lossFactor: 2 },
      unseen: "it shows as heat under power, which the estimate follows",
    },
  ],
  "relay stuck": [
    {
      trouble: { kind: "relay stuck", line: "inhibit", level: 1 },
      told: { what: "relay", verdict: "bad", says: /energised right after it was released/, remedy: /wrong way round/ },
    },
    {
      trouble: { kind: "relay stuck", line: "inhibit", level: 0 },
      unseen: "a checkup energises no line; the proof test does",
    },
  ],
  "relay misread": [
    {
      trouble: { kind: "relay misread", line: "reduce" },
      told: { what: "relay", verdict: "bad", says: /energised right after it was released/, remedy: /low = energised/ },
    },
  ],
  "wall clock jump": [
    {
      trouble: { kind: "wall clock jump", seconds: -86_400 },
      told: {
        what: "clock",
        verdict: "warning",
        says: /not synchronised/,
        remedy: /timedatectl set-ntp true.*protection does not need it/,
      },
    },
  ],
  "calls fail": [
    {
      trouble: { kind: "calls fail", first: 1, count: 1e9, errno: "EACCES" },
      told: { what: "relay", verdict: "bad", says: /may not open the device/, remedy: /groups `i2c` and `gpio`/ },
    },
  ],
  "RF upset": [
    {
      trouble: { kind: "RF upset", probability: 0.5, effect: "garbage" },
      unseen: "nothing transmits while the permit lines are released; the Check view counts it",
    },
  ],
};

const isIn = (findings: readonly Finding[], { what, verdict, says, remedy }: Told): boolean =>
  findings.some(
    (one) => one.what === what && one.verdict === verdict && says.test(one.says) && remedy.test(one.remedy ?? ""),
  );

const cases = Object.values(ROWS)
  .flat()
  .map((row) => [JSON.stringify(row.trouble), row] as const);

describe("under a scripted fault", () => {
  it.each(cases)("%s", async (_name, row) => {
    const findings = await checkedUp([row.trouble]);
    const amiss = findings.filter(({ verdict }) => verdict !== "good");
    if ("unseen" in row) {
      expect(row.unseen).toMatch(/\w/);
      expect(amiss).toEqual([]);
      return;
    }
    expect(isIn(findings, row.told), JSON.stringify(amiss, null, 1)).toBe(true);
    for (const { remedy } of amiss) expect(remedy).toMatch(/\S.*\.$/s);
  });

  it("without one, nothing is amiss", async () => {
    for (const spec of [DEMO_SPEC, WIRING]) {
      const findings = await checkedUp([], { spec });
      expect(findings.filter(({ verdict }) => verdict !== "good")).toEqual([]);
      expect(findings.find(({ what }) => what === "air")?.says).toMatch(/\d\.\d K warmer than the inlet/);
    }
  });
});

describe("under a fault of the set-up", () => {
  const amissWith = async (scene: Scene, troubles: readonly Trouble[] = []) => {
    const findings = await checkedUp(troubles, scene);
    return findings
      .filter(({ verdict }) => verdict !== "good")
      .map(({ what, says, remedy }) => `${what}: ${says} → ${remedy}`);
  };
  /** The board is wired as the demo; what is opened on it is what the config says. */
  async function opened(change: (sensor: HardwareSpec["sensors"][number]) => HardwareSpec["sensors"][number]) {
    const { base, board } = shed({ spec: DEMO_SPEC, scenario: demoScenario(1) });
    await base.advanceAsync(2);
    const spec = { ...DEMO_SPEC, sensors: DEMO_SPEC.sensors.map(change) };
    const hardware = await base.settle(openHardware(spec, board));
    const findings = await base.settle(checkFeedpoint({ opened: hardware, board, spec, fan: FAN }));
    await base.settle(hardware.hardware.close());
    return findings.filter(({ verdict }) => verdict === "bad").map(({ what, remedy }) => `${what}: ${remedy}`);
  }
  const at = (name: string, source: HardwareSpec["sensors"][number]["source"]) =>
    opened((sensor) => (sensor.name === name ? { ...sensor, source } : sensor));

  it.each([
    [
      "the wrong address",
      { kind: "i2c", chip: "tmp117", bus: 1, address: 0x4b },
      /^outlet: TMP117 answers at i2c-1 0x49: set bus = 1 and address = 0x49/,
    ],
    [
      "the wrong bus",
      { kind: "i2c", chip: "tmp117", bus: 3, address: 0x49 },
      /^outlet: TMP117 answers at i2c-1 0x49: set bus = 1/,
    ],
    [
      "the wrong chip",
      { kind: "i2c", chip: "tmp1075", bus: 1, address: 0x49 },
      /TMP117, identity 0117h is what answers there.*set chip = "tmp117"/,
    ],
    [
      "1-Wire that is not enabled",
      { kind: "one-wire", path: "/sys/bus/w1/devices/28-00000a1b2c3d" },
      /dtoverlay=w1-gpio.*4\.7 kΩ/,
    ],
    ["an hwmon that is not there", { kind: "hwmon", path: "/sys/class/hwmon/hwmon7/temp1_input" }, /kernel's driver/],
  ] as const)("%s", async (_name, source, remedy) => {
    const bad = await at("outlet", source);
    expect(bad).toHaveLength(1);
    expect(bad[0]).toMatch(remedy);
  });

  it("a bus number that this machine has not, with nothing like it elsewhere", async () => {
    const bad = await at("outlet", { kind: "i2c", chip: "sht3x", bus: 3, address: 0x45 });
    expect(bad[0]).toMatch(/This machine has i2c-1: set bus to the one that is wired/);
  });

  it("a bus on which nothing answers at all", async () => {
    const parts = [...DEMO_SPEC.sensors.map(({ name }) => name), "supply", "drive"];
    const amiss = await amissWith(
      {},
      parts.map((part) => ({ kind: "chip silent", part })),
    );
    expect(amiss).toHaveLength(parts.length);
    for (const one of amiss) {
      expect(one).toMatch(
        /Nothing at all answers on i2c-1.*3\.3 V and ground.*SDA and SCL are exchanged.*pull-up is missing/,
      );
    }
  });

  it.each([
    [1, []],
    [1e9, ["no answer before the deadline"]],
  ])("a chip whose first transfers (%d) take too long, as on a board that is busy", async (count, words) => {
    const { base, board } = shed({ spec: DEMO_SPEC, scenario: demoScenario(1) });
    await base.advanceAsync(2);
    const slow = withSlowTransfers(board, 0x49, count);
    const opened = await base.settle(openHardware(DEMO_SPEC, slow));
    expect(opened.faults.map(({ name }) => name)).toContain("outlet");
    const findings = await base.settle(checkFeedpoint({ opened, board: slow, spec: DEMO_SPEC, fan: FAN }));
    await base.settle(opened.hardware.close());
    expect(findings.flatMap(({ verdict, says }) => (verdict === "bad" ? [says] : []))).toEqual(words);
  });

  it("one that is missing on an adapter that lets an absent address time out", async () => {
    const { base, board } = shed({ spec: DEMO_SPEC, scenario: demoScenario(1) });
    await base.advanceAsync(2);
    const mute = withMuteAdapter(board);
    const [inlet, ...others] = DEMO_SPEC.sensors;
    const moved = { ...inlet!, source: { kind: "i2c" as const, chip: "lm75" as const, bus: 1, address: 0x4b } };
    const spec = { ...DEMO_SPEC, sensors: [moved, ...others] };
    const opened = await base.settle(openHardware(spec, mute));
    const findings = await base.settle(checkFeedpoint({ opened, board: mute, spec, fan: FAN }));
    await base.settle(opened.hardware.close());
    const bad = findings.filter(({ verdict }) => verdict === "bad");
    expect(bad.map(({ what, says }) => `${what}: ${says}`)).toEqual(["inlet: no answer before the deadline"]);
    expect(bad[0]?.remedy).toMatch(/^The bus itself is well: i2c-1 0x18, .* answer\. Look at this chip alone/);
  });

  it("a part without a reading of its own that could not be opened", async () => {
    expect(await amissWith({ spec: { ...DEMO_SPEC, buzzer: { chipLabel: null, offset: 99 } } })).toEqual([
      expect.stringMatching(/^buzzer: .*the GPIO line does not exist.*→ \S/),
    ]);
  });

  it("a fan on the wrong voltage, and on its own", async () => {
    expect(await amissWith({ scenario: { supplyVolts: 15 } })).toEqual([
      expect.stringMatching(/^supply: .*15\.0\d V.*take the fan off this supply/),
    ]);
  });

  it("pulses counted twice, or a fan of another speed", async () => {
    expect(await amissWith({ fan: { nominalRpm: 5500 } })).toEqual([
      expect.stringMatching(/twice the speed expected.*pulses_per_revolution = 4/),
    ]);
    expect(await amissWith({ fan: { nominalRpm: 22_000 } })).toEqual([
      expect.stringMatching(/half the speed expected.*pulses_per_revolution = 1/),
    ]);
    expect(await amissWith({ fan: { nominalRpm: 8000 } })).toEqual([
      expect.stringMatching(/faster than the (7|8)\d{3} rpm/),
    ]);
  });

  it("a fan without supply is told from one that stands", async () => {
    const troubles: readonly Trouble[] = [{ kind: "supply sag", volts: 0 }];
    expect(await amissWith({ heldSeconds: 20 }, troubles)).toEqual(
      expect.arrayContaining([expect.stringMatching(/^tachometer: no pulses.*draws no current at 0\.0 V/)]),
    );
  });
});
