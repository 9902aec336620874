// The table twin of the compared curves: the hottest core of each elapsed hour.

import type { Figures } from "../figures.ts";
import { seasonStrings } from "../strings/season.ts";
import { strings } from "../strings.ts";
import type { ElapsedTrace } from "./csv.ts";
import { Scroll } from "./scroll.tsx";

const words = seasonStrings.compare;

/** Highest value of each whole hour since the start; null where nothing is known. */
export function hourlyPeaks(traces: readonly ElapsedTrace[]): readonly (readonly (number | null)[])[] {
  const hours = Math.max(0, ...traces.flatMap(({ points }) => points.map(([at]) => Math.floor(at / 3600) + 1)));
  return Array.from({ length: hours }, (_, hour) =>
    traces.map(({ points }) => {
      const within = points.filter(([at]) => Math.floor(at / 3600) === hour).map(([, , high]) => high);
      return within.length === 0 ? null : Math.max(...within);
    }),
  );
}

export function TraceTable({
  traces,
  figures,
}: {
  readonly traces: readonly ElapsedTrace[];
  readonly figures: Figures;
}) {
  return (
    <details>
      <summary>{words.table}</summary>
      <Scroll label={words.caption}>
        <table>
          <caption>{`${words.caption}, ${figures.temperature(0).unit}`}</caption>
          <thead>
            <tr>
              <th scope="col">{words.hour}</th>
              {traces.map(({ session }, index) => (
                <th key={`${index} ${session.id}`} scope="col">
                  {session.name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {hourlyPeaks(traces).map((peaks, hour) => (
              <tr key={`${hour + 1}`}>
                <th scope="row">{hour + 1}</th>
                {peaks.map((celsius, index) => (
                  <td key={`${index + 1}`}>
                    {celsius === null ? strings.drawing.noReading : figures.temperature(celsius, 0).number}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </Scroll>
    </details>
  );
}
