// One alarm in full: shape and words for its priority and state, likely cause, consequence, response, and what may be
// done about it in this state. It carries nothing out.

import type { AlarmRow } from "../../daemon/wire/alarm.ts";
import type { Frame, WireAlarm } from "../../daemon/wire/frame.ts";
import { NeedsLogin } from "../access/context.tsx";
import type { PageAction } from "../commands.ts";
import { type Figures, joined } from "../figures.ts";
import { PriorityMark } from "../now/alarm-strip.tsx";
import { isWaiting } from "../sound.ts";
import { strings } from "../strings.ts";
import { respondTime } from "./respond-time.ts";

const words = strings.alarmView;

type CardProps = {
  readonly alarm: WireAlarm;
  /** The fixed words; null until they came. */
  readonly row: AlarmRow | null;
  readonly frame: Frame;
  readonly figures: Figures;
  readonly ask: (action: PageAction) => void;
};

function Actions({ alarm, ask }: Pick<CardProps, "alarm" | "ask">) {
  const { tag, state } = alarm;
  const of = <span class="hidden">{` ${words.name(tag)}`}</span>;
  return (
    <p class="buttons">
      {isWaiting(alarm) && (
        <button type="button" class="act" onClick={() => ask({ kind: "acknowledge", tag })}>
          {strings.alarms.acknowledge}
          {of}
          <NeedsLogin right="acknowledge" />
        </button>
      )}
      {state.startsWith("latched") && (
        <button type="button" onClick={() => ask({ kind: "reset" })}>
          {strings.stage.reset}
          {of}
          <NeedsLogin />
        </button>
      )}
      {state === "shelved" ? (
        <button type="button" onClick={() => ask({ kind: "unshelve", tag })}>
          {words.unshelve}
          {of}
          <NeedsLogin />
        </button>
      ) : (
        (state === "unacknowledged" || state === "acknowledged" || state === "returned to normal unacknowledged") && (
          <button type="button" onClick={() => ask({ kind: "shelve", tag, seconds: 0 })}>
            {words.shelve}
            {of}
            <NeedsLogin />
          </button>
        )
      )}
    </p>
  );
}

export function AlarmCard({ alarm, row, frame, figures, ask }: CardProps) {
  const { tag, state, priority, text, since_seconds, until_seconds } = alarm;
  const age = frame.at_seconds - since_seconds;
  return (
    <li class={`alarm alarm-${priority}${isWaiting(alarm) ? " alarm-waiting" : ""}`} data-tag={tag}>
      <PriorityMark priority={priority} />
      <div class="alarm-words">
        <h3>{words.name(tag)}</h3>
        <p class="alarm-state">{`${strings.alarms.priority[priority]}, ${state}`}</p>
        <p>{figures.readable(text)}</p>
        <p class="note">
          {words.since(figures.clock(frame.wall_seconds - age), joined(figures.duration(age)))}
          {until_seconds !== null &&
            `; ${words.until(joined(figures.duration(Math.max(0, until_seconds - frame.at_seconds))))}`}
        </p>
        {row !== null && (
          <dl class="advice">
            <dt>{words.response}</dt>
            <dd class="advice-response">{`${row.response}, ${words.within(respondTime(row, figures))}.`}</dd>
            <dt>{words.cause}</dt>
            <dd>{row.cause}.</dd>
            <dt>{words.consequence}</dt>
            <dd>{row.consequence}.</dd>
          </dl>
        )}
        <Actions alarm={alarm} ask={ask} />
      </div>
    </li>
  );
}
