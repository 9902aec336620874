// A feedpoint told second by second through step(): drive and fan as the story wants them, temperatures from a small plant of its own.
// The plant is the model's own network, which makes the stories about protection and not about estimation. No clock, no chance.

import type { Action, Answer } from "../../daemon/core/commands.ts";
import { NO_DRIVE_EVIDENCE } from "../../daemon/core/drive-evidence.ts";
import type { AlarmState, Effects, RecordEntry } from "../../daemon/core/effects.ts";
import { boxConstantsOf, type Model, modelFromPriors } from "../../daemon/core/estimate/model.ts";
import { advanceBox, airCelsiusAt, conductancesAt } from "../../daemon/core/physics/box.ts";
import { DEFAULT_PROTECTION, type ProtectionSettings } from "../../daemon/core/protect/settings.ts";
import {
  type FanReading,
  good,
  type Readings,
  type RelayReading,
  type UpkeepReading,
} from "../../daemon/core/readings.ts";
import { beginState, type Checkpoint, defineProgram, type Program, type State, step } from "../../daemon/core/step.ts";

const LOSS_FRACTION = 0.06;

/** Fitted, so that the bound stands close enough to the core for a story's figures. */
const MODEL: Model = (() => {
  const bands = [{ band: "80 m", lowHertz: 3.5e6, highHertz: 4e6, lossFraction: LOSS_FRACTION }];
  const prior = modelFromPriors({ bands, nominalRpm: DEFAULT_PROTECTION.fan.nominalRpm });
  return {
    ...prior,
    calibration: "calibrated",
    bands: prior.bands.map((band) => ({ ...band, kappaUncertainty: 0.03 })),
    riseUncertaintyRatio: { fanOn: 0.05, fanOff: 0.1 },
  };
})();

const UPKEEP: UpkeepReading = {
  cycleLateSeconds: 0,
  serviceSilentSeconds: 0.1,
  logWritable: true,
  diskFreeRatio: 0.7,
  busStuck: false,
  wallTrusted: true,
  wallSeconds: 1_780_000_000,
  residentBytes: 80e6,
  rigLinkAgeSeconds: 0.4,
  sensorErrorsTransmitting: 0,
  sensorErrorsReceiving: 0,
};

export class Story {
  readonly program: Program;
  state: State;
  now = 0;
  /** What the story sets. */
  driveWatts = 0;
  rpm: number = DEFAULT_PROTECTION.fan.nominalRpm;
  inletCelsius = 20;
  coreCelsius = 21;
  wallCelsius = 20;
  /** Readings that replace the plant's own. */
  override: Partial<Readings> = {};
  upkeep: Partial<UpkeepReading> = {};
  /** null = the lines read back as they were wanted. */
  relay: RelayReading | null = null;
  /** The story's record from the beginning. */
  readonly record: RecordEntry[] = [];
  effects!: Effects;
  #lastPulse = 0;
  #outlet = 20;
  #asked: { id: string; action: Action }[] = [];
  #ids = 0;

  constructor(settings: Partial<ProtectionSettings> = {}, checkpoint: Checkpoint | null = null) {
    this.program = defineProgram(MODEL, { ...DEFAULT_PROTECTION, ...settings });
    this.state = beginState(this.program, checkpoint, 0);
  }

  /** Cycles once a second; `during` is called before each. */
  run(seconds: number, during: (story: Story) => void = () => {}): this {
    for (let second = 0; second < seconds; second += 1) {
      during(this);
      this.cycle(1);
    }
    return this;
  }

  /** One cycle, `elapsed` after the last. */
  cycle(elapsed: number): void {
    this.#advancePlant(elapsed);
    this.now += elapsed;
    if (this.rpm > 0) this.#lastPulse = this.now;
    const commands = this.#asked.map((asked) => ({ ...asked, by: "op", from: "story" }));
    this.#asked = [];
    const stepped = step(this.program, this.state, this.#readings(), commands, this.now);
    this.state = stepped.state;
    this.effects = stepped.effects;
    this.record.push(...stepped.effects.record);
  }

  /** Asks in a cycle of its own and gives the answer. */
  ask(action: Action): Answer {
    this.#ids += 1;
    this.#asked.push({ id: String(this.#ids), action });
    this.cycle(1);
    const answer = this.effects.answers.find(({ id }) => id === String(this.#ids));
    if (answer === undefined) throw new Error(`no answer to ${action.kind}`);
    return answer;
  }

  /** What a thermometer in the stream reads. */
  get outletCelsius(): number {
    return this.#outlet;
  }

  get stage(): string {
    return this.effects.outlook.stage;
  }

  get upper(): number {
    return this.effects.outlook.estimate.coreUpperCelsius;
  }

  /** State of an alarm as shown. */
  alarm(tag: string): AlarmState {
    return this.effects.outlook.alarms.find((alarm) => alarm.tag === tag)?.state ?? "normal";
  }

  /** Texts of the record's entries of one kind, oldest first. */
  told(kind: RecordEntry["kind"], tag?: string): string[] {
    return this.record
      .filter((entry) => entry.kind === kind && (tag === undefined || entry.tag === tag))
      .map(({ text }) => text);
  }

  #advancePlant(elapsed: number): void {
    const box = boxConstantsOf(MODEL);
    const air = { speedRatio: this.rpm / this.program.model.nominalRpm, flowFactor: 1 };
    const inputs = { inletCelsius: this.inletCelsius, sunWatts: 0, lossWatts: this.driveWatts * LOSS_FRACTION };
    const { coreCelsius, wallCelsius } = advanceBox(box, this, inputs, air, elapsed);
    this.coreCelsius = coreCelsius;
    this.wallCelsius = wallCelsius;
    const g = conductancesAt(box, this, this.inletCelsius, air);
    const out = airCelsiusAt(g, coreCelsius, wallCelsius, this.inletCelsius);
    this.#outlet += (1 - Math.exp(-elapsed / 12)) * (out - this.#outlet);
  }

  #readings(): Readings {
    const fan: FanReading = {
      rpm: good(this.rpm),
      regularity: this.rpm > 0 ? 0.99 : null,
      rejectedEdges: 0,
      lostEdges: 0,
      secondsSinceEdge: this.now - this.#lastPulse,
    };
    // A last digit that lives, as a real chip's does.
    const digit = ((this.now * 7) % 5) / 128;
    const transmitting = this.driveWatts > 5;
    return {
      inlet: good(this.inletCelsius + digit),
      outlet: good(this.#outlet - digit),
      wall: null,
      ambient: null,
      core: null,
      humidityRatio: null,
      fan,
      supplyVolts: good(12),
      supplyAmperes: good(this.rpm > 0 ? 0.12 : 0.3),
      drive: { watts: good(this.driveWatts), frequencyHertz: 3.6e6, mode: "CW", transmitting },
      driveEvidence: NO_DRIVE_EVIDENCE,
      relay: this.relay ?? this.effects?.permits ?? { reduce: false, inhibit: false },
      upkeep: { ...UPKEEP, wallSeconds: 1_780_000_000 + this.now, ...this.upkeep },
      ...this.override,
    };
  }
}
