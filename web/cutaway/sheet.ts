// The drawing sheet: where the box lies, where each number is measured and where it is written, for a wide and a narrow
// sheet. Geometry only; it knows no reading and draws nothing.

export type Point = readonly [x: number, y: number];

/** Places that carry a number. */
export type Spot = "ambient" | "inlet" | "outlet" | "wall" | "core" | "fan" | "airflow" | "drive";

/** A callout: text stands on a shelf line, which runs on to the target. */
export type Callout = {
  /** Left end of the shelf, sheet units. */
  readonly at: Point;
  readonly width: number;
  /** The end of the shelf from which the leader runs. */
  readonly leaderFrom: "start" | "end";
  readonly target: Point;
};

export type Sheet = {
  readonly name: "wide" | "narrow";
  readonly width: number;
  readonly height: number;
  /** Upper left corner of the box and the scale of box units. */
  readonly origin: Point;
  readonly scale: number;
  readonly callouts: { readonly [spot in Spot]: Callout };
  readonly scaleBar: { readonly at: Point; readonly width: number };
  readonly wireLabel: Point;
};

/** Measures of the box in box units; the drawing is made in these and scaled onto the sheet. */
export const BOX = {
  width: 600,
  height: 320,
  wall: 12,
  centreY: 160,
  vent: { top: 56, bottom: 264, slats: 7 },
  fan: { x: 584, radius: 88, hub: 27, frameDepth: 56 },
  core: { x: 268, outer: 96, bore: 54, depth: 156 },
  coaxX: 118,
  wireX: 452,
  /** Width over height of a circle seen at the angle of the drawing. */
  oblique: 0.4,
} as const;

const onSheet =
  ([originX, originY]: Point, scale: number) =>
  (x: number, y: number): Point => [originX + x * scale, originY + y * scale];

const wideOrigin: Point = [214, 160];
const wide = onSheet(wideOrigin, 0.9);

const WIDE: Sheet = {
  name: "wide",
  width: 960,
  height: 650,
  origin: wideOrigin,
  scale: 0.9,
  callouts: {
    ambient: { at: [12, 92], width: 178, leaderFrom: "end", target: wide(-24, 12) },
    inlet: { at: [12, 318], width: 150, leaderFrom: "end", target: wide(40, 176) },
    core: { at: [286, 78], width: 236, leaderFrom: "end", target: wide(372, 84) },
    outlet: { at: [788, 214], width: 170, leaderFrom: "start", target: wide(638, 118) },
    fan: { at: [788, 376], width: 170, leaderFrom: "start", target: wide(622, 206) },
    drive: { at: [12, 512], width: 150, leaderFrom: "end", target: wide(BOX.coaxX - 8, 366) },
    airflow: { at: [440, 540], width: 170, leaderFrom: "end", target: wide(500, 262) },
    wall: { at: [788, 540], width: 170, leaderFrom: "start", target: wide(560, 314) },
  },
  scaleBar: { at: [214, 604], width: 540 },
  wireLabel: [716, 66],
};

const narrowOrigin: Point = [26, 152];
const narrow = onSheet(narrowOrigin, 0.51);

const NARROW: Sheet = {
  name: "narrow",
  width: 360,
  height: 596,
  origin: narrowOrigin,
  scale: 0.51,
  callouts: {
    inlet: { at: [2, 58], width: 98, leaderFrom: "end", target: narrow(124, 152) },
    core: { at: [116, 58], width: 128, leaderFrom: "end", target: narrow(396, 84) },
    outlet: { at: [258, 58], width: 98, leaderFrom: "end", target: narrow(640, 112) },
    drive: { at: [12, 402], width: 92, leaderFrom: "end", target: narrow(BOX.coaxX + 10, 352) },
    airflow: { at: [116, 402], width: 108, leaderFrom: "end", target: narrow(452, 262) },
    fan: { at: [238, 402], width: 119, leaderFrom: "end", target: narrow(622, 206) },
    ambient: { at: [3, 508], width: 200, leaderFrom: "start", target: narrow(-36, 310) },
    wall: { at: [232, 508], width: 126, leaderFrom: "end", target: narrow(598, 312) },
  },
  scaleBar: { at: [26, 566], width: 306 },
  wireLabel: [270, 134],
};

export const SHEETS: { readonly [name in Sheet["name"]]: Sheet } = { wide: WIDE, narrow: NARROW };
