// Hardware whose every answer a test sets by hand, for what no board does on its own: hanging, lying, failing at one moment.

import type { HardwareError } from "../../hardware/errors.ts";
import type {
  Buzzer,
  Clock,
  DrivenLine,
  Hardware,
  Permits,
  Rhythm,
  Role,
  TemperatureSensor,
} from "../../hardware/ports.ts";

/** Set any of these at any time; the next call answers accordingly. */
export class HandHardware {
  temperatures = new Map<Role, () => Promise<number>>([
    ["inlet", () => Promise.resolve(20)],
    ["outlet", () => Promise.resolve(26)],
  ]);
  rpm: () => Promise<number | null> = () => Promise.resolve(11_000);
  sinceEdgeSeconds = 0.003;
  /** Every order to the relay, in order. */
  readonly ordered: Permits[] = [];
  lines: Permits = { reduce: false, inhibit: false };
  refuse: HardwareError | null = null;
  /** Every order to the buzzer, in order, and why its line does not follow. */
  readonly rhythms: (Rhythm | null)[] = [];
  buzzerTrouble: HardwareError | null = null;
  /** Every level of the fan's switch and of the pulse, in order, and why neither follows. */
  readonly cuts: (0 | 1)[] = [];
  readonly pulses: (0 | 1)[] = [];
  switchTrouble: HardwareError | null = null;
  wake: () => void = () => {};
  reads = 0;

  #buzzer(): Buzzer {
    const trouble = (): HardwareError | null => this.buzzerTrouble;
    return {
      place: "hand",
      sound: (rhythm) => this.rhythms.push(rhythm),
      get trouble() {
        return trouble();
      },
      close: () => Promise.resolve(),
    };
  }

  #driven(levels: (0 | 1)[]): DrivenLine {
    const trouble = (): HardwareError | null => this.switchTrouble;
    return {
      place: "hand",
      put: (level) => levels.push(level),
      get trouble() {
        return trouble();
      },
      close: () => Promise.resolve(),
    };
  }

  /** The same hardware as the daemon sees it. */
  as(clock: Clock): Hardware {
    const sensor = (role: Role): TemperatureSensor => ({
      name: role,
      part: "hand",
      place: role,
      role,
      identify: () => Promise.resolve("hand"),
      read: async () => {
        this.reads += 1;
        return { celsius: await this.temperatures.get(role)!(), humidityRatio: null };
      },
    });
    return {
      simulated: true,
      clock,
      temperatures: [...this.temperatures.keys()].map(sensor),
      tachometer: {
        name: "tachometer",
        part: "hand",
        place: "hand",
        identify: () => Promise.resolve("hand"),
        read: async () => ({
          rpm: await this.rpm(),
          regularity: 0.99,
          rejectedEdges: 0,
          lostEdges: 0,
          secondsSinceEdge: this.sinceEdgeSeconds,
        }),
        onQuiet: (_seconds, wake) => {
          this.wake = wake;
          return () => {};
        },
      },
      supply: null,
      drive: null,
      ptt: null,
      relay: {
        place: "hand",
        permit: (lines) => {
          this.ordered.push(lines);
          if (this.refuse !== null) return Promise.reject(this.refuse);
          this.lines = lines;
          return Promise.resolve();
        },
        readBack: () => Promise.resolve(this.lines),
        close: () => Promise.resolve(),
      },
      buzzer: this.#buzzer(),
      fanCut: this.#driven(this.cuts),
      pulse: this.#driven(this.pulses),
      buses: () => [],
      close: () => Promise.resolve(),
    };
  }
}
