// What moves on the drawing: air streaks and the rotor, each on a layer of its own that the compositor slides and turns
// without waking the page. Speed follows the reading; where the reading is not believed, nothing moves.

import { useEffect, useRef } from "preact/hooks";
import { BOX, type Sheet } from "./sheet.ts";

/** One loop at nominal speed, ms: calm enough to look at for two days. */
const TURN_MILLISECONDS = 1600;
const STREAM_MILLISECONDS = 7000;

/** Runs `keyframes` for ever at `rate` times their speed; `rate` null or 0 holds still. */
function useLoop(keyframes: Keyframe[], duration: number, rate: number | null, moving: boolean) {
  const element = useRef<HTMLDivElement>(null);
  const animation = useRef<Animation | null>(null);
  useEffect(() => {
    if (!moving || element.current === null) return;
    const loop = element.current.animate(keyframes, { duration, iterations: Number.POSITIVE_INFINITY });
    animation.current = loop;
    return () => {
      loop.cancel();
      animation.current = null;
    };
  }, [moving]);
  useEffect(() => {
    const loop = animation.current;
    if (loop === null) return;
    if (rate === null || rate <= 0) loop.pause();
    else {
      loop.updatePlaybackRate(rate);
      if (loop.playState === "paused") loop.play();
    }
  }, [rate, moving]);
  return element;
}

/** Where a rectangle in box units lies on the sheet, in per cent, for a layer over the drawing. */
function placed(sheet: Sheet, x: number, y: number, width: number, height: number) {
  const [originX, originY] = sheet.origin;
  return {
    left: `${((originX + x * sheet.scale) / sheet.width) * 100}%`,
    top: `${((originY + y * sheet.scale) / sheet.height) * 100}%`,
    width: `${((width * sheet.scale) / sheet.width) * 100}%`,
    height: `${((height * sheet.scale) / sheet.height) * 100}%`,
  };
}

const { vent, fan, centreY, oblique, width: boxWidth } = BOX;
const stream = { x: -64, width: boxWidth + 112, y: vent.top + 6, height: vent.bottom - vent.top - 12 };

const STREAK_COUNT = 55;
/** Streaks spread by the golden ratio: even, never in rows. */
const STREAKS = Array.from({ length: STREAK_COUNT }, (_, index) => {
  const spread = (index * 0.618_033_988_7) % 1;
  const along = (index * 0.381_966 * 1.7) % 1;
  return { y: stream.height * ((index + 0.5) / STREAK_COUNT), x: stream.width * along, length: 36 + 60 * spread };
});

function streakPath({ x, y, length }: (typeof STREAKS)[number], shift: number): string {
  const start = x + shift;
  return `M ${start.toFixed(1)} ${y.toFixed(1)} l ${length.toFixed(1)} -0.9 a 0.9 0.9 0 0 1 0 1.8 Z`;
}

type Moving = { readonly sheet: Sheet; readonly moving: boolean; readonly rate: number | null };

/** Air through the box; `rate` 1 = nominal airflow, null = not known. */
export function AirStream({ sheet, moving, rate }: Moving) {
  const layer = useLoop(
    [{ transform: "translateX(-50%)" }, { transform: "translateX(0)" }],
    STREAM_MILLISECONDS,
    rate,
    moving,
  );
  const strength = rate === null ? "unknown" : rate < 0.2 ? "none" : rate < 0.6 ? "weak" : "strong";
  return (
    <div class={`air air-${strength}`} style={placed(sheet, stream.x, stream.y, stream.width, stream.height)}>
      <div class="air-slide" ref={layer}>
        <svg viewBox={`0 0 ${stream.width * 2} ${stream.height}`} preserveAspectRatio="none" aria-hidden="true">
          <path d={[0, stream.width].flatMap((shift) => STREAKS.map((one) => streakPath(one, shift))).join(" ")} />
        </svg>
      </div>
    </div>
  );
}

const BLADE = "M 27 -11 C 46 -34, 74 -42, 92 -22 A 94.6 94.6 0 0 1 93.5 14 C 74 -4, 50 2, 28 9 Z";
const BLADES = [0, 1, 2, 3, 4, 5, 6];

/** The rotor, seen at the drawing's angle; `rate` 1 = nominal speed, null = not believed; `halted` crosses it out. */
export function Rotor({ sheet, moving, rate, halted }: Moving & { readonly halted: boolean }) {
  const layer = useLoop(
    [{ transform: "rotate(0deg)" }, { transform: "rotate(360deg)" }],
    TURN_MILLISECONDS,
    rate,
    moving,
  );
  const size = fan.radius * 2;
  const seen = size * oblique;

  return (
    <div
      class={`rotor${rate === null ? " rotor-doubtful" : ""}`}
      style={placed(sheet, fan.x + 8 - seen / 2, centreY - fan.radius, seen, size)}
    >
      <div class="rotor-tilt" style={{ width: `${100 / oblique}%`, transform: `scaleX(${oblique})` }}>
        <div class="rotor-turn" ref={layer}>
          <svg viewBox="-96 -96 192 192" aria-hidden="true">
            {BLADES.map((blade) => (
              <path key={blade} class="blade" d={BLADE} transform={`rotate(${(blade * 360) / BLADES.length})`} />
            ))}
            <circle class="hub" r={BOX.fan.hub + 3} />
            <path class="hub-mark" d="M 0 -9 V 9 M -9 0 H 9" />
          </svg>
        </div>
      </div>
      {halted && (
        <svg class="rotor-halted" viewBox="-40 -96 80 192" aria-hidden="true">
          <path d="M -34 -56 L 34 56 M 34 -56 L -34 56" />
        </svg>
      )}
    </div>
  );
}
