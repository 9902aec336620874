// One rig asked over one connection: a round of questions → what it says now, and its power level set and read back.
// A question that this rig's driver cannot answer is left out for a while; a broken connection is an error of the whole session.

import type { Clock } from "../../../hardware/ports.ts";
import type { RigWord } from "../rig.ts";
import { Connection, type Server } from "./connection.ts";
import { type Answer, NOT_AVAILABLE, NOT_IMPLEMENTED, type Question, statusWords } from "./protocol.ts";
import { frequencyHertzOf, levelOf, modeOf, swrOf, transmittingOf, wattsOf } from "./values.ts";

/** A level that can be asked for. `RFPOWER` is where the power is set; the meters show what goes out. */
type Level = "RFPOWER" | "RFPOWER_METER" | "RFPOWER_METER_WATTS" | "SWR";

/** What became of setting the power: the server's word, and what the rig says afterwards (null = it does not say). */
export type PowerSet = { readonly refusal: string | null; readonly readBackRatio: number | null };

/** A question that cannot be answered is not asked again for so long; another rig may be behind the server by then. */
const UNANSWERABLE_SECONDS = 60;

export class Session {
  readonly #connection: Connection;
  readonly #clock: Clock;
  /** Says the rig's own full power, for a meter that shows a share of it; null = not known. */
  readonly #fullWatts: number | null;
  /** Put before the arguments by a server that was started with `--vfo`. */
  readonly #vfo: readonly string[];
  readonly #unanswerable = new Map<string, number>();
  #lastRefusal = "";

  /** `signal` ends it at any time. @throws Error in words when nobody answers, or something that is no rigctld */
  static async open(
    server: Server,
    fullWatts: number | null,
    clock: Clock,
    signal: AbortSignal = new AbortController().signal,
  ): Promise<Session> {
    const connection = await Connection.open(server, clock, signal);
    try {
      const { lines } = await connection.ask({ command: "chk_vfo", arguments: [] });
      return new Session(connection, clock, fullWatts, lines[0] === "1" ? ["currVFO"] : []);
    } catch (error) {
      connection.close();
      throw error;
    }
  }

  private constructor(connection: Connection, clock: Clock, fullWatts: number | null, vfo: readonly string[]) {
    this.#connection = connection;
    this.#clock = clock;
    this.#fullWatts = fullWatts;
    this.#vfo = vfo;
  }

  get alive(): boolean {
    return this.#connection.alive;
  }

  close(): void {
    this.#connection.close();
  }

  /**
   * Asks everything once.
   * @throws Error in words when the connection fails, or when the rig behind it says nothing at all
   */
  async round(): Promise<RigWord> {
    const transmitting = await this.#ask("get_ptt", [], transmittingOf);
    const frequencyHertz = await this.#ask("get_freq", [], frequencyHertzOf);
    const mode = await this.#ask("get_mode", [], modeOf);
    const powerRatio = await this.power();
    if (transmitting === null && frequencyHertz === null && mode === null) throw new Error(this.#lastRefusal);
    const keyed = transmitting !== false;
    // A meter that still falls while the rig receives shows no power.
    const meterWatts = keyed ? await this.#meterWatts() : 0;
    const swr = keyed ? await this.#level("SWR", swrOf) : null;
    const atSeconds = this.#clock.monotonicSeconds();
    return { atSeconds, frequencyHertz, mode, transmitting, powerRatio, meterWatts, swr };
  }

  /** Where the power is set, 0 to 1; null when the rig does not say. */
  power(): Promise<number | null> {
    return this.#level("RFPOWER", levelOf);
  }

  /** Sets the power and reads it back, for the server takes any number. @throws RangeError outside of 0 to 1 */
  async setPower(ratio: number): Promise<PowerSet> {
    if (!(ratio >= 0 && ratio <= 1)) throw new RangeError(`a power level is 0 to 1, not ${ratio}`);
    const { status } = await this.#connection.ask(this.#question("set_level", ["RFPOWER", ratio.toFixed(6)]));
    const refusal = status === 0 ? null : statusWords(status);
    return { refusal, readBackRatio: levelOf(await this.#connection.ask(this.#question("get_level", ["RFPOWER"]))) };
  }

  async #meterWatts(): Promise<number | null> {
    const watts = await this.#level("RFPOWER_METER_WATTS", wattsOf);
    if (watts !== null || this.#fullWatts === null) return watts;
    const ratio = await this.#level("RFPOWER_METER", levelOf);
    return ratio === null ? null : ratio * this.#fullWatts;
  }

  #level<Value>(level: Level, read: (answer: Answer) => Value | null): Promise<Value | null> {
    return this.#ask("get_level", [level], read);
  }

  async #ask<Value>(
    command: Question["command"],
    given: readonly string[],
    read: (answer: Answer) => Value | null,
  ): Promise<Value | null> {
    const name = [command, ...given].join(" ");
    const now = this.#clock.monotonicSeconds();
    if (now < (this.#unanswerable.get(name) ?? Number.NEGATIVE_INFINITY)) return null;
    const answer = await this.#connection.ask(this.#question(command, given));
    if (answer.status !== 0) this.#lastRefusal = statusWords(answer.status);
    if (answer.status === NOT_IMPLEMENTED || answer.status === NOT_AVAILABLE) {
      this.#unanswerable.set(name, now + UNANSWERABLE_SECONDS);
    }
    const value = read(answer);
    if (value === null && answer.status === 0) this.#lastRefusal = `its answers to ${name} make no sense`;
    return value;
  }

  #question(command: Question["command"], given: readonly string[]): Question {
    return { command, arguments: [...this.#vfo, ...given] };
  }
}
