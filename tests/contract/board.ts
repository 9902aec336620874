// What every Board must do, the simulated one and the real one alike, as clauses that need no test runner: the kernel guest
// runs them with nothing but Node. A bench says how to move the world outside the board.
import assert from "node:assert/strict";
import { fromErrno } from "../../hardware/errno.ts";
import { findLine } from "../../hardware/gpio/find-line.ts";
import type { Board, LineSpec } from "../../hardware/ports.ts";

/** A board with somebody outside who moves its wires and looks at its pins. */
export interface Bench {
  readonly board: Board;
  /** An input on which falling edges can be made. */
  readonly edges: {
    readonly line: LineSpec;
    /** Lets edges come for a while; resolves to how many were made. */
    make(): Promise<number>;
    /** Share of edges that must arrive; the rest may be lost on a busy machine. */
    readonly leastShare: number;
  };
  /** An output whose level can be seen from outside. */
  readonly output: { readonly line: LineSpec; level(): Promise<0 | 1> };
  /** A chip with a two-byte register at pointer 0. */
  readonly chip: { readonly bus: number; readonly address: number };
  readonly absentAddress: number;
  readonly absentBus: number;
  readonly absentLine: LineSpec;
  /** Lets the board's clock go on by about this. */
  pass(seconds: number): Promise<void>;
}

/** One thing that a board must do. `check` rejects with an AssertionError when it does not. */
export type Clause = { readonly name: string; check(bench: Bench): Promise<void> };

const clause = (name: string, check: (bench: Bench) => Promise<void>): Clause => ({ name, check });

async function codeOf(work: Promise<unknown>, context: "i2c" | "line" | "file"): Promise<string> {
  try {
    await work;
    return "no error";
  } catch (cause) {
    return fromErrno(cause, "the contract", context).code;
  }
}

const CLOCK: readonly Clause[] = [
  clause("the clock goes on and never back", async ({ board, pass }) => {
    const first = board.clock.monotonicSeconds();
    await pass(0.05);
    const second = board.clock.monotonicSeconds();
    assert.ok(second > first, `${second} after ${first}`);
    assert.ok(board.clock.monotonicSeconds() >= second);
  }),
  clause("the boot has an identity", async ({ board }) => {
    assert.match(board.clock.bootId, /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/);
  }),
  clause("a task runs after its wait, a cancelled one never", async ({ board, pass }) => {
    const ran: string[] = [];
    board.clock.after(0.01, () => ran.push("kept"));
    const cancel = board.clock.after(0.01, () => ran.push("cancelled"));
    cancel();
    cancel();
    await pass(0.1);
    assert.deepEqual(ran, ["kept"]);
  }),
];

const I2C: readonly Clause[] = [
  clause("a chip's register is read whole, and alike by pointer and plain read", async ({ board, chip }) => {
    const handle = await board.i2c(chip.bus);
    try {
      const byRegister = await handle.readRegister(chip.address, 0, 2);
      assert.equal(byRegister.length, 2);
      await handle.write(chip.address, Uint8Array.of(0));
      const plain = await handle.read(chip.address, 2);
      assert.equal(plain.length, 2);
      // The quantity may move between the two reads, but not by much: the upper byte counts whole degrees or more.
      const [before = 0, after = 0] = [byRegister[0], plain[0]];
      assert.ok(Math.abs(before - after) <= 2, `${before} and then ${after}`);
    } finally {
      await handle.close();
    }
  }),
  clause("two handles of one bus work side by side, and one outlives the other", async ({ board, chip }) => {
    const [first, second] = [await board.i2c(chip.bus), await board.i2c(chip.bus)];
    await first.readRegister(chip.address, 0, 2);
    await first.close();
    assert.equal((await second.readRegister(chip.address, 0, 2)).length, 2);
    await second.close();
  }),
  clause(
    "an address without a chip does not acknowledge, or takes too long",
    async ({ board, chip, absentAddress }) => {
      const handle = await board.i2c(chip.bus);
      const code = await codeOf(handle.readRegister(absentAddress, 0, 2), "i2c");
      assert.ok(code === "NACK" || code === "TIMEOUT", code);
      assert.equal((await handle.readRegister(chip.address, 0, 2)).length, 2);
      await handle.close();
    },
  ),
  clause("a bus that does not exist is missing", async ({ board, absentBus }) => {
    assert.equal(await codeOf(board.i2c(absentBus), "i2c"), "BUS_MISSING");
  }),
];

