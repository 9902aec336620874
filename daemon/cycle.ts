// The heartbeat: read all → step() → relay → publish → supervisor, once a second of its clock and at once when the fan falls
// quiet. It waits for nothing but the hardware; an error in a cycle releases the relay, is recorded, and the next cycle runs.

import type { Cancel, Clock, Hardware } from "../hardware/ports.ts";
import type { Answer, Command } from "./core/commands.ts";
import type { Effects, PermitLines } from "./core/effects.ts";
import type { UpkeepReading } from "./core/readings.ts";
import { beginState, type Checkpoint, checkpointState, type Program, type State, step } from "./core/step.ts";
import { Draft } from "./crossing/draft.ts";
import { Inbox } from "./crossing/inbox.ts";
import type { Beat, Publication } from "./crossing/messages.ts";
import { Horn } from "./horn.ts";
import type { Supervisor } from "./outputs/supervisor.ts";
import { Pace } from "./pace.ts";
import type { Swept } from "./sweep.ts";
import { Switches } from "./switches.ts";

/** What the cycle knows of the service thread. */
export type ServiceFacts = {
  readonly silentSeconds: number;
  readonly log: { readonly writable: boolean; readonly diskFreeRatio: number | null };
};

export type HeartbeatOptions = {
  readonly hardware: Hardware;
  readonly program: Program;
  readonly checkpoint: Checkpoint | null;
  readonly sweep: { read(): Promise<Swept> };
  readonly service: () => ServiceFacts;
  readonly publish: (publication: Publication) => void;
  readonly supervisor: Supervisor;
  /** The machine's clock; the hardware's own may run faster. */
  readonly clock: Clock;
  /** Seconds of the hardware's clock per second of the machine's. */
  readonly speed: number;
  /** Sensor errors so far. */
  readonly errors: () => { readonly receiving: number; readonly transmitting: number };
  readonly residentBytes: () => number;
  readonly rigAgeSeconds: () => number | null;
};

const RELEASED: PermitLines = { reduce: false, inhibit: false };
const CHECKPOINT_SECONDS = 10;

export class Heartbeat {
  readonly #options: HeartbeatOptions;
  readonly #inbox = new Inbox();
  readonly #pace: Pace;
  readonly #horn: Horn;
  readonly #switches: Switches;
  readonly #draft: Draft;
  #state: State;
  #beats = 0;
  #ready = false;
  #checkpointAt: number;
  #pending: Cancel | null = null;
  #running: Promise<void> | null = null;
  #again = false;
  #stopped = false;
  #failure: string | null = null;
  #cancelQuiet: Cancel | null = null;

  /** The relay stays released until a step says otherwise. */
  constructor(options: HeartbeatOptions) {
    this.#options = options;
    this.#horn = new Horn(options.hardware.buzzer, (text) => this.note("buzzer-failed", text));
    this.#switches = new Switches(options.hardware, (tag, text) => this.note(tag, text));
    this.#draft = new Draft(options.hardware.clock);
    const now = options.hardware.clock.monotonicSeconds();
    this.#pace = new Pace(now, options.program.cycleSeconds);
    this.#checkpointAt = now + CHECKPOINT_SECONDS;
    this.#state = beginState(options.program, options.checkpoint, now);
  }

  /** Runs the first cycle and goes on by itself; resolves when the first is complete. */
  async start(): Promise<void> {
    const { tachometer } = this.#options.hardware;
    const { program } = this.#options;
    if (tachometer !== null && program.fan !== null) {
      this.#cancelQuiet = tachometer.onQuiet(program.fan.stallSeconds, () => this.#wake());
    }
    await this.#beat();
  }

  /** Commands of operators for the next cycle. */
  deliver(commands: readonly Command[]): void {
    this.#draft.answer(this.#inbox.deliver(commands));
  }

  /** A fact about the daemon itself for the record, or something that `by` did to it. */
  note(tag: string, text: string, by: string | null = null): void {
    this.#draft.enter({ atSeconds: this.#now(), kind: by === null ? "event" : "command", tag, text, by });
  }

  /** Ends after the running cycle, the relay released and the last words published. */
  async stop(): Promise<void> {
    this.#stopped = true;
    this.#pending?.();
    this.#cancelQuiet?.();
    this.#options.supervisor.stopping();
    await this.#running;
    await this.#release();
    this.note("stopped", "the daemon was stopped; both relay lines are released");
    this.#publish(null, this.#checkpointText());
  }

