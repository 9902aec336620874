// One feedpoint on trial: the simulated board, the real drivers, the real sweep and heartbeat, and time that moves as fast as
// the machine can. It notes what crosses the pins and what is published; it judges nothing.

import { hardwareSpec } from "../../../daemon/config/hardware-spec.ts";
import { coreOf, lossFractionAt, modelOf } from "../../../daemon/config/model.ts";
import { parseConfig, type ReadConfig } from "../../../daemon/config/parse.ts";
import { settingsOf } from "../../../daemon/config/program.ts";
import { driveSettings } from "../../../daemon/config/rig.ts";
import type { Action } from "../../../daemon/core/commands.ts";
import { tableRange } from "../../../daemon/core/physics/mixes/mix.ts";
import { defineProgram, type Program } from "../../../daemon/core/step.ts";
import type { Beat, NumberedEntry, Publication } from "../../../daemon/crossing/messages.ts";
import { Heartbeat } from "../../../daemon/cycle.ts";
import { DEMO_CONFIG } from "../../../daemon/demo.ts";
import { NO_SUPERVISOR } from "../../../daemon/outputs/supervisor.ts";
import { Sweep } from "../../../daemon/sweep.ts";
import { type OpenResult, openHardware } from "../../../hardware/open.ts";
import { placeOfLine } from "../../../hardware/place.ts";
import type { Board, Hardware, OutputLine } from "../../../hardware/ports.ts";
import { type SimulatedBoard, simulatedBoard } from "../../../hardware/simulated/board.ts";
import type { Fault } from "../../../hardware/simulated/faults.ts";
import type { Scenario } from "../../../hardware/simulated/scenario.ts";
import { ManualClock } from "../../support/manual-clock.ts";

/** The demo's wiring and transformer; every trial is of this feedpoint unless it brings a config of its own. */
const TRIAL_CONFIG: ReadConfig = parseConfig(DEMO_CONFIG, "fault campaign");
const PROGRAM: Program = defineProgram(modelOf(TRIAL_CONFIG), settingsOf(TRIAL_CONFIG));

export type TrialOptions = {
  readonly scenario: Scenario;
  readonly seed: number;
  readonly faults?: readonly Fault[];
  readonly read?: ReadConfig;
  /** Stands between drivers and daemon. */
  readonly between?: (hardware: Hardware) => Hardware;
  /** Stands between board and drivers. */
  readonly beneath?: (board: Board) => Board;
};

/** Simulated seconds per second of the clock underneath: edges then come in batches of a tenth of a second. */
const SPEED = 5;
const LOOK_SECONDS = 0.25;

export class Trial {
  readonly board: SimulatedBoard;
  readonly program: Program;
  readonly hardware: Hardware;
  /** False when the daemon would refuse to run on what was opened. */
  readonly fit: boolean;
  /** Calls into the board that opening took. */
  readonly openingCalls: number;
  readonly #base: ManualClock;
  readonly #heartbeat: Heartbeat;
  readonly #pins: ReadonlyMap<string, Pin>;
  readonly #faults: readonly Fault[];
  #newest: Beat | null = null;
  #published: Publication[] = [];
  #commands = 0;

  /** Opens hardware as the daemon does; fit or not is the caller's question, as it is the daemon's. */
  static async open(options: TrialOptions): Promise<Trial> {
    const base = new ManualClock();
    const read = options.read ?? TRIAL_CONFIG;
    const core = coreOf(read);
    const { lowHertz, highHertz } = tableRange(core.mix);
    const board = simulatedBoard({
      spec: hardwareSpec(read),
      scenario: options.scenario,
      clock: base,
      speed: SPEED,
      seed: options.seed,
      wallSeconds: 1_790_000_000,
      lossFractionAt: (hertz) => lossFractionAt(read.config, core, Math.min(Math.max(hertz, lowHertz), highHertz)),
      faults: options.faults ?? [],
    });
    const pins = new Map<string, Pin>();
    const watched = watchPins(options.beneath?.(board) ?? board, pins);
    const opening = openHardware(board.spec, watched);
    return new Trial(options, read, base, board, await base.settle(opening), pins);
  }

