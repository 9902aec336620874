// The alarms that stand, worst first, each with tag, state and text in words and a shape per priority. It asks for
// acknowledgement; it never hides an alarm by itself.

import type { Frame, WireAlarm } from "../../daemon/wire/frame.ts";
import { NeedsLogin } from "../access/context.tsx";
import { type Figures, joined } from "../figures.ts";
import { strings } from "../strings.ts";

const words = strings.alarms;
/** The strip stays a strip; the rest is counted. */
const MOST_SHOWN = 6;

/** high: a filled triangle; medium: a filled diamond; low: a ring. */
export function PriorityMark({ priority }: { readonly priority: WireAlarm["priority"] }) {
  return (
    <svg class="priority-mark" viewBox="0 0 24 24" aria-hidden="true">
      {priority === "high" && <path class="mark-solid" d="M 12 2 L 23 21 H 1 Z" />}
      {priority === "medium" && <path class="mark-solid" d="M 12 2 L 22 12 L 12 22 L 2 12 Z" />}
      {priority === "low" && <circle class="mark-line" cx="12" cy="12" r="8" />}
    </svg>
  );
}

const wantsAcknowledging = (state: string): boolean => state.includes("unacknowledged");

type StripProps = {
  readonly frame: Frame;
  readonly figures: Figures;
  /** True when the feedpoint has not been heard for so long that nothing here is news. */
  readonly silent: boolean;
  readonly onAcknowledge: (tag: string) => void;
};

function Alarm({ alarm, frame, figures, onAcknowledge }: Omit<StripProps, "silent"> & { readonly alarm: WireAlarm }) {
  const { tag, state, priority, text, since_seconds } = alarm;
  const waiting = wantsAcknowledging(state);
  return (
    <li class={`alarm alarm-${priority}${waiting ? " alarm-waiting" : ""}`}>
      <PriorityMark priority={priority} />
      <div class="alarm-words">
        <p class="alarm-head">
          <strong>{strings.alarmView.name(tag)}</strong>
          <span class="alarm-state">{`${words.priority[priority]}, ${state}`}</span>
        </p>
        <p>{figures.readable(text)}</p>
        <p class="note">{words.since(joined(figures.duration(frame.at_seconds - since_seconds)))}</p>
      </div>
      {waiting && (
        <button type="button" onClick={() => onAcknowledge(tag)}>
          {words.acknowledge}
          <span class="hidden">{` ${strings.alarmView.name(tag)}`}</span>
          <NeedsLogin right="acknowledge" />
        </button>
      )}
    </li>
  );
}

export function AlarmStrip(props: StripProps) {
  const { alarms } = props.frame;
  const hidden = alarms.length - MOST_SHOWN;
  return (
    <section class="alarms" aria-labelledby="alarms-title">
      <h2 id="alarms-title">{words.title}</h2>
      {alarms.length === 0 ? (
        <p class="note">{props.silent ? words.noneHeard : words.none}</p>
      ) : (
        <ul>
          {alarms.slice(0, MOST_SHOWN).map((alarm) => (
            <Alarm key={alarm.tag} alarm={alarm} {...props} />
          ))}
        </ul>
      )}
      {hidden > 0 && <p class="note">{words.more(hidden)}</p>}
    </section>
  );
}
