// The view Rating: what will this box stand? A sentence, sliders, the table of bands and modes, and the core against the drive.
// A plan from the model in use; it asks the daemon for that model only.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { MODES } from "../../daemon/core/physics/modes.ts";
import type { RatingBasis, RatingRow } from "../../daemon/core/physics/rating.ts";
import { readDaemon } from "../ask-daemon.ts";
import { type Figures, joined, roundedWatts } from "../figures.ts";
import type { Store } from "../store.ts";
import { rating as words } from "../strings/rating.ts";
import { Curve } from "./curve.tsx";
import { type Asked, curveFor, groupsOf, rowsFor, stretchesOf, usualQuestion } from "./question.ts";
import { Questions } from "./questions.tsx";

/** Beyond this no transmitter of the trade goes; "or more" says the rest. */
const MOST_WATTS = 1500;

function sentenceOf(rows: readonly RatingRow[], asked: Asked, figures: Figures): string {
  const air = joined(figures.temperature(asked.airCelsius, 0));
  const groups = groupsOf(rows, asked.mode, roundedWatts, MOST_WATTS);
  if (groups.every(({ watts }) => watts === 0)) return words.nothing(air);
  const full = MODES.find(({ name }) => name === asked.mode)?.duty === 1;
  const mode = full && asked.overShare === 1 ? words.keyDown : words.inMode(asked.mode);
  const pauses = asked.overShare === 1 ? "" : ` ${words.listening(joined(figures.ratio(asked.overShare)))}`;
  const all = [...new Set(rows.map(({ band }) => band))];
  const said = groups.map(({ watts, capped, bands }, index) => {
    const stretches = stretchesOf(bands, all).map(({ from, to, last }) =>
      to === null ? from : last ? words.andUp(from) : words.fromTo(from, to),
    );
    const which = groups.length === 1 ? words.allBands : stretches.join(", ");
    const power = joined(figures.power(watts));
    return words.on(`${capped ? words.more(power) : power}${index === 0 ? ` ${mode}${pauses}` : ""}`, which);
  });
  return words.sentence(air, said);
}

function Table({ rows, basis, figures, asked, onChoose }: RatedProps) {
  const bands = [...new Set(rows.map(({ band }) => band))];
  const limit = joined(figures.temperature(basis.limitCelsius, 0));
  return (
    <div class="rating-table">
      <table>
        <caption>{words.table(limit)}</caption>
        <thead>
          <tr>
            <th scope="col">{words.bandHead}</th>
            <th scope="col">{words.lossHead}</th>
            {MODES.map(({ name }) => (
              <th scope="col" key={name} class={name === asked.mode ? "chosen" : undefined}>
                <button type="button" aria-pressed={name === asked.mode} onClick={() => onChoose({ mode: name })}>
                  {name}
                </button>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {bands.map((band) => (
            <tr key={band} class={band === asked.band ? "chosen" : undefined}>
              <th scope="row">
                <button type="button" aria-pressed={band === asked.band} onClick={() => onChoose({ band })}>
                  {band}
                </button>
              </th>
              <td>{`${((rows.find((row) => row.band === band)?.lossFraction ?? 0) * 100).toFixed(1)}\u00a0%`}</td>
              {rows
                .filter((row) => row.band === band)
                .map((row) => (
                  <td key={row.mode}>
                    {figures.power(roundedWatts(row.sustainableWatts)).number}
                    {row.limitedBy !== "core" && <span class="limited"> {words.limited[row.limitedBy]}</span>}
                  </td>
                ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

type RatedProps = {
  readonly rows: readonly RatingRow[];
  readonly basis: RatingBasis;
  readonly figures: Figures;
  readonly asked: Asked;
  readonly onChoose: (choice: { readonly mode?: string; readonly band?: string }) => void;
};

function Rated({ basis, store }: { readonly basis: RatingBasis; readonly store: Store }) {
  const now = store.model.peek().frame?.quantities.inlet_celsius?.value ?? 20;
  const asked = useSignal(usualQuestion(basis, now));
  const figures = store.figures.value;
  const question = asked.value;
  const rows = rowsFor(basis, question);
  const chosen = rows.find((row) => row.band === question.band && row.mode === question.mode);
  const rated = joined(figures.power(roundedWatts(chosen?.sustainableWatts ?? 0)));
  return (
    <>
      <div class="headline">
        <h1>{sentenceOf(rows, question, figures)}</h1>
        <p class="caveats">
          {basis.model.calibration === "calibrated" ? words.calibrated(basis.model.origin) : words.notCalibrated}
        </p>
      </div>
      <div class="rating">
        <Questions
          asked={question}
          bands={basis.model.bands.map(({ band }) => band)}
          figures={figures}
          fahrenheit={store.preferences.value.temperature === "fahrenheit"}
          onChange={(next) => {
            asked.value = next;
          }}
          onReset={() => {
            const inlet = store.model.peek().frame?.quantities.inlet_celsius?.value ?? 20;
            asked.value = usualQuestion(basis, inlet);
          }}
        />
        <Curve
          points={curveFor(basis, question, MOST_WATTS)}
          airCelsius={question.airCelsius}
          limitCelsius={basis.limitCelsius}
          figures={figures}
          title={words.curve(question.band, question.mode)}
          text={words.curveText(rated)}
        />
        <Table
          rows={rows}
          basis={basis}
          figures={figures}
          asked={question}
          onChoose={(choice) => {
            asked.value = { ...question, ...choice };
          }}
        />
        <p class="note">{words.caution}</p>
      </div>
    </>
  );
}

export function Rating({ store }: { readonly store: Store }) {
  const basis = useSignal<RatingBasis | null | "fetching">("fetching");
  const boot = store.model.value.about?.boot_id ?? null;
  // A daemon that was started anew may run on another model.
  useEffect(() => {
    void readDaemon<RatingBasis>("/api/v1/model", { deadlineMilliseconds: 10_000 }).then((found) => {
      basis.value = found;
    });
  }, [boot]);
  const known = basis.value;
  // Its first question is about the air as it is: it waits for the first frame.
  if (known === "fetching" || known === null || store.model.value.frame === null) {
    return (
      <div class="headline">
        <h1>{known === null ? words.missing : words.fetching}</h1>
      </div>
    );
  }
  return <Rated basis={known} store={store} />;
}
