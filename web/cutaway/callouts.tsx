// The numbers on the drawing, each on a shelf with a thin leader to where it is measured. Text is set in HTML above the
// drawing so that it stays readable at every size; the leaders are drawn under it.

import { strings } from "../strings.ts";
import type { Readout } from "./readout.ts";
import type { Callout as Place, Sheet } from "./sheet.ts";

const words = strings.drawing;

const shelfEnd = ({ at, width, leaderFrom }: Place): readonly [number, number] => [
  leaderFrom === "end" ? at[0] + width : at[0],
  at[1],
];

/** Leader lines in sheet units; a filled point is a sensor, an open one an estimate, a cross a sensor that failed. */
export function Leaders({ sheet, readouts }: { readonly sheet: Sheet; readonly readouts: readonly Readout[] }) {
  return (
    <g>
      {readouts.map(({ spot, quality }) => {
        const place = sheet.callouts[spot];
        const [fromX, fromY] = shelfEnd(place);
        const [x, y] = place.target;
        const shelf = `M ${place.at[0]} ${fromY} h ${place.width}`;
        return (
          <g key={spot} class={`leader-${quality}`}>
            <path class="leader-halo" d={`M ${fromX} ${fromY} L ${x} ${y}`} />
            <path class="leader-line" d={`${shelf} M ${fromX} ${fromY} L ${x} ${y}`} />
            {quality === "bad" ? (
              <path class="leader-cross" d={`M ${x - 5} ${y - 5} l 10 10 m 0 -10 l -10 10`} />
            ) : (
              <circle class="leader-point" cx={x} cy={y} r={4} />
            )}
          </g>
        );
      })}
    </g>
  );
}

function BigNumber({ figure, quality }: Pick<Readout, "figure" | "quality">) {
  if (figure === null) {
    return (
      <span class="callout-number number-struck">
        <s>{words.noReading}</s>
      </span>
    );
  }
  return (
    <span class={`callout-number number-${quality}`}>
      <span class="digits">{figure.number}</span>
      <span class="unit">{figure.unit}</span>
      {quality === "estimated" && <span class="unit">{words.estimated}</span>}
    </span>
  );
}

function Callout({ sheet, readout }: { readonly sheet: Sheet; readonly readout: Readout }) {
  const { spot, name, figure, quality, why, alarming, lines } = readout;
  const { at, width } = sheet.callouts[spot];
  const place = {
    left: `${(at[0] / sheet.width) * 100}%`,
    top: `${(at[1] / sheet.height) * 100}%`,
    width: `${(width / sheet.width) * 100}%`,
  };
  return (
    <div class={`callout callout-${quality} spot-${spot}`} style={place}>
      <div class="callout-above">
        <span class={alarming ? "callout-name callout-alarming" : "callout-name"}>{name}</span>
        <BigNumber figure={figure} quality={quality} />
      </div>
      <div class="callout-below">
        {(quality === "bad" || quality === "suspect") && (
          <span class="callout-why">
            {why === words.noEstimate ? why : `${words[quality]}${why === "" ? "" : `: ${why}`}`}
          </span>
        )}
        {lines.map((line) => (
          <span key={line}>{line}</span>
        ))}
      </div>
    </div>
  );
}

export function Callouts({ sheet, readouts }: { readonly sheet: Sheet; readonly readouts: readonly Readout[] }) {
  return (
    <div>
      {readouts.map((readout) => (
        <Callout key={readout.spot} sheet={sheet} readout={readout} />
      ))}
    </div>
  );
}
