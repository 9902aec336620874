// One feedpoint in the overview: its name with the way to its own page, one sentence, and how old that is. Tone is never colour alone.

import { type Figures, joined } from "../figures.ts";
import type { Tone } from "../sentence.ts";
import { overviewWords as words } from "../strings/overview.ts";
import type { Told } from "./model.ts";

/** act: a barred square; not known: a cross; watch: half a disc; calm: a ring. */
function ToneMark({ tone }: { readonly tone: Tone }) {
  return (
    <svg class="tone-mark" viewBox="0 0 20 20" role="img" aria-label={words.tones[tone]}>
      {tone === "act" && (
        <path class="mark-solid" fill-rule="evenodd" d="M 1 1 H 19 V 19 H 1 Z M 4 8 V 12 H 16 V 8 Z" />
      )}
      {tone === "blind" && <path class="mark-line" d="M 3 3 L 17 17 M 17 3 L 3 17" />}
      {tone === "watch" && <path class="mark-solid" d="M 2 10 a 8 8 0 0 0 16 0 Z" />}
      {tone !== "act" && tone !== "blind" && <circle class="mark-line" cx="10" cy="10" r="8" />}
    </svg>
  );
}

function facts({ row, waiting }: Told, figures: Figures): readonly string[] {
  const upper = row.glance?.quantities.core_upper_celsius?.value ?? null;
  const drive = row.glance?.quantities.drive_watts?.value ?? null;
  return [
    ...(upper === null ? [] : [words.core(joined(figures.temperature(upper, 0)))]),
    ...(drive === null ? [] : [words.drive(joined(figures.power(drive)))]),
    ...(row.glance?.band ? [row.glance.band] : []),
    ...(waiting === 0 ? [] : [words.alarms(waiting)]),
    ...(row.simulated ? [words.simulated] : []),
  ];
}

export function Row({ told, figures }: { readonly told: Told; readonly figures: Figures }) {
  const { row, name, sentence, ageSeconds } = told;
  const age = ageSeconds === null ? words.neverHeard : words.age(Math.floor(ageSeconds));
  const old = ageSeconds === null || ageSeconds > row.every_seconds + 2;
  return (
    <li class={`glance glance-${sentence.tone}${old ? " glance-old" : ""}`} data-made={row.glance?.wall_seconds}>
      <ToneMark tone={sentence.tone} />
      <h2>
        {row.page === null ? (
          name
        ) : (
          <a href={row.page} rel="noreferrer">
            {name}
          </a>
        )}
      </h2>
      <p class="glance-sentence">{sentence.text}</p>
      <p class="note">
        {facts(told, figures)
          // A fact breaks nowhere but at its end.
          .map((fact) => fact.replaceAll(" ", "\u00a0"))
          .join(" · ")}
      </p>
      <p class="glance-age">{age}</p>
    </li>
  );
}
