// The view Check: is the hardware well? One sentence, then every part with its failures split by receiving and
// transmitting, the relay and its proof test, and the daemon itself. It asks every few seconds and decides nothing.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Check as CheckAnswer } from "../../daemon/wire/check.ts";
import { readDaemon } from "../ask-daemon.ts";
import { browserClock } from "../clock.ts";
import type { PageAction } from "../commands.ts";
import { Confirm } from "../now/confirm.tsx";
import type { Store } from "../store.ts";
import { strings } from "../strings.ts";
import { FactList } from "./fact-list.tsx";
import { daemonFacts, driveFacts, type Fact, factsText, tachFacts } from "./facts.ts";
import { Friend } from "./friend.tsx";
import { ProofPanel } from "./proof-panel.tsx";
import { BusTable, PartTable } from "./tables.tsx";
import { troubles } from "./troubles.ts";

const words = strings.check;
const ASK_SECONDS = 4;

function Facts({ id, title, facts }: { id: string; title: string; facts: readonly Fact[] }) {
  return (
    <section class="panel" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      <FactList facts={facts} />
    </section>
  );
}

export function Check({ store }: { readonly store: Store }) {
  const check = useSignal<CheckAnswer | null | "asking">("asking");
  const pending = useSignal<PageAction | null>(null);
  useEffect(() => {
    let shown = true;
    const read = async (): Promise<void> => {
      const answer = await readDaemon<CheckAnswer>("/api/v1/check");
      if (shown) check.value = answer;
    };
    void read();
    const cancel = browserClock().every(ASK_SECONDS, () => void read());
    return () => {
      shown = false;
      cancel();
    };
  }, []);
  const { frame } = store.model.value;
  const figures = store.figures.value;
  const said = check.value;
  if (said === "asking" || frame === null) return <h1 class="headline">{words.asking}</h1>;
  if (said === null) return <h1 class="headline tone-act">{words.failed}</h1>;
  const wrong = troubles(said, frame);
  return (
    <>
      <div class={`headline tone-${wrong.length === 0 ? "calm" : "act"}`}>
        <h1>{wrong.length === 0 ? words.allWell : words.notWell(wrong)}</h1>
      </div>
      <div class="columns">
        <div>
          {said.hardware !== null && <PartTable hardware={said.hardware} figures={figures} />}
          {said.hardware !== null && <BusTable buses={said.hardware.buses} figures={figures} />}
        </div>
        <div>
          <ProofPanel
            frame={frame}
            figures={figures}
            ask={(action) => {
              pending.value = action;
            }}
          />
          {said.tach !== null && <Facts id="tach-title" title={words.tach} facts={tachFacts(said.tach, figures)} />}
          <Facts id="drive-title" title={words.drive} facts={driveFacts(said, figures)} />
          <Facts id="daemon-title" title={words.daemon} facts={daemonFacts(said, figures)} />
        </div>
      </div>
      <Friend text={factsText(said, frame, figures, store.model.value.about)} />
      <Confirm pending={pending} send={store.ask} />
    </>
  );
}