  #now(): number {
    return this.#options.hardware.clock.monotonicSeconds();
  }

  #beat(): Promise<void> {
    this.#pending = null;
    if (this.#running !== null) {
      this.#again = true;
      return this.#running;
    }
    this.#running = this.#cycle().finally(() => {
      this.#running = null;
      if (!this.#stopped) this.#schedule();
    });
    return this.#running;
  }

  /** By absolute times, so that lateness never adds up. */
  #schedule(): void {
    const now = this.#now();
    if (this.#again) this.#pace.extra(now, true);
    else this.#pace.next(now);
    this.#again = false;
    const waitSeconds = Math.max(0, this.#pace.dueSeconds - now);
    this.#pending = this.#options.hardware.clock.after(waitSeconds, () => void this.#beat());
  }

  #wake(): void {
    if (this.#stopped) return;
    if (this.#running === null) {
      this.#pending?.();
      this.#pace.extra(this.#now(), false);
    }
    void this.#beat();
  }

  /** Never rejects. */
  async #cycle(): Promise<void> {
    const { clock, hardware, speed } = this.#options;
    const began = clock.monotonicSeconds();
    const lateSeconds = this.#pace.begin(this.#now()) / speed;
    const commands = this.#inbox.take();
    let effects: Effects | null = null;
    try {
      const swept = await this.#options.sweep.read();
      effects = this.#step(swept, this.#upkeep(lateSeconds), commands);
      await hardware.relay?.permit(effects.permits);
      this.#complete(effects, clock.monotonicSeconds() - began);
    } catch (error) {
      await this.#fail(error, commands, effects, clock.monotonicSeconds() - began);
    }
  }

  #step(swept: Swept, upkeep: UpkeepReading, commands: readonly Command[]): Effects {
    const { state, effects } = step(this.#options.program, this.#state, { ...swept, upkeep }, commands, this.#now());
    this.#state = state;
    return effects;
  }

  #complete(effects: Effects, cycleSeconds: number): void {
    const { supervisor } = this.#options;
    const { stage, estimate } = effects.outlook;
    this.#failure = null;
    this.#horn.sound(effects.buzzer);
    this.#switches.set(effects.fanPower);
    this.#tell(effects, this.#beatOf(effects, effects.permits, true, cycleSeconds));
    const status = `${stage}, core at most ${estimate.coreUpperCelsius.toFixed(0)} °C`;
    if (this.#ready) supervisor.alive(status);
    else supervisor.ready(status);
    this.#ready = true;
  }

  /** Released, recorded, and on to the next cycle; the supervisor hears nothing of a cycle that failed. */
  async #fail(error: unknown, commands: readonly Command[], stepped: Effects | null, seconds: number): Promise<void> {
    await this.#release();
    this.#horn.sound("high");
    this.#switches.afterFailure();
    const text = error instanceof Error ? error.message : String(error);
    if (text !== this.#failure) this.note("cycle-failed", `a cycle failed and both relay lines were released: ${text}`);
    this.#failure = text;
    if (stepped === null) {
      this.#settle(commands.map(({ id }) => ({ id, accepted: false, text: `the cycle failed: ${text}` })));
      this.#publish(null, null);
      // The lines refused, which is when the alarm must be heard; and what the step decided is remembered, so it is told.
    } else this.#tell(stepped, this.#beatOf(stepped, RELEASED, false, seconds));
  }

  #beatOf({ outlook }: Effects, permits: PermitLines, driven: boolean, cycleSeconds: number): Beat {
    const { clock } = this.#options.hardware;
    this.#beats += 1;
    const [wallSeconds, wallTrusted] = [clock.wallSeconds(), clock.wallIsTrusted()];
    return { number: this.#beats, wallSeconds, wallTrusted, outlook, permits, driven, cycleSeconds };
  }

  #tell({ record, answers }: Effects, beat: Beat): void {
    for (const entry of record) this.#draft.enter(entry);
    this.#settle(answers);
    // A trip that a crash forgets would permit power; so what is worth a line in the record is worth a checkpoint.
    this.#publish(beat, record.length > 0 || this.#now() >= this.#checkpointAt ? this.#checkpointText() : null);
  }

  #settle(answers: readonly Answer[]): void {
    this.#inbox.settle(answers);
    this.#draft.answer(answers);
  }

  async #release(): Promise<void> {
    try {
      await this.#options.hardware.relay?.permit(RELEASED);
    } catch (error) {
      const text = error instanceof Error ? error.message : String(error);
      this.note("relay-release", `the relay lines could not be released: ${text}`);
    }
  }

  #upkeep(cycleLateSeconds: number): UpkeepReading {
    const { hardware, service, errors, residentBytes, rigAgeSeconds } = this.#options;
    const { silentSeconds, log } = service();
    const { receiving, transmitting } = errors();
    return {
      cycleLateSeconds,
      serviceSilentSeconds: silentSeconds,
      logWritable: log.writable,
      diskFreeRatio: log.diskFreeRatio,
      busStuck: hardware.buses().some(({ stuck }) => stuck),
      wallTrusted: hardware.clock.wallIsTrusted(),
      wallSeconds: hardware.clock.wallSeconds(),
      residentBytes: residentBytes(),
      rigLinkAgeSeconds: rigAgeSeconds(),
      sensorErrorsTransmitting: transmitting,
      sensorErrorsReceiving: receiving,
    };
  }

  #checkpointText(): string {
    this.#checkpointAt = this.#now() + CHECKPOINT_SECONDS;
    return JSON.stringify(checkpointState(this.#options.program, this.#state));
  }

  #publish(beat: Beat | null, checkpoint: string | null): void {
    this.#options.publish(this.#draft.take(beat, checkpoint));
  }
}
