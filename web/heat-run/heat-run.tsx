// The view Heat run: how do I teach it my box? One sentence says what to do now; below it the evidence and the buttons.
// It asks the daemon for the state with each frame; the daemon runs the run.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { HeatRunRequest, WireHeatRun } from "../../daemon/wire/heat-run.ts";
import { NeedsLogin } from "../access/context.tsx";
import { type Figures, joined } from "../figures.ts";
import type { Store } from "../store.ts";
import { heatRun as words } from "../strings/heat-run.ts";
import { strings } from "../strings.ts";
import { askHeatRun, fetchHeatRun } from "./ask.ts";
import { CourseStrip, isLive, RunNumbers } from "./course.tsx";
import { instruction } from "./instruction.ts";
import { Result } from "./result.tsx";
import { SpotReading } from "./spot.tsx";

const USUAL_WATTS = 500;

type Send = (request: HeatRunRequest) => void;

type BeginningProps = {
  readonly run: WireHeatRun;
  readonly send: Send;
  readonly simulated: boolean;
  readonly figures: Figures;
};

function Beginning({ run, send, simulated, figures }: BeginningProps) {
  const watts = useSignal(String(USUAL_WATTS));
  const fanOff = useSignal(false);
  return (
    <form
      class="heat-run-begin"
      onSubmit={(event) => {
        event.preventDefault();
        send({ kind: "begin", drive_watts: Number(watts.value), fan_off: fanOff.value });
      }}
    >
      <ol>
        {words.steps.map((step) => (
          <li key={step}>{step}</li>
        ))}
      </ol>
      <CourseStrip run={run} fanOff={fanOff.value} />
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
      <div>
        <label class="choice">
          <input
            type="checkbox"
            checked={fanOff.value}
            onChange={(event) => {
              fanOff.value = event.currentTarget.checked;
            }}
          />
          {words.fanOffAsk}
        </label>
        {fanOff.value && <p class="note">{words.fanOffNote(joined(figures.temperature(run.fan_off_celsius, 0)))}</p>}
      </div>
      <button type="submit">
        {words.begin}
        <NeedsLogin />
      </button>
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
  const live = isLive(run.stage);
  const over = run.stage === "refused" || run.stage === "accepted";
  return (
    <p class="dialog-buttons">
      {run.stage === "fan-off" && run.fan_turning && !run.fan_must_turn && (
        <button type="button" onClick={() => send({ kind: "skip fan off" })}>
          {words.skipFanOff}
        </button>
      )}
      {run.stage === "cool-down" && (
        <button type="button" onClick={() => send({ kind: "finish" })}>
          {words.finish}
          <NeedsLogin />
        </button>
      )}
      {run.stage === "result" && (
        <>
          <button type="button" onClick={() => send({ kind: "accept" })}>
            {words.accept}
            <NeedsLogin />
          </button>
          <button type="button" onClick={() => send({ kind: "discard" })}>
            {words.discard}
            <NeedsLogin />
          </button>
        </>
      )}
      {over && (
        <button type="button" onClick={() => send({ kind: "discard" })}>
          {words.again}
          <NeedsLogin />
        </button>
      )}
      {live && (
        <button type="button" class="act" onClick={() => send({ kind: "abort" })}>
          {words.abort}
          <NeedsLogin />
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
    run.value = (await fetchHeatRun()) ?? run.value;
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
        {known.cut_off !== null && <p class="cut-off">{words.cutOff(known.cut_off)}</p>}
        {known.stage === "idle" && (
          <Beginning run={known} send={send} simulated={about?.simulated === true} figures={figures} />
        )}
        {isLive(known.stage) && (
          <>
            <CourseStrip run={known} fanOff={known.fan_off} />
            {frame !== null && <RunNumbers frame={frame} figures={figures} />}
          </>
        )}
        {(known.stage === "cool-down" || known.stage === "fan-off") && (
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
