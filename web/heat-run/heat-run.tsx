// The view Heat run: how do I teach it my box? One sentence says what to do now; below it the evidence and the buttons.
// It asks the daemon for the state with each frame; the daemon runs the run.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { HeatRunRequest, WireHeatRun } from "../../daemon/wire/heat-run.ts";
import { type Figures, joined } from "../figures.ts";
import type { Store } from "../store.ts";
import { heatRun as words } from "../strings/heat-run.ts";
import { strings } from "../strings.ts";
import { askHeatRun, fetchHeatRun } from "./ask.ts";
import { Result } from "./result.tsx";
import { SpotReading } from "./spot.tsx";

const USUAL_WATTS = 500;

const minutes = (seconds: number): string => String(Math.floor(seconds / 60));
const clock = (seconds: number): string =>
  `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;

/** What to do now. */
export function instruction(run: WireHeatRun, figures: Figures): string {
  const watts = joined(figures.power(run.planned_watts));
  const [done, of] = [minutes(run.stage_seconds), minutes(run.target_seconds)];
  switch (run.stage) {
    case "idle":
      return words.idle;
    case "prepare":
      return run.stage_seconds < run.target_seconds ? words.prepare(done, of) : words.cooling;
    case "key-down": {
      if (run.halted !== null) return words.halted(run.halted);
      if (run.stage_seconds >= run.target_seconds) return words.unkeyNow;
      return run.transmitting ? words.keyDown(watts, done, of) : words.keyNow(watts);
    }
    case "cool-down":
      return run.unkeyed_seconds !== null && run.spots.length === 0
        ? words.readCore(clock(run.unkeyed_seconds))
        : words.coolDown(done, of);
    case "fitting":
      return words.fitting;
    case "result":
      return words.result(
        run.result?.calibration === "calibrated" ? strings.footer.calibrated : strings.footer.notCalibrated,
      );
    case "refused":
      return words.refused;
    case "accepted":
      return words.accepted;
  }
}

type Send = (request: HeatRunRequest) => void;

function Beginning({ send, simulated }: { readonly send: Send; readonly simulated: boolean }) {
  const watts = useSignal(String(USUAL_WATTS));
  return (
    <form
      class="heat-run-begin"
      onSubmit={(event) => {
        event.preventDefault();
        send({ kind: "begin", drive_watts: Number(watts.value) });
      }}
    >
      <ol>
        {words.steps.map((step) => (
          <li key={step}>{step}</li>
        ))}
      </ol>
      <label>
        {words.drive}
        <input
          type="number"
          min={20}
          max={5000}
          step={10}
          required
          value={watts.value}
          onInput={(event) => {
            watts.value = event.currentTarget.value;
          }}
        />
      </label>
      <button type="submit">{words.begin}</button>
      {simulated && <p class="note">{words.rehearsal}</p>}
    </form>
  );
}

function Converging({ run }: { readonly run: WireHeatRun }) {
  if (run.converging.length === 0) return null;
  return (
    <section>
      <h2>{words.converging}</h2>
      <ul class="converging">
        {run.converging.map(({ name, value, settled }) => (
          <li key={name}>
            <svg class="converging-mark" viewBox="0 0 12 12" aria-hidden="true">
              {settled ? (
                <circle class="mark-solid" cx="6" cy="6" r="4.5" />
              ) : (
                <circle class="mark-line" cx="6" cy="6" r="4" />
              )}
            </svg>
            {words.quantity(name)} <strong>{Number(value.toPrecision(3))}</strong>{" "}
            <span class="note">{settled ? words.isSettled : words.moving}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Buttons({ run, send }: { readonly run: WireHeatRun; readonly send: Send }) {
  const live = run.stage === "prepare" || run.stage === "key-down" || run.stage === "cool-down";
  const over = run.stage === "refused" || run.stage === "accepted";
  return (
    <p class="dialog-buttons">
      {run.stage === "cool-down" && (
        <button type="button" onClick={() => send({ kind: "finish" })}>
          {words.finish}
        </button>
      )}
      {run.stage === "result" && (
        <>
          <button type="button" onClick={() => send({ kind: "accept" })}>
            {words.accept}
          </button>
          <button type="button" onClick={() => send({ kind: "discard" })}>
            {words.discard}
          </button>
        </>
      )}
      {over && (
        <button type="button" onClick={() => send({ kind: "discard" })}>
          {words.again}
        </button>
      )}
      {live && (
        <button type="button" class="act" onClick={() => send({ kind: "abort" })}>
          {words.abort}
        </button>
      )}
    </p>
  );
}

export function HeatRun({ store }: { readonly store: Store }) {
  const run = useSignal<WireHeatRun | null>(null);
  const trouble = useSignal<string | null>(null);
  const { frame, about } = store.model.value;
  const figures = store.figures.value;
  const at = frame?.at_seconds ?? 0;
  const ask: typeof fetch = (input, init) => fetch(input, init);
  const look = async (): Promise<void> => {
    run.value = (await fetchHeatRun(ask)) ?? run.value;
  };
  useEffect(() => {
    void look();
  }, [at]);
  const send: Send = (request) => {
    void askHeatRun(ask, request, strings.confirm.noAnswer).then(async (why) => {
      trouble.value = why === null ? null : words.refusedByDaemon(why);
      await look();
    });
  };
  const known = run.value;
  if (known === null) {
    return (
      <div class="headline">
        <h1>{words.unknown}</h1>
      </div>
    );
  }
  const settled = known.converging.filter((one) => one.settled).length;
  const counts = known.stage === "key-down" && known.converging.length > 0;
  const fahrenheit = store.preferences.value.temperature === "fahrenheit";
  return (
    <>
      <div class="headline">
        <h1>{`${instruction(known, figures)}${counts ? ` ${words.settled(settled, known.converging.length)}` : ""}`}</h1>
      </div>
      <div class="heat-run">
        <p role="status">{trouble.value ?? ""}</p>
        {known.stage === "idle" && <Beginning send={send} simulated={about?.simulated === true} />}
        {known.target_seconds > 0 && (
          <progress
            aria-label={instruction(known, figures)}
            max={known.target_seconds}
            value={Math.min(known.stage_seconds, known.target_seconds)}
          />
        )}
        {known.stage === "cool-down" && (
          <SpotReading
            atSeconds={at}
            count={known.spots.length}
            figures={figures}
            toCelsius={(degrees) => (fahrenheit ? (degrees - 32) / 1.8 : degrees)}
            onEnter={(celsius, atSeconds) => send({ kind: "core reading", celsius, at_seconds: atSeconds })}
          />
        )}
        <Converging run={known} />
        {known.refusals.length > 0 && (
          <ul class="caveats">
            {known.refusals.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        )}
        {known.result !== null && <Result result={known.result} figures={figures} />}
        <Buttons run={known} send={send} />
      </div>
    </>
  );
}