const OUTPUT: readonly Clause[] = [
  clause("an output starts low", async ({ board, output }) => {
    const line = await board.outputLine(output.line);
    assert.equal(await line.read(), 0);
    assert.equal(await output.level(), 0);
    await line.close();
  }),
  clause("an output is seen outside as it was written, and reads back so", async ({ board, output }) => {
    const line = await board.outputLine(output.line);
    for (const level of [1, 0, 1] as const) {
      await line.write(level);
      assert.equal(await output.level(), level);
      assert.equal(await line.read(), level);
    }
    await line.close();
  }),
  clause("an output is low after it was closed, and takes nothing more", async ({ board, output }) => {
    const line = await board.outputLine(output.line);
    await line.write(1);
    await line.close();
    assert.equal(await output.level(), 0);
    await assert.rejects(line.write(1));
    assert.equal(await output.level(), 0);
    await line.close();
  }),
  clause("an output can be opened once at a time, and again after it was closed", async ({ board, output }) => {
    const line = await board.outputLine(output.line);
    await line.write(1);
    assert.equal(await codeOf(board.outputLine(output.line), "line"), "LINE_BUSY");
    assert.equal(await output.level(), 1);
    await line.close();
    const again = await board.outputLine(output.line);
    assert.equal(await again.read(), 0);
    await again.close();
  }),
  clause("a line that does not exist is missing", async ({ board, absentLine }) => {
    assert.equal(await codeOf(board.outputLine(absentLine), "line"), "LINE_MISSING");
    assert.equal(await codeOf(board.edgeLine(absentLine, "pull-up"), "line"), "LINE_MISSING");
  }),
];

const CHIPS: readonly Clause[] = [
  clause("the chips that it names have the lines that can be opened", async ({ board, edges, output, absentLine }) => {
    const chips = await board.lineChips();
    assert.equal(new Set(chips.map(({ name }) => name)).size, chips.length);
    for (const { line } of [edges, output]) {
      const { chip, offset } = await findLine(chips, line);
      assert.ok(offset < chip.lines && (await chip.names()).length <= chip.lines, chip.label);
    }
    assert.equal(await codeOf(findLine(chips, absentLine), "line"), "LINE_MISSING");
  }),
];

const EDGES: readonly Clause[] = [
  clause(
    "edges arrive once each, in order, stamped within the time they were made in",
    async ({ board, edges, pass }) => {
      const line = await board.edgeLine(edges.line, "pull-up");
      const times: number[] = [];
      const from = board.clock.monotonicSeconds();
      line.onEdge((atSeconds) => times.push(atSeconds));
      const made = await edges.make();
      await pass(0.1);
      const until = board.clock.monotonicSeconds();
      await line.close();
      assert.ok(made > 0);
      assert.ok(times.length >= edges.leastShare * made, `${times.length} of ${made} edges`);
      assert.deepEqual(
        times,
        times.toSorted((a, b) => a - b),
      );
      assert.equal(new Set(times).size, times.length);
      assert.ok((times[0] ?? 0) >= from - 0.1 && (times.at(-1) ?? 0) <= until);
    },
  ),
  clause(
    "whoever stamps edges says so, and counts the lost ones if it is the kernel",
    async ({ board, edges, pass }) => {
      const line = await board.edgeLine(edges.line, "pull-up");
      let heard = 0;
      line.onEdge(() => {
        heard += 1;
      });
      const made = await edges.make();
      await pass(0.1);
      const { stampedBy, lostEdges } = line;
      await line.close();
      if (stampedBy === "program") assert.equal(lostEdges, null);
      else
        assert.ok(heard + (lostEdges ?? Number.NaN) >= edges.leastShare * made, `${heard} and ${lostEdges} of ${made}`);
    },
  ),
  clause("an input can be opened once at a time", async ({ board, edges }) => {
    const line = await board.edgeLine(edges.line, "pull-up");
    assert.equal(await codeOf(board.edgeLine(edges.line, "pull-up"), "line"), "LINE_BUSY");
    await line.close();
  }),
  clause("a listener hears nothing after its cancel, another goes on", async ({ board, edges, pass }) => {
    const line = await board.edgeLine(edges.line, "pull-up");
    let [cancelled, kept] = [0, 0];
    const cancel = line.onEdge(() => {
      cancelled += 1;
    });
    line.onEdge(() => {
      kept += 1;
    });
    cancel();
    cancel();
    await edges.make();
    await pass(0.1);
    await line.close();
    assert.equal(cancelled, 0);
    assert.ok(kept > 0);
  }),
  clause("a closed edge line is silent and can be opened again", async ({ board, edges, pass }) => {
    const line = await board.edgeLine(edges.line, "pull-up");
    let heard = 0;
    line.onEdge(() => {
      heard += 1;
    });
    await line.close();
    await edges.make();
    await pass(0.1);
    assert.equal(heard, 0);
    const again = await board.edgeLine(edges.line, "pull-up");
    assert.ok([0, 1].includes(await again.read()));
    await again.close();
  }),
];

const BOARD: readonly Clause[] = [
  clause("a kernel file that does not exist is missing", async ({ board }) => {
    assert.equal(await codeOf(board.readText("/sys/class/hwmon/no-such-device/temp1_input"), "file"), "FILE_MISSING");
  }),
  clause("closing the board releases its outputs", async ({ board, output }) => {
    const line = await board.outputLine(output.line);
    await line.write(1);
    await board.close();
    assert.equal(await output.level(), 0);
  }),
];

/** All clauses; each wants a fresh board, or one that the clause before has left closed lines on. The last one closes it. */
export const BOARD_CONTRACT: readonly Clause[] = [...CLOCK, ...I2C, ...OUTPUT, ...CHIPS, ...EDGES, ...BOARD];
