// One alarm over time: delays, deadband, latch, shelving that always ends, suppression, out of service.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type AlarmDefinition,
  type AlarmRun,
  advanceAlarm,
  beyond,
  commandAlarm,
  quietAlarm,
  restoreAlarm,
  shelveAlarm,
} from "../../../daemon/core/protect/alarm.ts";

// The same histories every time: a failure is found once and then for everybody.
fc.configureGlobal({ seed: 8373 });

const HOT: AlarmDefinition = {
  tag: "hot",
  priority: "high",
  setpoint: { value: 100, unit: "°C", sense: "at or above" },
  deadband: 5,
  onDelaySeconds: 3,
  offDelaySeconds: 10,
  latch: false,
  cause: "heat",
  consequence: "damage",
  response: "cool it",
  respondWithinSeconds: 60,
};
const LATCHING = { ...HOT, latch: true };

/** Runs the alarm over one condition a second, beginning at second 1. */
function over(
  alarm: AlarmDefinition,
  conditions: readonly (boolean | null)[],
  from = quietAlarm(0),
  start = 0,
): AlarmRun {
  let run = from;
  conditions.forEach((condition, index) => {
    run = advanceAlarm(alarm, run, condition, false, start + index + 1);
  });
  return run;
}
const times = <T>(count: number, value: T): T[] => Array.from({ length: count }, () => value);

describe("deadband", () => {
  it.each([
    [99.9, false, false],
    [100, false, true],
    [95.1, true, true],
    [95, true, true],
    [94.9, true, false],
    [Number.NaN, false, true],
  ])("at %d with the alarm held %s holds %s", (value, held, expected) => {
    expect(beyond(HOT, value, held)).toBe(expected);
  });

  it("works downward too", () => {
    const low: AlarmDefinition = { ...HOT, setpoint: { value: 10, unit: "V", sense: "at or below" }, deadband: 1 };
    expect([10.1, 10, 9].map((value) => beyond(low, value, false))).toEqual([false, true, true]);
    expect([11.1, 11, 10.5].map((value) => beyond(low, value, true))).toEqual([false, true, true]);
  });
});

describe("delays", () => {
  it("comes only after the whole on-delay", () => {
    expect(over(HOT, times(3, true)).state).toBe("normal");
    expect(over(HOT, times(4, true)).state).toBe("unacknowledged");
  });

  it("begins the on-delay anew after a gap", () => {
    expect(over(HOT, [...times(3, true), false, ...times(3, true)]).state).toBe("normal");
  });

  it("goes only after the whole off-delay", () => {
    const raised = over(HOT, times(4, true));
    expect(over(HOT, times(10, false), raised, 4).state).toBe("unacknowledged");
    expect(over(HOT, times(11, false), raised, 4).state).toBe("returned to normal unacknowledged");
  });

  it("holds what it held while the condition cannot be told", () => {
    const raised = over(HOT, times(4, true));
    expect(over(HOT, times(1000, null), raised, 4).state).toBe("unacknowledged");
  });

  it("is not kept away by readings that fail now and then, nor let go by them", () => {
    expect(over(HOT, [true, null, true, null, true]).state).toBe("unacknowledged");
    expect(over(HOT, [true, ...times(100, null)]).state).toBe("normal");
    expect(over(HOT, [true, null, false, null, true]).state).toBe("normal");
    const raised = over(HOT, times(4, true));
    expect(over(HOT, [false, ...times(9, null), false, false], raised, 4).state).toBe("unacknowledged");
  });

  it("comes at once without a delay", () => {
    expect(over({ ...HOT, onDelaySeconds: 0 }, [true]).state).toBe("unacknowledged");
  });

  it("hands back the same object while nothing happens", () => {
    const quiet = quietAlarm(0);
    expect(advanceAlarm(HOT, quiet, false, false, 1)).toBe(quiet);
    expect(advanceAlarm(HOT, quiet, null, false, 2)).toBe(quiet);
    const raised = over(HOT, times(4, true));
    expect(advanceAlarm(HOT, raised, true, false, 9)).toBe(raised);
  });
});

describe("latch", () => {
  it("stays until acknowledged and reset, in this order", () => {
    const gone = over(LATCHING, [...times(4, true), ...times(11, false)]);
    expect(gone.state).toBe("latched unacknowledged");
    const acknowledged = commandAlarm(LATCHING, gone, "acknowledge", 20);
    expect(acknowledged.state).toBe("latched acknowledged");
    expect(over(LATCHING, times(500, false), acknowledged, 20).state).toBe("latched acknowledged");
    expect(commandAlarm(LATCHING, acknowledged, "reset", 600).state).toBe("normal");
  });

  it("alarms anew when the condition comes back", () => {
    const gone = commandAlarm(LATCHING, over(LATCHING, [...times(4, true), ...times(11, false)]), "acknowledge", 20);
    expect(over(LATCHING, times(4, true), gone, 20).state).toBe("unacknowledged");
  });
});

