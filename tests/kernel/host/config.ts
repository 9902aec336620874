// The daemon's config for the guest's wiring, written as an operator would write it.

import { CHIPS, GPIO_LABEL, I2C_BUS, PINS, PULSES_PER_REVOLUTION } from "./wiring.ts";

/** The guest's config file. */
export const CONFIG_PATH = "/etc/emberwire/emberwire.toml";

/** `wallPath` is the kernel's file of the wall thermometer; `fanRpm` the nominal speed of the fan on the tach line. */
export function configText(wallPath: string, fanRpm: number): string {
  const onBus = (role: "inlet" | "outlet") =>
    `[[sensor]]\nname = "${role}"\nrole = "${role}"\nchip = "lm75"\nbus = ${I2C_BUS}\naddress = ${CHIPS[role].address}\n`;
  return [
    `[feedpoint]\nname = "Guest"\n`,
    `[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n`,
    `[fan]\nnominal_speed = "${fanRpm}rpm"\npulses_per_revolution = ${PULSES_PER_REVOLUTION}\n`,
    // The scenarios go on as soon as a cause is gone.
    `[limits]\nminimum_reduced = "0s"\n`,
    onBus("inlet"),
    onBus("outlet"),
    `[[sensor]]\nname = "wall"\nrole = "wall"\nhwmon = "${wallPath}"\n`,
    `[tach]\nline = ${PINS.tach}\nchip = "${GPIO_LABEL}"\n`,
    `[relay]\nreduce = ${PINS.reduce}\ninhibit = ${PINS.inhibit}\nchip = "${GPIO_LABEL}"\n`,
  ].join("\n");
}
