// A small seeded generator for everything made up in the simulation: same seed, same evening.
// The algorithm is xoshiro128** 1.1 (D. Blackman and S. Vigna, 2018, dedicated to the public domain), written from its published recurrence.
// Never for anything that must be hard to guess.

/** A seeded source of numbers; every call moves it on. */
export interface Random {
  /** 32 random bits as an unsigned integer. */
  bits(): number;
  /** Uniform in [0, 1). */
  unit(): number;
  /** Uniform in [low, high). */
  between(low: number, high: number): number;
  /** Uniform over 0 … count − 1. */
  below(count: number): number;
  /** Standard normal deviate (Box–Muller). */
  normal(): number;
  /** A generator of its own for one part, so that drawing more in one place changes nothing in another. */
  fork(label: string): Random;
}

const rotateLeft = (word: number, by: number): number => (word << by) | (word >>> (32 - by));

/** Mixes 32 bits so that neighbouring integers give unrelated ones (the finaliser of A. Appleby's MurmurHash3, public domain). */
function scramble(word: number): number {
  let mixed = word | 0;
  mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
  mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
  return (mixed ^ (mixed >>> 16)) >>> 0;
}

/** A number in [0, 1) fixed by `seed` and `index`, for noise that must be the same whenever it is asked for. */
export function noiseAt(seed: number, index: number): number {
  return scramble(scramble(seed + 0x9e3779b9) ^ scramble(Math.imul(Math.floor(index), 0x27d4eb2f) + 1)) / 4294967296;
}

/** An integer seed from a word (FNV-1a, 32 bits). */
export function seedOf(label: string): number {
  let hash = 0x811c9dc5;
  for (let at = 0; at < label.length; at += 1) hash = Math.imul(hash ^ label.charCodeAt(at), 0x01000193);
  return hash >>> 0;
}

/** xoshiro128** from its four state words; not all may be zero. */
export function randomFromState(first: number, second: number, third: number, fourth: number): Random {
  let a = first | 0;
  let b = second | 0;
  let c = third | 0;
  let d = fourth | 0;
  if ((a | b | c | d) === 0) throw new RangeError("the generator's state must not be all zero");
  let spare: number | null = null;

  function bits(): number {
    const result = Math.imul(rotateLeft(Math.imul(b, 5), 7), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = rotateLeft(d, 11);
    return result;
  }
  const unit = (): number => bits() / 4294967296;
  function normal(): number {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    const radius = Math.sqrt(-2 * Math.log(1 - unit()));
    const angle = 2 * Math.PI * unit();
    spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  }
  return {
    bits,
    unit,
    between: (low, high) => low + (high - low) * unit(),
    below: (count) => Math.floor(unit() * count),
    normal,
    fork: (label) => seededRandom(scramble(a ^ d ^ seedOf(label))),
  };
}

/** A generator started from one integer seed. */
export function seededRandom(seed: number): Random {
  const word = (step: number): number => scramble(Math.imul(step, 0x9e3779b9) + seed);
  // The constant keeps the state away from all zeros whatever the seed.
  return randomFromState(word(1), word(2), word(3), word(4) | 1);
}
