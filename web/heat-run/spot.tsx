// Entry of a core reading: first the moment it is read, then the number, so that typing costs no accuracy. It sends; it judges nothing.

import { useSignal } from "@preact/signals";
import { NeedsLogin } from "../access/context.tsx";
import { type Figures, joined } from "../figures.ts";
import { heatRun as words } from "../strings/heat-run.ts";

type SpotProps = {
  /** The daemon's time now, s. */
  readonly atSeconds: number;
  readonly count: number;
  readonly figures: Figures;
  readonly toCelsius: (degrees: number) => number;
  readonly onEnter: (celsius: number, atSeconds: number) => void;
};

export function SpotReading({ atSeconds, count, figures, toCelsius, onEnter }: SpotProps) {
  const stamp = useSignal<number | null>(null);
  const value = useSignal("");
  const unit = figures.temperature(0).unit;
  const ago = stamp.value === null ? null : Math.max(0, Math.round(atSeconds - stamp.value));
  return (
    <form
      class="spot"
      onSubmit={(event) => {
        event.preventDefault();
        const degrees = Number(value.value.replace(",", "."));
        if (value.value.trim() === "" || !Number.isFinite(degrees)) return;
        onEnter(toCelsius(degrees), stamp.value ?? atSeconds);
        stamp.value = null;
        value.value = "";
      }}
    >
      <h2>{words.spotTitle}</h2>
      <button
        type="button"
        onClick={() => {
          stamp.value = atSeconds;
        }}
      >
        {words.spotStamp}
      </button>
      <label>
        {words.spotValue(unit)}
        <input
          type="text"
          inputMode="decimal"
          value={value.value}
          onInput={(event) => {
            value.value = event.currentTarget.value;
          }}
        />
      </label>
      <button type="submit">
        {words.spotEnter}
        <NeedsLogin />
      </button>
      <p class="note" role="status">
        {ago !== null
          ? words.spotStamped(joined({ number: String(ago), unit: "s" }))
          : count === 0
            ? words.spotNone
            : words.spotCount(count)}
      </p>
    </form>
  );
}
