// What a survey finds: every chip by what it says of itself, the kernel's thermometers with paths that last, and what it says of a
// bus that is stuck, forbidden or absent.

import { describe, expect, it } from "vitest";
import { realBoard } from "../../hardware/board.ts";
import { CANDIDATE_ADDRESSES } from "../../hardware/candidates.ts";
import { HardwareError } from "../../hardware/errors.ts";
import type { Board } from "../../hardware/ports.ts";
import type { Fault } from "../../hardware/simulated/faults.ts";
import { openThermometers, type Survey, surveyBoard, thermometersOf } from "../../hardware/survey.ts";
import { kernelTree } from "../support/kernel-tree.ts";
import { withMuteAdapter } from "../support/mute-adapter.ts";
import { shed, WIRING } from "./simulated/shed.ts";
import { DEMO_SPEC, TWELVE_SENSOR_SPEC } from "./simulated/wirings.ts";

const seen = ({ buses }: Survey) =>
  Object.fromEntries(
    buses.flatMap(({ chips }) =>
      chips.map(({ place, chip }) => [place, chip === null ? "?" : `${chip.certain ? "" : "like "}${chip.chip}`]),
    ),
  );

async function surveyed(faults: readonly Fault[] = [], spec = TWELVE_SENSOR_SPEC) {
  const { base, board } = shed({ spec, faults });
  await base.advanceAsync(2);
  return { base, board, survey: await base.settle(surveyBoard(board)) };
}

describe("a survey", () => {
  it("names every chip, those without an identity register as alike", async () => {
    const { survey } = await surveyed();
    expect(seen(survey)).toEqual({
      "i2c-1 0x18": "mcp9808",
      "i2c-1 0x40": "like ina219",
      "i2c-1 0x44": "sht4x",
      "i2c-1 0x48": "tmp117",
      "i2c-1 0x49": "tmp117",
      "i2c-1 0x4a": "like ads1115",
      "i2c-1 0x4c": "tmp1075",
      "i2c-1 0x4d": "like lm75",
      "i2c-3 0x19": "mcp9808",
      "i2c-3 0x44": "like sht3x",
      "i2c-3 0x48": "tmp1075",
      "i2c-3 0x49": "tmp117",
    });
    expect(survey.buses.map(({ trouble }) => trouble)).toEqual([null, null]);
  });

  it("tells an INA226 from an INA219 and finds the kernel's thermometers", async () => {
    const { survey } = await surveyed([], WIRING);
    expect(seen(survey)["i2c-1 0x40"]).toBe("ina226");
    expect(thermometersOf(survey).map(({ place }) => place)).toEqual([
      "i2c-1 0x44",
      "i2c-1 0x48",
      "i2c-1 0x49",
      "/sys/class/hwmon/hwmon0/temp1_input",
      "/sys/bus/w1/devices/28-00000a1b2c3d",
    ]);
  });

  it("leaves every chip as it was: its readings go on", async () => {
    const { base, board, survey } = await surveyed();
    const { sensors, close } = openThermometers(board, thermometersOf(survey));
    expect(sensors).toHaveLength(12);
    for (const sensor of sensors) {
      const { celsius } = await base.settle(sensor.read());
      expect(celsius).toBeGreaterThan(10);
      expect(celsius).toBeLessThan(60);
    }
    await close();
  });

  it("gives up a stuck bus after a few refusals, and goes on with the other", async () => {
    const { survey } = await surveyed([{ kind: "bus stuck", bus: 1, startSeconds: 0, endSeconds: null }]);
    const [first, second] = survey.buses;
    expect(first).toMatchObject({ chips: [], trouble: { code: "BUS_STUCK" } });
    expect(second?.chips).toHaveLength(4);
  });

  it("finds what hangs at usual addresses of an adapter that lets absent ones time out, and ends in seconds", async () => {
    const { base, board } = shed({ spec: DEMO_SPEC });
    await base.advanceAsync(2);
    const asked: number[] = [];
    const from = board.clock.monotonicSeconds();
    const survey = await base.settle(surveyBoard(withMuteAdapter(board, (address) => asked.push(address))));
    const places = [0x18, 0x40, 0x44, 0x48, 0x49, 0x4a].map((address) => `i2c-1 0x${address.toString(16)}`);
    expect(Object.keys(seen(survey))).toEqual(places);
    expect(survey.buses[0]?.trouble).toBeNull();
    expect(new Set(asked).size).toBeLessThan(CANDIDATE_ADDRESSES.length);
    expect(board.clock.monotonicSeconds() - from).toBeLessThan(CANDIDATE_ADDRESSES.length * 0.4);
  });

  it("says of a chip that speaks nonsense that something answers", async () => {
    const garbage: Fault = { kind: "garbage bytes", part: "inlet", startSeconds: 0, endSeconds: null };
    expect(seen((await surveyed([garbage])).survey)["i2c-1 0x48"]).toBe("?");
  });

  it("of an address that a driver of the kernel holds says so", async () => {
    const { base, board } = shed({ spec: TWELVE_SENSOR_SPEC });
    const busy = Object.assign(new Error("busy"), { code: "EBUSY", syscall: "setAddr" });
    const held: Board = {
      ...board,
      i2c: async (bus) => {
        const handle = await board.i2c(bus);
        const read: typeof handle.read = (address, length) =>
          address === 0x49 ? Promise.reject(busy) : handle.read(address, length);
        return { ...handle, read };
      },
    };
    const survey = await base.settle(surveyBoard(held));
    const found = survey.buses[0]?.chips.find(({ address }) => address === 0x49);
    expect(found).toMatchObject({ chip: null });
    expect(found?.says).toContain("a driver of the kernel holds this address");
  });
});