describe("a latch that is set aside", () => {
  const gone = over(LATCHING, [...times(4, true), ...times(11, false)]);

  it("stands when the shelving has ended, also if the condition came and went meanwhile", () => {
    const shelved = shelveAlarm(LATCHING, gone, 60, 15);
    expect(over(LATCHING, times(60, false), shelved, 15).state).toBe("latched unacknowledged");
    const quiet = shelveAlarm(LATCHING, quietAlarm(0), 60, 0);
    const meanwhile = [...times(4, true), ...times(56, false)];
    expect(over(LATCHING, meanwhile, quiet).state).toBe("latched unacknowledged");
    expect(over(HOT, meanwhile, shelveAlarm(HOT, quietAlarm(0), 60, 0)).state).toBe("normal");
  });

  it("is opened by a reset, but not while the condition holds", () => {
    const shelved = shelveAlarm(LATCHING, gone, 60, 15);
    const reset = commandAlarm(LATCHING, shelved, "reset", 16);
    expect([reset.state, reset.latched]).toEqual(["shelved", false]);
    expect(over(LATCHING, times(60, false), reset, 15).state).toBe("normal");
    const holding = shelveAlarm(LATCHING, over(LATCHING, times(4, true)), 60, 4);
    expect(commandAlarm(LATCHING, holding, "reset", 5)).toBe(holding);
  });
});

describe("shelving", () => {
  it("ends by itself and then says what the condition is", () => {
    const raised = over(HOT, times(4, true));
    const shelved = shelveAlarm(HOT, raised, 60, 4);
    expect([shelved.state, shelved.untilSeconds]).toEqual(["shelved", 64]);
    expect(over(HOT, times(59, true), shelved, 4).state).toBe("shelved");
    expect(over(HOT, times(60, true), shelved, 4).state).toBe("unacknowledged");
    expect(over(HOT, times(60, false), shelved, 4).state).toBe("normal");
  });

  it("can be ended early, and renewed only with a new end", () => {
    const shelved = shelveAlarm(HOT, quietAlarm(0), 60, 0);
    expect(restoreAlarm(HOT, shelved, "shelved", 1).state).toBe("normal");
    expect(restoreAlarm(HOT, shelved, "out of service", 1)).toBe(shelved);
    expect(shelveAlarm(HOT, shelved, 10, 30).untilSeconds).toBe(40);
  });

  it("ends at once when it has no end", () => {
    const endless: AlarmRun = { ...quietAlarm(0), state: "shelved", untilSeconds: null };
    expect(advanceAlarm(HOT, endless, false, false, 1).state).toBe("normal");
  });

  it("always ends, whatever the condition does", () => {
    const condition = fc.constantFrom(true, false, null);
    fc.assert(
      fc.property(
        fc.array(condition, { maxLength: 40 }),
        fc.array(condition, { minLength: 61, maxLength: 61 }),
        fc.boolean(),
        fc.boolean(),
        (before, after, latch, suppressed) => {
          const alarm = { ...HOT, latch };
          let run = shelveAlarm(alarm, over(alarm, before), 60, before.length);
          expect(run.state).toBe("shelved");
          after.forEach((now, index) => {
            run = advanceAlarm(alarm, run, now, suppressed, before.length + index + 1);
          });
          expect(run.state).not.toBe("shelved");
        },
      ),
    );
  });
});

describe("suppression by design", () => {
  it("lasts exactly as long as the design says", () => {
    const raised = over(HOT, times(4, true));
    const suppressed = advanceAlarm(HOT, raised, true, true, 5);
    expect(suppressed.state).toBe("suppressed by design");
    expect(advanceAlarm(HOT, suppressed, true, true, 5000).state).toBe("suppressed by design");
    expect(advanceAlarm(HOT, suppressed, true, false, 5001).state).toBe("unacknowledged");
  });

  it("waits for the end of shelving and follows it without a false alarm", () => {
    const shelved = shelveAlarm(HOT, quietAlarm(0), 10, 0);
    expect(advanceAlarm(HOT, shelved, false, true, 9).state).toBe("shelved");
    expect(advanceAlarm(HOT, shelved, false, true, 10).state).toBe("suppressed by design");
  });
});

describe("out of service", () => {
  it("ends only when an operator returns it", () => {
    const out = commandAlarm(HOT, over(HOT, times(4, true)), "take out of service", 4);
    expect(over(HOT, times(5000, true), out, 4).state).toBe("out of service");
    expect(restoreAlarm(HOT, out, "out of service", 5).state).toBe("unacknowledged");
    expect(shelveAlarm(HOT, out, 60, 5)).toBe(out);
  });
});
