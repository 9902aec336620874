// The map's table twin: a row a day, a column an hour. Made when it is opened, because it is long.

import { useSignal } from "@preact/signals";
import type { Figures } from "../figures.ts";
import { seasonStrings } from "../strings/season.ts";
import { strings } from "../strings.ts";
import { DAY_SECONDS, HOURS_A_DAY, type SeasonGrid } from "./calendar.ts";
import { Scroll } from "./scroll.tsx";

const words = seasonStrings.map;

export function HourTable({ grid, figures }: { readonly grid: SeasonGrid; readonly figures: Figures }) {
  const open = useSignal(false);
  const hours = Array.from({ length: HOURS_A_DAY }, (_, hour) => hour);
  const caption = words.caption(figures.temperature(0).unit);
  return (
    <details
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary>{words.table}</summary>
      {open.value && (
        <Scroll label={caption}>
          <table class="hour-table">
            <caption>{caption}</caption>
            <thead>
              <tr>
                <th scope="col">{words.date}</th>
                {hours.map((hour) => (
                  <th key={hour} scope="col">
                    {String(hour).padStart(2, "0")}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {Array.from({ length: grid.days }, (_, day) => (
                <tr key={day}>
                  <th scope="row">{figures.day((grid.firstDay + day) * DAY_SECONDS)}</th>
                  {hours.map((hour) => {
                    const celsius = grid.cells[day * HOURS_A_DAY + hour]?.peak_core_celsius ?? null;
                    return (
                      <td key={hour}>
                        {celsius === null ? strings.drawing.noReading : figures.temperature(celsius, 0).number}
                      </td>
                    );
                  })}
                </tr>
              ))}
            </tbody>
          </table>
        </Scroll>
      )}
    </details>
  );
}