describe("on a tree of files", () => {
  it("no /dev/i2c-* is no bus; hwmon below an I2C device gets the path that lasts, the computer's own is passed over", async () => {
    const root = await kernelTree({
      "/dev/null": "",
      "/sys/class/hwmon/hwmon0/name": "cpu_thermal\n",
      "/sys/class/hwmon/hwmon0/temp1_input": "51000\n",
      "/sys/class/hwmon/hwmon1/name": "rpi_volt\n",
      "/sys/class/hwmon/hwmon1/in0_lcrit_alarm": "0\n",
      "/sys/class/hwmon/hwmon2/name": "lm75\n",
      "/sys/class/hwmon/hwmon2/temp1_input": "21500\n",
      "/sys/class/hwmon/hwmon2/temp1_max": "80000\n",
      "/sys/bus/i2c/devices/1-0048/hwmon/hwmon2/name": "lm75\n",
      "/sys/bus/i2c/devices/i2c-1/name": "bcm2835\n",
      "/sys/bus/w1/devices/28-00000a1b2c3d/w1_slave": "",
      "/sys/bus/w1/devices/w1_bus_master1/x": "",
    });
    const survey = await surveyBoard(await realBoard({ root, outputRecord: null }));
    expect(survey.buses).toEqual([]);
    expect(survey.kernel.map(({ place, says }) => [place, says])).toEqual([
      ["/sys/bus/i2c/devices/1-0048/hwmon/hwmon*/temp1_input", "kernel driver lm75"],
      ["/sys/bus/w1/devices/28-00000a1b2c3d", "DS18B20"],
    ]);
  });

  it("a bus that may not be opened is asked once", async () => {
    const root = await kernelTree({ "/dev/i2c-1": "" });
    const board = await realBoard({ root, outputRecord: null });
    let opened = 0;
    const forbidden: Board = {
      ...board,
      clock: board.clock,
      list: (path) => board.list(path),
      readText: (path) => board.readText(path),
      i2c: () => {
        opened += 1;
        return Promise.reject(new HardwareError("PERMISSION", "i2c-1"));
      },
    };
    const { buses } = await surveyBoard(forbidden);
    expect(buses).toMatchObject([{ bus: 1, chips: [], trouble: { code: "PERMISSION" } }]);
    expect(opened).toBe(1);
  });

  it("asks at 40 addresses at most", () => {
    expect(CANDIDATE_ADDRESSES.length).toBeLessThanOrEqual(40);
  });
});
