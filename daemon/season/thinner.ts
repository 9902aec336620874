// A series thinned to a number of buckets while it is read: least and greatest per bucket, at the mean time of what is in it.
// Memory is bounded by the buckets. A value outside the span is passed over.

type Point = readonly [seconds: number, min: number, max: number];

export class Thinner {
  readonly #from: number;
  readonly #to: number;
  readonly #perSecond: number;
  readonly #min: Float64Array;
  readonly #max: Float64Array;
  readonly #count: Float64Array;
  readonly #time: Float64Array;

  /** @throws RangeError when the span or the number of points makes no buckets */
  constructor(fromSeconds: number, toSeconds: number, points: number) {
    if (!(toSeconds > fromSeconds) || !Number.isInteger(points) || points < 1)
      throw new RangeError(`thinning: ${points} points from ${fromSeconds} to ${toSeconds}`);
    this.#from = fromSeconds;
    this.#to = toSeconds;
    this.#perSecond = points / (toSeconds - fromSeconds);
    this.#min = new Float64Array(points).fill(Number.POSITIVE_INFINITY);
    this.#max = new Float64Array(points).fill(Number.NEGATIVE_INFINITY);
    this.#count = new Float64Array(points);
    this.#time = new Float64Array(points);
  }

  /** What is known of an instant or of a short time around it; NaN is nothing. */
  add(seconds: number, min: number, max: number): void {
    if (!(seconds >= this.#from && seconds <= this.#to) || Number.isNaN(min)) return;
    const bucket = Math.min(Math.floor((seconds - this.#from) * this.#perSecond), this.#count.length - 1);
    if (min < this.#min[bucket]!) this.#min[bucket] = min;
    if (max > this.#max[bucket]!) this.#max[bucket] = max;
    this.#count[bucket]! += 1;
    this.#time[bucket]! += seconds - this.#from;
  }

  /** Rows of a block that begins at `start`. */
  addRows(start: number, seconds: Int32Array, values: Float64Array): void {
    for (let row = 0; row < values.length; row += 1) {
      const value = values[row]!;
      this.add(start + seconds[row]!, value, value);
    }
  }

  points(): Point[] {
    const points: Point[] = [];
    for (let bucket = 0; bucket < this.#count.length; bucket += 1) {
      const count = this.#count[bucket]!;
      if (count === 0) continue;
      const seconds = Math.round((this.#from + this.#time[bucket]! / count) * 1000) / 1000;
      points.push([seconds, plain(this.#min[bucket]!), plain(this.#max[bucket]!)]);
    }
    return points;
  }
}

/** Without the dust that counting in steps leaves behind the last digit that was kept; no step is finer than a millionth. */
const plain = (value: number): number => Math.round(value * 1e7) / 1e7;
