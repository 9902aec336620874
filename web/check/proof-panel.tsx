// The relay lines with their read-back, and the guided proof test: one step at a time, each confirmed. It asks; the daemon
// moves the lines.

import type { Frame } from "../../daemon/wire/frame.ts";
import { NeedsLogin } from "../access/context.tsx";
import type { PageAction } from "../commands.ts";
import { type Figures, joined } from "../figures.ts";
import { strings } from "../strings.ts";
import { FactList } from "./fact-list.tsx";

const words = strings.check;
type Ask = (action: PageAction) => void;

function Steps({ step, ask }: { readonly step: Frame["proof_test"]["step"]; readonly ask: Ask }) {
  if (step === "idle") {
    return (
      <button type="button" onClick={() => ask({ kind: "proof test", step: "begin" })}>
        {words.begin}
        <NeedsLogin />
      </button>
    );
  }
  return (
    <>
      <button
        type="button"
        class="act"
        onClick={() =>
          ask({ kind: "proof test", step: step === "released" ? "confirm released" : "confirm permitted" })
        }
      >
        {step === "released" ? words.confirmReleased : words.confirmPermitted}
        <NeedsLogin />
      </button>
      <button type="button" onClick={() => ask({ kind: "proof test", step: "abandon" })}>
        {words.abandon}
        <NeedsLogin />
      </button>
    </>
  );
}

type PanelProps = { readonly frame: Frame; readonly figures: Figures; readonly ask: Ask };

export function ProofPanel({ frame, figures, ask }: PanelProps) {
  const { relay_permit: wanted, relay_readback: read, proof_test: proof } = frame;
  const date = (seconds: number | null, none: string): string => (seconds === null ? none : figures.day(seconds, true));
  const line = (name: "reduce" | "inhibit"): string => {
    const { lineState } = strings.stage;
    if (read === null) return `${lineState(wanted[name])}; ${words.noReadback}`;
    if (read[name] === wanted[name]) return `${lineState(wanted[name])}, ${words.agrees}`;
    return `${words.disagrees}: ${words.wantedRead(lineState(wanted[name]), lineState(read[name]))}`;
  };
  const seconds = (value: number | null): string =>
    value === null ? words.notKnown : value < 60 ? `${value}\u00a0s` : joined(figures.duration(value));
  const facts = [
    [words.line.reduce, line("reduce")],
    [words.line.inhibit, line("inhibit")],
    [words.last, date(proof.last_wall_seconds, words.never)],
    [words.due, date(proof.due_wall_seconds, words.notKnown)],
    [words.reaction, seconds(frame.reaction_seconds)],
    [words.safety, seconds(frame.process_safety_seconds)],
  ] as const;
  return (
    <section aria-labelledby="relay-title">
      <h2 id="relay-title">{`${words.relay}, ${words.proof.toLowerCase()}`}</h2>
      <FactList facts={facts} />
      {proof.instruction === "" ? (
        <p class="note">{words.proofNote}</p>
      ) : (
        <p role="status">
          <strong>{proof.instruction}</strong>
        </p>
      )}
      <p class="buttons">
        <Steps step={proof.step} ask={ask} />
      </p>
    </section>
  );
}
