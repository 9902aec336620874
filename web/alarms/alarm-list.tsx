// The whole rationalised list as the daemon runs it: when each alarm comes and what it asks for. Folded away until wanted.

import type { AlarmRow } from "../../daemon/wire/alarm.ts";
import type { Figures } from "../figures.ts";
import { PriorityMark } from "../now/alarm-strip.tsx";
import { strings } from "../strings.ts";
import { respondTime } from "./respond-time.ts";

const words = strings.alarmView;

export function AlarmList({ rows, figures }: { readonly rows: readonly AlarmRow[]; readonly figures: Figures }) {
  return (
    <details class="panel">
      <summary>{words.list}</summary>
      <p class="note">{words.listCaption}</p>
      <ul>
        {rows.map(({ tag, priority, comes, latched, response, respond_within_seconds }) => (
          <li key={tag} class={`alarm alarm-${priority}`}>
            <PriorityMark priority={priority} />
            <div>
              <p>
                <strong>{words.name(tag)}</strong>
                <span class="note">{` ${strings.alarms.priority[priority]}; ${words.comes} ${figures.readable(comes)}${latched ? `, ${words.latched}` : ""}`}</span>
              </p>
              <p>{`${response}, ${words.within(respondTime({ respond_within_seconds }, figures))}.`}</p>
            </div>
          </li>
        ))}
      </ul>
    </details>
  );
}
