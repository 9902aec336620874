// The view Now: can I keep transmitting? One sentence first, then the evidence. It composes; each part judges nothing.

import { useSignal } from "@preact/signals";
import { useRef } from "preact/hooks";
import { TrailPanel } from "../chart/trail-panel.tsx";
import type { PageAction } from "../commands.ts";
import { Cutaway } from "../cutaway/cutaway.tsx";
import { caveats, sentence } from "../sentence.ts";
import type { Store } from "../store.ts";
import { AlarmStrip } from "./alarm-strip.tsx";
import { Confirm } from "./confirm.tsx";
import { Verdict } from "./verdict.tsx";

/** Says the sentence to a screen reader when its gravity or the stage changes, and not each time a number moves. */
function Spoken({ text, gravity }: { readonly text: string; readonly gravity: string }) {
  const said = useRef({ text, gravity });
  if (said.current.gravity !== gravity) said.current = { text, gravity };
  return (
    <p class="hidden" role="status">
      {said.current.text}
    </p>
  );
}

function Headline({ store }: { readonly store: Store }) {
  const { frame, about } = store.model.value;
  const said = sentence({
    frame,
    about,
    ageSeconds: store.exactAge.value,
    heaviestDriveWatts: store.heaviestDrive.value,
    figures: store.figures.value,
  });
  const notes = frame === null || store.fresh.value === "silent" ? [] : caveats(frame);
  return (
    <div class={`headline tone-${said.tone} age-${store.fresh.value}`}>
      <h1>{said.text}</h1>
      <Spoken text={said.text} gravity={`${said.tone} ${frame?.power_stage} ${store.fresh.value}`} />
      {notes.length > 0 && (
        <ul class="caveats">
          {notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      )}
    </div>
  );
}

export function Now({ store }: { readonly store: Store }) {
  const pending = useSignal<PageAction | null>(null);
  const { frame, about } = store.model.value;
  const figures = store.figures.value;
  const fresh = store.fresh.value;
  return (
    <>
      <Headline store={store} />
      {frame !== null && about !== null && (
        <div class={`now age-${fresh}`}>
          <Cutaway
            frame={frame}
            about={about}
            figures={figures}
            look={store.look.value}
            moving={store.moving.value}
            fresh={fresh}
            ageSeconds={store.age.value}
          />
          <div class="side">
            <Verdict
              frame={frame}
              about={about}
              figures={figures}
              onReset={() => {
                pending.value = { kind: "reset" };
              }}
            />
            <AlarmStrip
              frame={frame}
              figures={figures}
              silent={fresh === "silent"}
              onAcknowledge={(tag) => {
                pending.value = { kind: "acknowledge", tag };
              }}
            />
          </div>
          <TrailPanel store={store} />
        </div>
      )}
      <Confirm pending={pending} send={store.ask} />
    </>
  );
}
