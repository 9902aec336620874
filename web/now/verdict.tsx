// Headroom, sustainable drive and power stage, large enough to read from two metres. Each state has its words and its
// shape; colour only repeats them.

import type { About, Frame, WireStage } from "../../daemon/wire/frame.ts";
import { NeedsLogin } from "../access/context.tsx";
import { type Figure, type Figures, joined, roundedWatts } from "../figures.ts";
import { isYoung } from "../sentence.ts";
import { strings } from "../strings.ts";

/** A large figure with its unit set smaller. */
function Large({ figure }: { readonly figure: Figure }) {
  return (
    <p class={figure.number.length > 5 ? "large large-long" : "large"}>
      <span class="digits">{figure.number}</span>
      <span class="unit">{figure.unit}</span>
    </p>
  );
}

const LargeWords = ({ text }: { readonly text: string }) => <p class="large large-words digits">{text}</p>;

type Part = { readonly frame: Frame; readonly about: About; readonly figures: Figures };

function HeadroomBody({ frame, about, figures }: Part) {
  const words = strings.headroom;
  const { headroom } = frame;
  switch (headroom.kind) {
    case "levels off":
      return (
        <>
          <p class="lead-in">{words.levelsOff}</p>
          <Large figure={figures.temperature(headroom.level_celsius, 0)} />
          <p class="note">{words.belowLimit(joined(figures.temperature(about.limit_celsius, 0)))}</p>
        </>
      );
    case "reaches limit":
      return (
        <>
          <Large figure={figures.duration(headroom.seconds)} />
          <p class="note">{words.toLimit}</p>
        </>
      );
    case "at limit":
      return (
        <>
          <LargeWords text={words.atLimit} />
          <p class="note">{words.atLimitNote}</p>
        </>
      );
    case "unknown":
      return (
        <>
          <LargeWords text={isYoung(frame) ? words.young : words.unknown} />
          <p class="note">{isYoung(frame) ? words.youngNote : words.unknownNote}</p>
        </>
      );
  }
}

function Headroom(part: Part) {
  return (
    <section aria-labelledby="headroom-title" class="reading">
      <h2 id="headroom-title">{strings.headroom.title}</h2>
      <HeadroomBody {...part} />
    </section>
  );
}

function Sustainable({ frame, figures }: Part) {
  const words = strings.sustainable;
  const watts = frame.quantities.sustainable_watts?.value ?? null;
  return (
    <section aria-labelledby="sustainable-title" class="reading reading-second">
      <h2 id="sustainable-title">{words.title}</h2>
      {watts === null ? <LargeWords text={words.unknown} /> : <Large figure={figures.power(roundedWatts(watts))} />}
      <p class="note">{watts === null ? words.unknownNote : words.note}</p>
    </section>
  );
}

type Shown = WireStage | "bypassed";

/** full: a whole disc; reduced: half of one; inhibited: a barred square; bypassed: a broken ring. */
function StageMark({ stage }: { readonly stage: Shown }) {
  return (
    <svg class={`stage-mark stage-mark-${stage}`} viewBox="0 0 40 40" aria-hidden="true">
      {stage === "full" && <circle class="mark-solid" cx="20" cy="20" r="16" />}
      {stage === "reduced" && (
        <>
          <circle class="mark-line" cx="20" cy="20" r="16" />
          <path class="mark-solid" d="M 4 20 a 16 16 0 0 0 32 0 Z" />
        </>
      )}
      {stage === "inhibited" && (
        <>
          <rect class="mark-solid" x="3" y="3" width="34" height="34" />
          <rect class="mark-bar" x="9" y="16" width="22" height="8" />
        </>
      )}
      {stage === "bypassed" && <path class="mark-line mark-broken" d="M 30 7.5 A 16 16 0 1 0 36 20 M 12 12 L 28 28" />}
    </svg>
  );
}

/** A contact as circuits draw it: closed = permitted, open = released, with what the line reads when it disagrees. */
function Contact({
  name,
  wanted,
  read,
}: {
  readonly name: "reduce" | "inhibit";
  readonly wanted: boolean;
  readonly read: boolean | null | undefined;
}) {
  const words = strings.stage;
  const disagrees = read !== undefined && read !== wanted;
  return (
    <li class={`contact${disagrees ? " contact-wrong" : ""}`}>
      <svg viewBox="0 0 48 20" aria-hidden="true">
        <path class="mark-line" d={wanted ? "M 1 14 H 14 L 34 14 M 34 14 H 47" : "M 1 14 H 14 L 33 3 M 34 14 H 47"} />
        <circle class="mark-node" cx="14" cy="14" r="3" />
        <circle class="mark-node" cx="34" cy="14" r="3" />
      </svg>
      <span>
        {disagrees ? words.disagrees(name, wanted, read ?? null) : `${words.line[name]} ${words.lineState(wanted)}`}
      </span>
    </li>
  );
}

type StageProps = Part & { readonly onReset: () => void };

function Stage({ frame, figures, onReset }: StageProps) {
  const words = strings.stage;
  const bypassed = frame.bypassed_until_seconds;
  const shown: Shown = bypassed === null ? frame.power_stage : "bypassed";
  const note =
    bypassed === null
      ? frame.reasons.length === 0
        ? words.notes[frame.power_stage]
        : strings.reasonList(frame.reasons.map(figures.readable))
      : words.bypassedUntil(joined(figures.duration(bypassed - frame.at_seconds)));
  const { relay_permit: wanted, relay_readback: read } = frame;
  return (
    <section aria-labelledby="stage-title" class={`reading stage stage-${shown}`}>
      <h2 id="stage-title">{words.title}</h2>
      <p class="large large-words">
        <StageMark stage={shown} />
        <span class="digits">{shown === "bypassed" ? words.bypassed : words.names[shown]}</span>
      </p>
      <p class="note">{note}</p>
      <ul class="contacts">
        <Contact name="reduce" wanted={wanted.reduce} read={read?.reduce} />
        <Contact name="inhibit" wanted={wanted.inhibit} read={read?.inhibit} />
      </ul>
      {frame.power_stage === "inhibited" && (
        <button type="button" onClick={onReset}>
          {words.reset}
          <NeedsLogin />
        </button>
      )}
    </section>
  );
}

export function Verdict(props: StageProps) {
  return (
    <div class="verdict">
      <Headroom {...props} />
      <Stage {...props} />
      <Sustainable {...props} />
    </div>
  );
}