  private constructor(
    options: TrialOptions,
    read: ReadConfig,
    base: ManualClock,
    board: SimulatedBoard,
    opened: OpenResult,
    pins: ReadonlyMap<string, Pin>,
  ) {
    this.#base = base;
    this.#faults = options.faults ?? [];
    this.board = board;
    this.#pins = pins;
    this.program = read === TRIAL_CONFIG ? PROGRAM : defineProgram(modelOf(read), settingsOf(read));
    this.hardware = options.between?.(opened.hardware) ?? opened.hardware;
    this.fit = opened.fit;
    this.openingCalls = board.calls();
    const { clock } = board;
    const sweep = new Sweep({
      hardware: this.hardware,
      drive: driveSettings(read),
      rig: () => ({ ...board.station(), meterWatts: null, swr: null, ageSeconds: 0 }),
      clock,
    });
    this.#heartbeat = new Heartbeat({
      hardware: this.hardware,
      program: this.program,
      checkpoint: null,
      sweep,
      service: () => ({ silentSeconds: 0.5, log: { writable: true, diskFreeRatio: 0.5 } }),
      publish: (publication) => {
        this.#published.push(publication);
        if (publication.beat !== null) this.#newest = publication.beat;
      },
      supervisor: NO_SUPERVISOR,
      clock,
      speed: 1,
      errors: () => sweep.totals,
      residentBytes: () => 80e6,
      rigAgeSeconds: () => 0,
    });
  }

  get newest(): Beat | null {
    return this.#newest;
  }

  /** Runs for `seconds`; `look` is called every quarter of a second with what was published since the last call. */
  async run(seconds: number, look: (publications: readonly Publication[]) => void): Promise<void> {
    if (this.#newest === null) void this.#heartbeat.start();
    for (let looks = Math.round(seconds / LOOK_SECONDS); looks > 0; looks -= 1) {
      await this.#base.advanceAsync(LOOK_SECONDS / SPEED);
      const published = this.#published;
      this.#published = [];
      look(published);
    }
  }

  ask(action: Action): void {
    this.#commands += 1;
    this.#heartbeat.deliver([{ id: `trial-${this.#commands}`, by: "operator", from: "campaign", action }]);
  }

  /** Whether a fault of this part, or of all parts, ended within the last `seconds`. */
  endedWithin(seconds: number, part: string): boolean {
    const now = this.board.elapsedSeconds();
    return this.#faults.some((fault) => {
      const mine = !("part" in fault) || fault.part === part;
      return mine && fault.endSeconds !== null && now >= fault.endSeconds && now - fault.endSeconds < seconds;
    });
  }

  /** What the rig sees of the two lines: the level that was written, or that of a welded contact. */
  contacts(): { readonly reduce: boolean; readonly inhibit: boolean } {
    const { relay } = this.board.spec;
    const level = (line: "reduce" | "inhibit"): boolean => {
      const stuck = this.board.faults.ofLine("relay stuck", line);
      const written = relay === null ? 0 : (this.#pins.get(keyOf(relay[line]))?.level ?? 0);
      return (stuck?.level ?? written) === 1;
    };
    return { reduce: level("reduce"), inhibit: level("inhibit") };
  }

  /** A line that the daemon tried to release within the last `seconds`, and that the system did not let it. */
  refusesRelease(line: "reduce" | "inhibit", seconds: number): boolean {
    const { relay } = this.board.spec;
    const pin = relay === null ? undefined : this.#pins.get(keyOf(relay[line]));
    return pin?.level === 1 && pin.wanted === 0 && this.board.clock.monotonicSeconds() - pin.wantedAtSeconds <= seconds;
  }

  async close(): Promise<readonly NumberedEntry[]> {
    await this.#base.settle(this.#heartbeat.stop());
    await this.#base.settle(this.hardware.close());
    return this.#published.flatMap(({ entries }) => entries);
  }
}

const keyOf = placeOfLine;

/** An output: its level, what was written last (well or not), and when. */
type Pin = { level: 0 | 1; wanted: 0 | 1; wantedAtSeconds: number };

/** The same board, with the level of every output noted as it is written. */
function watchPins(board: Board, pins: Map<string, Pin>): Board {
  return {
    ...board,
    outputLine: async (spec): Promise<OutputLine> => {
      const line = await board.outputLine(spec);
      const pin: Pin = { level: 0, wanted: 0, wantedAtSeconds: board.clock.monotonicSeconds() };
      pins.set(keyOf(spec), pin);
      return {
        read: () => line.read(),
        write: async (level) => {
          pin.wanted = level;
          pin.wantedAtSeconds = board.clock.monotonicSeconds();
          await line.write(level);
          pin.level = level;
        },
        close: async () => {
          await line.close();
          pin.level = 0;
          pin.wanted = 0;
        },
      };
    },
  };
}
