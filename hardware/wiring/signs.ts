// The sign of each kind of part, as SVG paths in grid steps about its middle, terminals where sheet.ts says.
// Shapes follow the usual ones of IEC 60617; each is drawn for this project.

import type { Placed } from "./sheet.ts";

/** A path to stroke; `filled` ones are solid, `thick` ones are a bar. */
export type Stroke = { readonly path: string; readonly filled?: boolean; readonly text?: string };

const LEADS = "M-2 0H-1M1 0H2";

const TRIANGLE = "M-0.6 -0.7V0.7L0.6 0Z";

const SIGNS: Readonly<Record<Placed["kind"], readonly Stroke[]>> = {
  resistor: [{ path: `${LEADS}M-1 -0.45H1V0.45H-1Z` }],
  capacitor: [{ path: "M-2 0H-0.2M0.2 0H2M-0.2 -0.8V0.8M0.2 -0.8V0.8" }],
  diode: [{ path: "M-2 0H-0.6M0.6 0H2M0.6 -0.7V0.7" }, { path: TRIANGLE, filled: true }],
  schottky: [{ path: "M-2 0H-0.6M0.6 0H2M0.25 -0.45V-0.7H0.6V0.7H0.95V0.45" }, { path: TRIANGLE, filled: true }],
  // Conducts backwards above its voltage.
  suppressor: [{ path: "M-2 0H-0.6M0.6 0H2M0.25 -0.95L0.6 -0.7V0.7L0.95 0.95" }, { path: TRIANGLE, filled: true }],
  bead: [{ path: "M-2 0H2M-0.8 -0.5H0.8V0.5H-0.8ZM-0.4 0.5L0.4 -0.5" }],
  choke: [{ path: "M-2 0H-1.5A0.5 0.5 0 0 1 -0.5 0A0.5 0.5 0 0 1 0.5 0A0.5 0.5 0 0 1 1.5 0H2M-1.5 -0.75H1.5" }],
  fuse: [{ path: "M-2 0H2M-1 -0.45H1V0.45H-1Z" }],
  coil: [{ path: `${LEADS}M-1 -0.8H1V0.8H-1ZM-1 0.8L1 -0.8` }],
  // Drawn at rest, with the coil released.
  make: [{ path: "M-2 0H-0.9M0.9 0H2M-0.9 0L0.8 -0.9" }],
  break: [{ path: "M-2 0H-0.9M0.9 0H2M-0.9 0L1.1 -0.5M0.9 0V-0.8" }],
  cutout: [{ path: "M-2 0H-0.9M0.9 0H2M-0.9 0L1.1 -0.5M0.9 0V-0.8M-1.4 -1.3H1.4M0 -0.3V-1.3" }],
  motor: [{ path: "M-2 0H-1M1 0H2M-1 0A1 1 0 1 1 1 0A1 1 0 1 1 -1 0Z" }],
  // N-channel MOSFET: gate from the left, drain up, source down.
  transistor: [
    { path: "M-2 0H-0.4M-0.4 -0.8V0.8M0 -1V-0.5M0 -0.25V0.25M0 0.5V1M0 -0.75H1V-2M0 0.75H1V2M0 0H1V0.75" },
    { path: "M0.05 0L0.55 -0.28V0.28Z", filled: true },
  ],
  ground: [{ path: "M0 0V0.8M-0.8 0.8H0.8M-0.5 1.15H0.5M-0.2 1.5H0.2" }],
  supply: [{ path: "M0 0V-0.7M-0.6 -0.7H0.6" }],
};

export function signOf(kind: Placed["kind"]): readonly Stroke[] {
  return SIGNS[kind];
}
