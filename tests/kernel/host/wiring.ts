// Which chip sits where and which pin does what in the guest: the one place that emulator, config and tests agree on.

/** Thermometers on the first I2C controller. The kernel's own driver reads the third, the daemon's chip drivers the others. */
export const CHIPS = {
  inlet: { model: "tmp105", id: "inlet", address: 0x48 },
  outlet: { model: "tmp105", id: "outlet", address: 0x49 },
  wall: { model: "tmp105", id: "wall", address: 0x4a },
} as const;

/** Has identity registers, and is none of the chips that the daemon knows. */
export const STRANGER = { model: "tmp421", id: "stranger", address: 0x4b } as const;

/** Addresses that nobody asks: a chip moved there has stopped answering. */
export const NOWHERE = { inlet: 0x4d, outlet: 0x4e, wall: 0x4f } as const;

export const I2C_BUS = 0;

/** The kernel's label of the controller that QEMU calls gpio5. */
export const GPIO_LABEL = "20ac000.gpio";

/** Offsets within that controller; the device tree gives none of them to another driver. */
export const PINS = { tach: 10, reduce: 11, inhibit: 12 } as const;

export const PULSES_PER_REVOLUTION = 2;
