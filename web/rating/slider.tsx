// One quantity of the question: a slider and a number field for the same value. It knows no physics.

type SliderProps = {
  readonly id: string;
  readonly title: string;
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly step: number;
  readonly unit: string;
  /** What the value means in words, e.g. "stopped"; null when the number says it. */
  readonly said: string | null;
  readonly onChange: (value: number) => void;
};

export function Slider({ id, title, value, low, high, step, unit, said, onChange }: SliderProps) {
  const take = (text: string): void => {
    const asked = Number(text);
    if (text.trim() !== "" && Number.isFinite(asked)) onChange(Math.min(high, Math.max(low, asked)));
  };
  return (
    <div class="slider">
      <label for={id}>
        {title}
        {said !== null && <span class="note"> {said}</span>}
      </label>
      <input
        id={id}
        type="range"
        min={low}
        max={high}
        step={step}
        value={value}
        aria-valuetext={`${value} ${unit}`}
        onInput={(event) => take(event.currentTarget.value)}
      />
      <span class="slider-number">
        <input
          type="number"
          aria-label={`${title}, ${unit}`}
          min={low}
          max={high}
          step={step}
          value={value}
          onChange={(event) => take(event.currentTarget.value)}
        />
        {unit}
      </span>
    </div>
  );
}
