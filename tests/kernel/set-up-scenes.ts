// What a person gets to see who sets the feedpoint up inside the guest. Part of the guest's one story: the daemon of all later scenes
// runs on the config that was written here.

import { describe, expect, it } from "vitest";
import { CONFIG_PATH, type SetUp, WALL_FILE, WRONG_BUS } from "./host/set-up.ts";
import { CHIPS, GPIO_LABEL, I2C_BUS, NOWHERE, PINS, STRANGER } from "./host/wiring.ts";

const place = (bus: number, address: number): string => `i2c-${bus} 0x${address.toString(16)}`;

/** `outcome` is called when the scenes run. */
export function describeSetUp(outcome: () => SetUp, fanRpm: number): void {
  describe("init", () => {
    it("names what hangs on the buses, the kernel's own and the stranger among it, and every GPIO chip", () => {
      const { said } = outcome();
      for (const role of ["inlet", "outlet"] as const) {
        expect(said).toContain(`  ${place(I2C_BUS, CHIPS[role].address)}  looks like LM75 family`);
      }
      expect(said).toContain(`  ${place(I2C_BUS, CHIPS.wall.address)}  a driver of the kernel holds this address`);
      expect(said).toContain(`  ${place(I2C_BUS, STRANGER.address)}  something answers that is none of the chips`);
      expect(said).toMatch(/gpiochip\d\n {2}20ac000\.gpio, lines 0 to 31\n/);
    });

    it("hears the fan, and writes a commented config with it", () => {
      const { said, config } = outcome();
      const heard = Number(/The fan turns: (\d+) rpm/.exec(said)?.[1]);
      expect(Math.abs(heard / fanRpm - 1)).toBeLessThan(0.05);
      expect(config).toContain(`hwmon = "${WALL_FILE}"`);
      for (const line of [PINS.tach, PINS.reduce, PINS.inhibit]) expect(config).toMatch(new RegExp(` = ${line}\\b`));
      expect(config.split(`chip = "${GPIO_LABEL}"`)).toHaveLength(3);
      expect(config.match(/ # /g)?.length).toBeGreaterThan(10);
    });
  });

  describe("check", () => {
    it("passes what init wrote: each part answers, the fan turns, both permit lines read back released", () => {
      const { good, findings } = outcome().checked;
      const amiss = findings.filter(({ verdict }) => verdict !== "good").map(({ what }) => what);
      // The guest has neither the package's groups nor a time service.
      expect({ good, amiss: [...new Set(amiss)] }).toEqual({ good: true, amiss: ["access", "clock"] });
      const says = (what: string) => findings.find((finding) => finding.what === what)?.says;
      expect(says("inlet")).toMatch(/: 25\.00 °C$/);
      expect(says("wall")).toBe("kernel driver lm75: 25.00 °C");
      expect(says("tachometer")).toMatch(/\d{4} rpm/);
      expect(says("relay")).toMatch(/^both lines read back released/);
      expect(findings[0]?.place).toBe(CONFIG_PATH);
    });

    it.each([
      ["inlet", place(WRONG_BUS, CHIPS.inlet.address), "a wrong bus", `set bus = ${I2C_BUS}`],
      ["outlet", place(I2C_BUS, NOWHERE.outlet), "a chip that is not there", place(I2C_BUS, CHIPS.outlet.address)],
      ["wall", place(I2C_BUS, STRANGER.address), "another chip than told", "none of the chips known here"],
    ])("of %s at %s, %s, says what to do", (what, at, _case, words) => {
      const { good, findings } = outcome().wrong;
      expect(good).toBe(false);
      const finding = findings.find((one) => one.what === what);
      expect(finding).toMatchObject({ place: at, verdict: "bad", says: expect.not.stringMatching(/\bE[A-Z]{3,}\b/) });
      expect(finding?.remedy).toContain(words);
    });
  });
}
