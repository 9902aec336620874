// The 40-pin header of a Raspberry Pi as data: what each pin carries, and which way its line is pulled at reset.
// Facts of the board only; it opens nothing and knows nothing of what is wired there.

/** A GPIO line of the header; `name` is also its line name on the character device. */
export type HeaderLine = {
  readonly kind: "line";
  readonly pin: number;
  /** Offset on the header's own GPIO chip. */
  readonly offset: number;
  readonly name: string;
  /** Pull that the chip applies from power-up until a program says otherwise. */
  readonly resetPull: "up" | "down";
};

/** A pin that carries a supply or ground. */
export type HeaderSupply = { readonly kind: "supply"; readonly pin: number; readonly name: "3.3 V" | "5 V" | "ground" };

export type HeaderPin = HeaderLine | HeaderSupply;

/** Where the serial console sends, if the system has one: high while it is silent, as every serial line is, from before Linux runs. */
export const CONSOLE_OUTPUT = 14;

/** Lines 0 to 8 are pulled up at reset, 9 to 27 down (BCM2835 ARM Peripherals, section 6.2, table of alternative functions). */
const LAST_PULLED_UP = 8;

/** By row of the header, odd pin then even: a line's number, or a supply (Raspberry Pi documentation, "GPIO and the 40-pin header"). */
const ROWS: readonly (readonly [HeaderSupply["name"] | number, HeaderSupply["name"] | number])[] = [
  ["3.3 V", "5 V"],
  [2, "5 V"],
  [3, "ground"],
  [4, 14],
  ["ground", 15],
  [17, 18],
  [27, "ground"],
  [22, 23],
  ["3.3 V", 24],
  [10, "ground"],
  [9, 25],
  [11, 8],
  ["ground", 7],
  [0, 1],
  [5, "ground"],
  [6, 12],
  [13, "ground"],
  [19, 16],
  [26, 20],
  ["ground", 21],
];

/** All 40 pins, in order. */
export const HEADER_PINS: readonly HeaderPin[] = ROWS.flatMap((row, index) =>
  row.map((what, side): HeaderPin => {
    const pin = 2 * index + side + 1;
    if (typeof what !== "number") return { kind: "supply", pin, name: what };
    const resetPull = what <= LAST_PULLED_UP ? "up" : "down";
    return { kind: "line", pin, offset: what, name: `GPIO${what}`, resetPull };
  }),
);

/** The pin of a line of the header's own chip; null when the header does not carry it. */
export function headerLine(offset: number): HeaderLine | null {
  return HEADER_PINS.find((pin): pin is HeaderLine => pin.kind === "line" && pin.offset === offset) ?? null;
}
