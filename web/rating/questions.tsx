// The sliders and choices of the what-if. It hands on values in SI; which unit the reader sees is the reader's choice.

import { MODES } from "../../daemon/core/physics/modes.ts";
import { type Figures, fahrenheit as inFahrenheit } from "../figures.ts";
import { rating as words } from "../strings/rating.ts";
import type { Asked } from "./question.ts";
import { Slider } from "./slider.tsx";

type QuestionsProps = {
  readonly asked: Asked;
  readonly bands: readonly string[];
  readonly figures: Figures;
  readonly fahrenheit: boolean;
  readonly onChange: (asked: Asked) => void;
  readonly onReset: () => void;
};

/** A fan below this share of its speed counts as standing: it moves no more air than buoyancy does. */
const SLOWEST_PERCENT = 20;

export function Questions({ asked, bands, figures, fahrenheit, onChange, onReset }: QuestionsProps) {
  const unit = figures.temperature(0).unit;
  const shown = (celsius: number): number => Math.round(fahrenheit ? inFahrenheit(celsius) : celsius);
  const meant = (degrees: number): number => (fahrenheit ? (degrees - 32) / 1.8 : degrees);
  const percent = (ratio: number): number => Math.round(ratio * 100);
  return (
    <form onSubmit={(event) => event.preventDefault()}>
      <h2>{words.questions}</h2>
      <Slider
        id="rating-air"
        title={words.air}
        value={shown(asked.airCelsius)}
        low={shown(-20)}
        high={shown(55)}
        step={1}
        unit={unit}
        said={null}
        onChange={(value) => onChange({ ...asked, airCelsius: meant(value) })}
      />
      <Slider
        id="rating-altitude"
        title={words.altitude}
        value={asked.altitudeMeters}
        low={0}
        high={4000}
        step={1}
        unit="m"
        said={null}
        onChange={(altitudeMeters) => onChange({ ...asked, altitudeMeters })}
      />
      <Slider
        id="rating-sun"
        title={words.sun}
        value={asked.sunWatts}
        low={0}
        high={20}
        step={1}
        unit="W"
        said={null}
        onChange={(sunWatts) => onChange({ ...asked, sunWatts })}
      />
      <Slider
        id="rating-fan"
        title={words.fan}
        value={percent(asked.speedRatio)}
        low={0}
        high={110}
        step={5}
        unit="%"
        said={asked.speedRatio === 0 ? words.stopped : null}
        onChange={(value) => onChange({ ...asked, speedRatio: value < SLOWEST_PERCENT ? 0 : value / 100 })}
      />
      <Slider
        id="rating-vents"
        title={words.vents}
        value={percent(asked.flowFactor)}
        low={20}
        high={100}
        step={5}
        unit="%"
        said={null}
        onChange={(value) => onChange({ ...asked, flowFactor: value / 100 })}
      />
      <Slider
        id="rating-duty"
        title={words.duty}
        value={percent(asked.overShare)}
        low={5}
        high={100}
        step={5}
        unit="%"
        said={null}
        onChange={(value) => onChange({ ...asked, overShare: value / 100 })}
      />
      <div class="rating-choices">
        <label>
          {words.mode}
          <select value={asked.mode} onChange={(event) => onChange({ ...asked, mode: event.currentTarget.value })}>
            {MODES.map(({ name }) => (
              <option key={name}>{name}</option>
            ))}
          </select>
        </label>
        <label>
          {words.band}
          <select value={asked.band} onChange={(event) => onChange({ ...asked, band: event.currentTarget.value })}>
            {bands.map((band) => (
              <option key={band}>{band}</option>
            ))}
          </select>
        </label>
        <button type="button" onClick={onReset}>
          {words.again}
        </button>
      </div>
    </form>
  );
}
