// Draws what goes wrong in one trial: some faults of every kind, alone and together, at random moments of a hot evening, and
// what of it the record must tell. Plain data from a seed; it injects nothing.

import type { Fault, Trouble } from "../../../hardware/simulated/faults.ts";
import type { Random } from "../../../hardware/simulated/random.ts";

/** A fault, and the tags of which the record must hold at least one when it held for `afterSeconds`; none = nothing is promised. */
export type Drawn = { readonly fault: Fault; readonly tags: readonly string[]; readonly afterSeconds: number };

type Draft = { readonly trouble: Trouble; readonly tags?: readonly string[]; readonly afterSeconds?: number };

const SENSORS = ["inlet", "outlet", "wall", "ambient"] as const;
const PARTS = [...SENSORS, "supply", "drive"] as const;
const LINES = ["reduce", "inhibit"] as const;
const ERRNOS = ["EREMOTEIO", "ETIMEDOUT", "EIO", "EBUSY", "EACCES", "ENODEV", "EINVAL"] as const;

/** Alarms come ten seconds after a sensor went bad; a little more for the cycle and for retries. */
const BAD_SECONDS = 14;

const pick = <Item>(random: Random, items: readonly Item[]): Item => items[random.below(items.length)]!;
const part = (random: Random) => pick(random, PARTS);
const sensor = (random: Random) => pick(random, SENSORS);

const bad = (name: string, trouble: Trouble): Draft => ({ trouble, tags: [`${name}_bad`], afterSeconds: BAD_SECONDS });

/** One maker per kind of trouble; the closed list of kinds makes it complete. */
const MAKERS: { readonly [kind in Trouble["kind"]]: (random: Random, calls: number) => Draft } = {
  "fan stall": () => ({ trouble: { kind: "fan stall" }, tags: ["fan_stall", "tach_doubtful"], afterSeconds: 9 }),
  "fan lockout": () => ({ trouble: { kind: "fan lockout" }, tags: ["fan_stall", "tach_doubtful"], afterSeconds: 9 }),
  "fan slow": (random) => ({ trouble: { kind: "fan slow", speedRatio: random.between(0.3, 0.95) } }),
  "fan surging": (random) => ({
    trouble: { kind: "fan surging", depth: random.between(0, 0.5), periodSeconds: random.between(1, 20) },
  }),
  "fan slow start": (random) => ({ trouble: { kind: "fan slow start", timeConstantSeconds: random.between(1, 20) } }),
  "tach lead lost": () => ({
    trouble: { kind: "tach lead lost" },
    tags: ["tach_doubtful", "fan_stall"],
    afterSeconds: 12,
  }),
  "tach noise": (random) => {
    const edgesPerSecond = Math.round(10 ** random.between(0, Math.log10(20_000)));
    const trouble = { kind: "tach noise", edgesPerSecond } as const;
    return edgesPerSecond < 3000 ? { trouble } : { trouble, tags: ["tach_doubtful", "fan_stall"], afterSeconds: 15 };
  },
  "vents clogged": (random) => ({
    trouble: { kind: "vents clogged", flowFactor: random.between(0.1, 0.9), rampSeconds: random.between(0, 120) },
  }),
  "chip silent": (random) => {
    const name = part(random);
    return bad(name, { kind: "chip silent", part: name });
  },
  "bus stuck": () => ({ trouble: { kind: "bus stuck", bus: 1 }, tags: ["bus_stuck"], afterSeconds: 8 }),
  "value stuck": (random) => ({ trouble: { kind: "value stuck", part: sensor(random) } }),
  "garbage bytes": (random) => {
    const name = sensor(random);
    return {
      trouble: { kind: "garbage bytes", part: name },
      tags: [`${name}_bad`, `${name}_implausible`],
      afterSeconds: 25,
    };
  },
  "checksum wrong": (random) => {
    const name = sensor(random);
    const trouble = { kind: "checksum wrong", part: name } as const;
    return name === "ambient" ? bad(name, trouble) : { trouble };
  },
  "power-on value": (random) => {
    const name = sensor(random);
    return bad(name, { kind: "power-on value", part: name });
  },
  "chip offset": (random) => ({
    trouble: {
      kind: "chip offset",
      part: sensor(random),
      kelvin: random.between(-4, 4),
      kelvinPerHour: random.between(-20, 20),
    },
  }),
  "air sensors swapped": () => ({ trouble: { kind: "air sensors swapped" } }),
  "supply sag": (random) => ({
    trouble: { kind: "supply sag", volts: random.between(0, 9) },
    tags: ["fan_supply_low", "supply_bad"],
    afterSeconds: 12,
  }),
  "wet core": (random) => ({ trouble: { kind: "wet core", lossFactor: random.between(1, 3) } }),
  "relay stuck": (random) => ({
    trouble: { kind: "relay stuck", line: pick(random, LINES), level: random.unit() < 0.5 ? 0 : 1 },
  }),
  "relay misread": (random) => ({
    trouble: { kind: "relay misread", line: pick(random, LINES) },
    tags: ["relay_disagrees", "cycle-failed"],
    afterSeconds: 4,
  }),
  "wall clock jump": (random) => ({
    trouble: { kind: "wall clock jump", seconds: random.unit() < 0.5 ? 86_400 : -86_400 },
    tags: ["clock_untrusted"],
    afterSeconds: 3,
  }),
  "calls fail": (random, calls) => ({
    trouble: {
      kind: "calls fail",
      first: 40 + random.below(calls),
      count: 1 + random.below(200),
      errno: pick(random, ERRNOS),
    },
  }),
  "RF upset": (random) => ({
    trouble: {
      kind: "RF upset",
      probability: random.between(0.01, 0.6),
      effect: random.unit() < 0.5 ? "silent" : "garbage",
    },
  }),
};

export const KINDS = Object.keys(MAKERS) as readonly Trouble["kind"][];

/** Which kinds of fault a sequence of trials has in common: each kind comes first in its turn, others join it at random. */
export function drawFaults(random: Random, index: number, lastsSeconds: number): readonly Drawn[] {
  const count = 1 + random.below(4);
  return Array.from({ length: count }, (_, at) => {
    const kind = at === 0 ? KINDS[index % KINDS.length]! : pick(random, KINDS);
    const { trouble, tags = [], afterSeconds = 0 } = MAKERS[kind](random, lastsSeconds * 15);
    const startSeconds = random.between(5, lastsSeconds * 0.7);
    const endSeconds = random.unit() < 0.3 ? null : startSeconds + random.between(0.2, lastsSeconds * 0.5);
    return { fault: { ...trouble, startSeconds, endSeconds }, tags, afterSeconds };
  });
}
