// The fixed parts of the drawing, in box units: walls in section, louvres, fan frame, coax, wire. It shows no reading.

import { BOX } from "./sheet.ts";

const { width, height, wall, vent, fan, coaxX, wireX, centreY, oblique } = BOX;

const pitch = (vent.bottom - vent.top) / vent.slats;
const slats = Array.from({ length: vent.slats }, (_, index) => vent.top + (index + 0.5) * pitch);
const fanTop = centreY - fan.radius - 10;
const fanBottom = centreY + fan.radius + 10;

/** One louvre slat in section, shedding rain outwards. */
const slat = (y: number): string =>
  `M ${wall + 3} ${y - pitch * 0.42} l 3.4 3 L ${-8} ${y + pitch * 0.46} l -9 0 l -1.5 -3.4 l 7.6 -0.6 Z`;

/** The interior, behind air and core. */
export function BoxBack() {
  return (
    <g>
      <rect class="interior" x={0} y={0} width={width} height={height} />
      <line class="centre-line" x1={-66} y1={centreY} x2={width + 66} y2={centreY} />
    </g>
  );
}

function Walls() {
  const outer = `M 0 0 H ${width} V ${fanTop} H ${width - wall} V ${wall} H ${wall} V ${vent.top} H 0 Z`;
  const lower = `M 0 ${height} H ${width} V ${fanBottom} H ${width - wall} V ${height - wall} H ${wall} V ${vent.bottom} H 0 Z`;
  return (
    <g>
      <path class="cut" d={outer} />
      <path class="cut" d={lower} />
      {slats.map((y) => (
        <path key={y} class="slat" d={slat(y)} />
      ))}
    </g>
  );
}

function FanFrame() {
  const left = fan.x - fan.frameDepth / 2;
  return (
    <g>
      <rect class="cut" x={left} y={fanTop} width={fan.frameDepth} height={11} />
      <rect class="cut" x={left} y={fanBottom - 11} width={fan.frameDepth} height={11} />
      <ellipse class="ink thin" cx={fan.x - 8} cy={centreY} rx={(fan.radius + 3) * oblique} ry={fan.radius + 3} />
      <path
        class="ink thin"
        d={`M ${left} ${centreY - 15} h 18 v 30 h -18 Z M ${left} ${centreY} H ${left - 5} M ${left + 3} ${fanTop + 11} V ${centreY - 15} M ${left + 3} ${centreY + 15} V ${fanBottom - 11}`}
      />
    </g>
  );
}

/** Where the drive comes in: connector, cable and the lead to the primary. */
function Coax() {
  const floor = height - wall;
  return (
    <g>
      <path
        class="lead"
        d={`M ${coaxX} ${floor - 22} C ${coaxX} 236, 214 268, ${BOX.core.x - 22} ${centreY + BOX.core.outer - 6}`}
      />
      <rect class="metal" x={coaxX - 15} y={floor - 5} width={30} height={5} />
      <rect class="metal" x={coaxX - 6} y={floor - 22} width={12} height={17} />
      <rect class="metal" x={coaxX - 10} y={height} width={20} height={22} />
      <path class="ink thin" d={`M ${coaxX - 10} ${height + 6} h 20 m 0 5 h -20 m 0 5 h 20`} />
      <path class="cable" d={`M ${coaxX} ${height + 22} C ${coaxX} 400, ${coaxX - 26} 392, ${coaxX - 26} 424`} />
      <path class="cable-core" d={`M ${coaxX} ${height + 22} C ${coaxX} 400, ${coaxX - 26} 392, ${coaxX - 26} 424`} />
    </g>
  );
}

/** Where the drive goes out: ribbed insulator, and the wire that carries kilovolts. */
function Wire() {
  const ribs = [0, 1, 2, 3];
  return (
    <g>
      <path
        class="lead"
        d={`M ${BOX.core.x + BOX.core.depth + 8} ${centreY - BOX.core.outer + 4} C ${wireX - 6} 52, ${wireX} 62, ${wireX} 30`}
      />
      <rect class="metal" x={wireX - 4} y={-50} width={8} height={84} />
      {ribs.map((rib) => (
        <path
          key={rib}
          class="ceramic"
          d={`M ${wireX - 13 + rib} ${-3 - rib * 10} a 4.6 4.6 0 0 1 0 -9.2 h ${26 - 2 * rib} a 4.6 4.6 0 0 1 0 9.2 Z`}
        />
      ))}
      <rect class="ceramic" x={wireX - 12} y={wall} width={24} height={9} />
      <path class="wire" d={`M ${wireX} -50 C ${wireX + 6} -68, ${wireX + 48} -88, ${wireX + 84} -94`} />
    </g>
  );
}

/** Everything solid around the core. */
export function BoxFront() {
  return (
    <g>
      <Walls />
      <FanFrame />
      <Coax />
      <Wire />
    </g>
  );
}
