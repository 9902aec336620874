// The stack of toroids on edge with its winding, in box units. Its faces take the colour of the heat scale, or stay bare
// where there is no estimate. It knows one temperature and where to put it.

import { BOX } from "./sheet.ts";

const { core, centreY, oblique, height, wall } = BOX;
const outerX = core.outer * oblique;
const boreX = core.bore * oblique;
const top = centreY - core.outer;
const bottom = centreY + core.outer;

const MOST_TOROIDS = 6;
const GAP = 7;

/** Turns, degrees from the top of the ring; open at the bottom where the leads leave. */
const TURNS = [-144, -120, -96, -72, -48, -24, 0, 24, 48, 72, 96, 120, 144];

type Ring = { readonly x: number; readonly depth: number };

function rings(toroids: number): readonly Ring[] {
  const count = Math.min(MOST_TOROIDS, Math.max(1, Math.round(toroids)));
  const depth = (core.depth - GAP * (count - 1)) / count;
  return Array.from({ length: count }, (_, index) => ({ x: core.x + index * (depth + GAP), depth }));
}

const ringPoint = (x: number, radiusX: number, radiusY: number, degrees: number): readonly [number, number] => {
  const angle = (degrees * Math.PI) / 180;
  return [x + radiusX * Math.sin(angle), centreY - radiusY * Math.cos(angle)];
};

function Toroid({ x, depth }: Ring) {
  const side = `M ${x} ${top} H ${x + depth} A ${outerX} ${core.outer} 0 0 1 ${x + depth} ${bottom} H ${x} A ${outerX} ${core.outer} 0 0 0 ${x} ${top} Z`;
  return (
    <g>
      <path class="ferrite" d={side} />
      <path class="ferrite-shade" d={side} />
      <ellipse class="ferrite" cx={x} cy={centreY} rx={outerX} ry={core.outer} />
    </g>
  );
}

/** One turn: along the outside where it faces us, down the face, and into the bore. */
function turnPath(degrees: number, front: number, back: number): string {
  const [outX, outY] = ringPoint(front, outerX, core.outer, degrees);
  const [inX, inY] = ringPoint(front, boreX, core.bore, degrees);
  const along = degrees > 0 && degrees < 180 ? `M ${back + (outX - front)} ${outY} H ${outX}` : `M ${outX} ${outY}`;
  const into = degrees < 0 ? ` l 9 0` : "";
  return `${along} L ${inX} ${inY}${into}`;
}

/** The core; `toroids` as built. The colour comes through the custom property --heat of an ancestor. */
export function Core({ toroids }: { readonly toroids: number }) {
  const stack = rings(toroids);
  const first = stack[0];
  const last = stack.at(-1);
  if (first === undefined || last === undefined) return null;
  const back = last.x + last.depth;
  const middle = core.x + core.depth / 2;
  return (
    <g>
      <path
        class="metal"
        d={`M ${middle - 62} ${height - wall} L ${middle - 50} ${bottom - 12} H ${middle + 66} L ${middle + 78} ${height - wall} Z`}
      />
      {[...stack].reverse().map((ring) => (
        <Toroid key={ring.x} {...ring} />
      ))}
      <ellipse class="bore" cx={first.x} cy={centreY} rx={boreX} ry={core.bore} />
      {TURNS.map((degrees) => (
        <g key={degrees}>
          <path class="turn-edge" d={turnPath(degrees, first.x, back)} />
          <path class="turn" d={turnPath(degrees, first.x, back)} />
        </g>
      ))}
    </g>
  );
}
