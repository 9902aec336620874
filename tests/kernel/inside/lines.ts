// Runs inside the guest, on its own Node and kernel: the board's contract through either GPIO interface, then trains of edges at
// known frequencies. Each outcome is one line of JSON; at the end a permit line stays energised, for the host to kill this.
// Arguments: the outside's host and port.

import { readFileSync } from "node:fs";
import { realBoard } from "../../../hardware/board.ts";
import { pause } from "../../../hardware/clock.ts";
import type { Board } from "../../../hardware/ports.ts";
import { analyseEdges } from "../../../hardware/pulse-train.ts";
import { type Bench, BOARD_CONTRACT } from "../../contract/board.ts";
import { CHIPS, GPIO_LABEL, I2C_BUS, NOWHERE, PINS, PULSES_PER_REVOLUTION } from "../host/wiring.ts";
import { OutsideLink } from "./outside-link.ts";

/** What comes out, one a line. */
export type Outcome =
  | { readonly kind: "clause"; readonly via: string; readonly name: string; readonly error: string | null }
  | {
      readonly kind: "train";
      readonly via: string;
      readonly hertz: number;
      readonly tries: number;
      readonly train: Train;
    }
  | { readonly kind: "held"; readonly pid: number };

/** One train of edges: what was sent, what the kernel saw, what the program got. */
export type Train = {
  readonly sent: number;
  readonly interrupts: number;
  readonly got: number;
  readonly lost: number | null;
  readonly rpm: number | null;
  readonly regularity: number | null;
  /** How late the latest edge left the host. */
  readonly worstLatenessMs: number;
  /** Of the stamps against the instants of sending, where every edge arrived: standard deviation, ms. */
  readonly jitterMs: number | null;
};

type Sent = { readonly fallsHostMs: readonly number[]; readonly worstLatenessMs: number };

const TACH = { chipLabel: GPIO_LABEL, offset: PINS.tach };
const OUTPUT = { chipLabel: GPIO_LABEL, offset: PINS.reduce };
const TRAINS = [367, 800];
/** Enough for a speed, short enough to fall between the host's other business. */
const TRAIN_PERIODS = 120;
/** A busy host sends uneven trains, and the emulated kernel sees them unevenly: then more are tried, and the evenest is told. */
const MOST_TRAINS = 15;
const EVEN = 0.9;
/** Edges for a clause, and how fast: no faster than the slower interface follows on an emulated processor. */
const CLAUSE_EDGES = 20;
const CLAUSE_HERTZ = 50;
/** Between a pin's move inside and the emulator's word of it outside, s. */
const SEEN_SECONDS = 0.05;

/** Edges that arrive, on an emulated processor of a host with much else to do; through sysfs each one is a wake-up of its own. */
const LEAST_SHARE = { cdev: 0.85, sysfs: 0.6 } as const;
type Via = keyof typeof LEAST_SHARE;

const [host = "", port = ""] = process.argv.slice(2);
const outside = await OutsideLink.open(host, Number(port));
const say = (outcome: Outcome): void => void process.stdout.write(`${JSON.stringify(outcome)}\n`);

function benchOf(board: Board, via: Via): Bench {
  return {
    board,
    edges: {
      line: TACH,
      leastShare: LEAST_SHARE[via],
      make: async () =>
        (await outside.ask<{ count: number }>({ ask: "edges", count: CLAUSE_EDGES, hertz: CLAUSE_HERTZ })).count,
    },
    output: {
      line: OUTPUT,
      level: async () => {
        await pause(board.clock, SEEN_SECONDS);
        return (await outside.ask<{ level: 0 | 1 }>({ ask: "level", pin: PINS.reduce })).level;
      },
    },
    chip: { bus: I2C_BUS, address: CHIPS.inlet.address },
    absentAddress: NOWHERE.inlet,
    absentBus: 9,
    absentLine: { chipLabel: GPIO_LABEL, offset: 32 },
    pass: (seconds) => pause(board.clock, seconds),
  };
}

/** Interrupts of all processors for the line's edges, by the name that its holder gave. */
function interruptsOf(consumer: string): number {
  const line = readFileSync("/proc/interrupts", "utf8")
    .split("\n")
    .find((text) => text.endsWith(` ${consumer}`));
  return (line?.split(":")[1] ?? "")
    .trim()
    .split(/\s+/)
    .map(Number)
    .filter(Number.isFinite)
    .slice(0, 2)
    .reduce((sum, count) => sum + count, 0);
}

async function train(board: Board, via: string, hertz: number): Promise<Train> {
  const line = await board.edgeLine(TACH, "pull-up");
  try {
    const times: number[] = [];
    line.onEdge((atSeconds) => times.push(atSeconds));
    const consumer = via === "cdev" ? "emberwire" : "gpiolib";
    const before = interruptsOf(consumer);
    const sent = await outside.ask<Sent>({ ask: "edges", count: TRAIN_PERIODS, hertz });
    await pause(board.clock, 0.2);
    const { rpm, regularity } = analyseEdges(times, PULSES_PER_REVOLUTION);
    return {
      sent: sent.fallsHostMs.length,
      worstLatenessMs: sent.worstLatenessMs,
      interrupts: interruptsOf(consumer) - before,
      got: times.length,
      lost: line.lostEdges,
      rpm,
      regularity,
      jitterMs: times.length === sent.fallsHostMs.length ? jitterOf(times, sent.fallsHostMs) : null,
    };
  } finally {
    await line.close();
  }
}

/** Below 0 where it makes no speed. */
const evennessOf = ({ rpm, regularity }: Train): number => (regularity ?? 0) - (rpm === null ? 1 : 0);

/** What differs between the intervals inside and outside. */
function jitterOf(inside: readonly number[], outsideMs: readonly number[]): number {
  const late = inside.map((seconds, index) => 1000 * seconds - outsideMs[index]!);
  const mean = late.reduce((sum, value) => sum + value, 0) / late.length;
  return Math.sqrt(late.reduce((sum, value) => sum + (value - mean) ** 2, 0) / late.length);
}

for (const via of ["cdev", "sysfs"] as const) {
  for (const { name, check } of BOARD_CONTRACT) {
    const board = await realBoard({ gpio: via, outputRecord: null });
    const error = await check(benchOf(board, via)).then(
      () => null,
      (cause: Error) => cause.message,
    );
    await board.close();
    say({ kind: "clause", via, name, error });
  }
  for (const hertz of TRAINS) {
    const board = await realBoard({ gpio: via, outputRecord: null });
    let best = await train(board, via, hertz);
    let tries = 1;
    for (; via === "cdev" && evennessOf(best) < EVEN && tries < MOST_TRAINS; tries += 1) {
      const next = await train(board, via, hertz);
      if (evennessOf(next) > evennessOf(best)) best = next;
    }
    say({ kind: "train", via, hertz, tries, train: best });
    await board.close();
  }
}
const held = await (await realBoard()).outputLine(OUTPUT);
await held.write(1);
say({ kind: "held", pid: process.pid });
