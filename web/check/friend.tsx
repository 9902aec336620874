// The same facts as plain text, to be copied into a mail. Where the browser refuses to copy, the text can be marked.

import { useSignal } from "@preact/signals";
import { strings } from "../strings.ts";

const words = strings.check;

export function Friend({ text }: { readonly text: string }) {
  const said = useSignal("");
  const copy = async (): Promise<void> => {
    try {
      await navigator.clipboard.writeText(text);
      said.value = words.copied;
    } catch {
      said.value = words.notCopied;
    }
  };
  return (
    <section class="panel" aria-labelledby="friend-title">
      <h2 id="friend-title">{words.friend}</h2>
      <p class="note">{words.friendNote}</p>
      <p class="buttons">
        <button type="button" onClick={() => void copy()}>
          {words.copy}
        </button>
      </p>
      <p role="status">{said.value}</p>
      <pre class="friend">{text}</pre>
    </section>
  );
}
