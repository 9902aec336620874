// The view Alarms: what happened, what do I do? One sentence first, then what stands, with cause, consequence and response,
// then the record and the whole list. It asks for commands; what they do the daemon decides.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { AlarmRow } from "../../daemon/wire/alarm.ts";
import type { Frame } from "../../daemon/wire/frame.ts";
import { NeedsLogin } from "../access/context.tsx";
import { readDaemon } from "../ask-daemon.ts";
import type { PageAction } from "../commands.ts";
import { joined } from "../figures.ts";
import { Confirm } from "../now/confirm.tsx";
import { isWaiting } from "../sound.ts";
import type { Store } from "../store.ts";
import { strings } from "../strings.ts";
import { AlarmCard } from "./alarm-card.tsx";
import { AlarmList } from "./alarm-list.tsx";
import { HornPanel } from "./horn-panel.tsx";
import { RecordPanel } from "./record-panel.tsx";

const words = strings.alarmView;
const ASIDE = ["shelved", "suppressed by design", "out of service"];

/** The one sentence that stands first. */
function sentenceOf(frame: Frame, rows: readonly AlarmRow[]): string {
  const { alarms } = frame;
  const waiting = alarms.find(isWaiting);
  if (waiting !== undefined) {
    const row = rows.find(({ tag }) => tag === waiting.tag);
    return words.oneWaits(words.name(waiting.tag), row?.response ?? null);
  }
  if (alarms.length === 0) return words.calm;
  const standing = alarms.filter(({ state }) => !ASIDE.includes(state)).length;
  return standing === 0 ? words.quietOnes(alarms.length) : words.seen(standing);
}

function Bypass({ frame, store, ask }: { frame: Frame; store: Store; ask: (action: PageAction) => void }) {
  const until = frame.bypassed_until_seconds;
  return (
    <section aria-labelledby="bypass-title" class="panel">
      <h2 id="bypass-title">{words.bypassTitle}</h2>
      <p>
        {until === null
          ? words.bypassNote
          : words.bypassed(joined(store.figures.value.duration(until - frame.at_seconds)))}
      </p>
      <p class="buttons">
        {until === null ? (
          <button type="button" onClick={() => ask({ kind: "bypass", seconds: 0, comment: "" })}>
            {words.bypass}
            <NeedsLogin />
          </button>
        ) : (
          <button type="button" class="act" onClick={() => ask({ kind: "end bypass" })}>
            {words.endBypass}
            <NeedsLogin />
          </button>
        )}
      </p>
    </section>
  );
}

export function Alarms({ store }: { readonly store: Store }) {
  const rows = useSignal<readonly AlarmRow[]>([]);
  const pending = useSignal<PageAction | null>(null);
  useEffect(() => {
    void readDaemon<readonly AlarmRow[]>("/api/v1/alarms").then((list) => {
      rows.value = list ?? [];
    });
  }, [store.model.value.about?.boot_id]);
  const { frame } = store.model.value;
  const ask = (action: PageAction): void => {
    pending.value = action;
  };
  if (frame === null) return <h1 class="headline">{strings.sentence.connecting}</h1>;
  const silent = store.fresh.value === "silent";
  const waiting = frame.alarms.some(isWaiting);
  return (
    <>
      <div class={`headline tone-${silent ? "blind" : waiting ? "act" : "calm"}`}>
        <h1>{silent ? strings.sentence.noData(store.age.value ?? 0) : sentenceOf(frame, rows.value)}</h1>
        {silent && <p class="note">{words.old}</p>}
      </div>
      <div class="columns">
        <div>
          <section aria-labelledby="standing-title">
            <h2 id="standing-title">{words.standing}</h2>
            {frame.alarms.length === 0 ? (
              <p class="note">{silent ? strings.alarms.noneHeard : strings.alarms.none}</p>
            ) : (
              <ul>
                {frame.alarms.map((alarm) => (
                  <AlarmCard
                    key={alarm.tag}
                    alarm={alarm}
                    row={rows.value.find(({ tag }) => tag === alarm.tag) ?? null}
                    frame={frame}
                    figures={store.figures.value}
                    ask={ask}
                  />
                ))}
              </ul>
            )}
          </section>
          <RecordPanel figures={store.figures.value} utc={store.preferences.value.clock === "utc"} />
        </div>
        <div>
          <HornPanel store={store} />
          <Bypass frame={frame} store={store} ask={ask} />
        </div>
      </div>
      <AlarmList rows={rows.value} figures={store.figures.value} />
      <Confirm pending={pending} send={store.ask} />
    </>
  );
}
