// Sensors die, stick, lie and are exchanged: never a frozen number, never full power for long without knowing.

import { describe, expect, it } from "vitest";
import { combine } from "../../daemon/combine.ts";
import { bad, good, type Readings, suspect } from "../../daemon/core/readings.ts";
import { Story } from "./story.ts";

describe("the outlet dies", () => {
  const story = new Story();
  story.driveWatts = 300;
  story.run(600);
  story.override = { outlet: bad("NACK") };

  it("is borne for the grace", () => {
    story.run(story.program.limits.witnessGraceSeconds - 2);
    expect(story.stage).toBe("full");
    expect(story.effects.outlook.readings.outlet).toEqual(bad("NACK"));
    expect(story.alarm("outlet_bad")).toBe("unacknowledged");
  });

  it("then votes toward the trip, while the drive still carries the estimate", () => {
    story.run(5);
    expect(story.stage).toBe("reduced");
    expect(story.effects.outlook.estimate.degraded).toContain("no outlet");
    expect(story.effects.outlook.reasons[0]).toMatch(/inlet or outlet cannot be believed/);
  });

  it("is forgiven when it answers again", () => {
    story.override = {};
    story.run(story.program.limits.minimumReducedSeconds);
    expect(story.stage).toBe("full");
  });
});

describe("everything that carries the estimate dies", () => {
  it("takes the power off within the grace after the estimate ceased to be usable, and latches", () => {
    const story = new Story();
    story.run(600);
    story.override = { inlet: bad("BUS_STUCK"), outlet: bad("BUS_STUCK"), drive: null };
    story.upkeep = { busStuck: true };
    let unusableFor = 0;
    story.run(300, ({ effects }) => {
      unusableFor = effects.outlook.estimate.usable ? 0 : unusableFor + 1;
      if (unusableFor > story.program.limits.estimateGraceSeconds + 1) {
        expect(effects.permits).toEqual({ reduce: false, inhibit: false });
      }
    });
    expect(unusableFor).toBeGreaterThan(30);
    expect(story.stage).toBe("inhibited");
    expect(story.alarm("bus_stuck")).toBe("unacknowledged");
    expect(story.alarm("estimate_unusable")).toBe("unacknowledged");
    expect(story.ask({ kind: "bypass", seconds: 600, comment: "contest" }).text).toContain("not covered");
    story.run(5);
    expect(story.stage).toBe("inhibited");
    story.override = {};
    story.run(120);
    expect(story.stage).toBe("inhibited");
    expect(story.ask({ kind: "reset" }).accepted).toBe(true);
    expect(story.stage).toBe("full");
  });
});

describe("the outlet sticks while the core heats", () => {
  it("is found out, taken away and told", () => {
    const story = new Story();
    story.run(900);
    const frozen = good(story.effects.outlook.readings.outlet?.value ?? Number.NaN);
    story.override = { outlet: frozen };
    story.driveWatts = 600;
    story.run(600);
    expect(story.effects.outlook.readings.outlet).toEqual(bad("STUCK"));
    expect(story.alarm("outlet_stuck")).toBe("unacknowledged");
    expect(story.stage).not.toBe("full");
  });
});

describe("the outlet sticks at a warm number", () => {
  it.each([
    [200, 900],
    [200, 1500],
    [400, 1200],
    [400, 1500],
    [700, 1500],
  ])(
    "after %d W, and %d W are sent: once it is found out the bound is above the core, and the vents are as they were",
    (before, watts) => {
      const story = new Story();
      story.run(1200);
      story.driveWatts = before;
      story.run(1200);
      story.override = { outlet: good(story.outletCelsius) };
      story.driveWatts = watts;
      let below = 0;
      let permitted = 0;
      story.run(1800, () => {
        if (story.effects.permits.inhibit) permitted = story.coreCelsius;
        else story.driveWatts = 0;
        if (story.effects.outlook.readings.outlet?.code === "STUCK")
          below = Math.max(below, story.coreCelsius - story.upper);
      });
      expect(below).toBe(0);
      expect(permitted).toBeLessThan(story.program.limits.limitCelsius);
      expect(story.effects.outlook.estimate.flowFactor).toBeCloseTo(1, 1);
    },
  );
});

describe("inlet and outlet are exchanged", () => {
  it("is told after minutes of evidence, and the witness is not believed", () => {
    const story = new Story();
    story.driveWatts = 500;
    story.run(1);
    story.run(900, (told) => {
      told.override = { inlet: good(20 + 8 + (told.now % 3) / 64), outlet: good(20 + (told.now % 5) / 64) };
    });
    expect(story.alarm("inlet_outlet_swapped")).toBe("unacknowledged");
    expect(story.stage).not.toBe("full");
    // Neither is shown as a temperature of its place any more, and the core is followed by the drive.
    expect(story.effects.outlook.readings.outlet).toEqual(bad("EXCHANGED"));
    expect(story.upper).toBeGreaterThan(story.coreCelsius);
  });

  it("and put right again they can prove it: the trip is reset, and with some heat the power is full", () => {
    const story = new Story();
    story.run(60);
    const unknown: Partial<Readings> = { drive: null };
    story.run(400, (told) => {
      told.override = { ...unknown, inlet: good(25 + (told.now % 3) / 64), outlet: good(20 + (told.now % 5) / 64) };
    });
    expect(story.stage).toBe("inhibited");
    story.override = unknown;
    story.run(60);
    expect(story.ask({ kind: "reset" })).toMatchObject({ accepted: true });
    expect(story.stage).toBe("reduced");
    // Still in doubt, and withdrawn at once if the outlet should read colder again.
    expect(story.alarm("inlet_outlet_swapped")).not.toBe("normal");
    story.override = { ...unknown, inlet: good(25) };
    story.run(1);
    expect(story.effects.outlook.readings.outlet).toEqual(bad("EXCHANGED"));
    story.override = unknown;
    story.driveWatts = 300;
    story.run(900);
    expect([story.stage, story.alarm("inlet_outlet_swapped")]).toEqual(["full", "returned to normal unacknowledged"]);
  });
});

describe("garbage on the bus", () => {
  it("never reaches the estimate as a number", () => {
    const story = new Story();
    story.run(120);
    const before = story.upper;
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, -1e6, 85_000]) {
      story.override = { outlet: good(value), inlet: good(value) };
      story.run(1);
      expect(story.effects.outlook.readings.outlet).toEqual(bad("OUT_OF_RANGE"));
      expect(Number.isFinite(story.upper)).toBe(true);
    }
    story.override = {};
    story.run(60);
    expect(story.stage).toBe("full");
    expect(Math.abs(story.upper - before)).toBeLessThan(10);
  });
});

describe("a reading that jumps", () => {
  it("trips nothing while it may be garbage, and is taken with a doubt when it stays", () => {
    const story = new Story();
    story.driveWatts = 300;
    story.run(600);
    story.override = { outlet: good(55) };
    story.run(3);
    expect(story.effects.outlook.readings.outlet).toEqual(bad("JUMP"));
    expect(story.stage).toBe("full");
    story.override = {};
    story.run(30);
    expect(story.stage).toBe("full");
    story.override = { outlet: good(55) };
    story.run(10);
    expect(story.effects.outlook.readings.outlet).toEqual(suspect(55, "JUMPED"));
    expect(story.stage).not.toBe("full");
  });
});

describe("RF on the cable", () => {
  it("is told apart from ordinary errors by when it comes", () => {
    const story = new Story();
    let errors = 0;
    for (let over = 0; over < 8; over += 1) {
      story.driveWatts = 300;
      story.run(60, (told) => {
        errors += told.now % 10 === 0 ? 1 : 0;
        told.upkeep = { sensorErrorsTransmitting: errors };
      });
      story.driveWatts = 0;
      story.run(60);
    }
    expect(story.alarm("rf_upsets")).toBe("unacknowledged");
  });
});

describe("one of two thermometers at the outlet hangs loose", () => {
  it("hides no hot core behind a mean, and is an alarm", () => {
    const story = new Story();
    story.run(600);
    story.driveWatts = 1500;
    let permitted = 0;
    story.run(2400, () => {
      const both = [good(story.outletCelsius), good(story.inletCelsius + 1)];
      story.override = { drive: null, outlet: combine(both, "outlet") };
      if (story.effects.permits.inhibit) permitted = story.coreCelsius;
      else story.driveWatts = 0;
    });
    expect(permitted).toBeLessThan(story.program.limits.limitCelsius);
    expect(story.told("alarm", "outlet_implausible")[0]).toContain("the thermometers in this place disagree");
  });
});

describe("a contact that comes and goes", () => {
  const everyOther = (story: Story, here: object, gone: object): void => {
    story.override = story.now % 2 === 0 ? here : gone;
  };

  it("is told although no failure lasts, and forgotten when it holds again", () => {
    const story = new Story();
    story.run(600);
    story.run(120, () => everyOther(story, {}, { outlet: bad("CRC") }));
    expect(story.alarm("outlet_bad")).toBe("unacknowledged");
    expect(story.told("alarm", "outlet_bad")[0]).toContain("it drops out again and again");
    story.override = {};
    story.run(400);
    expect(story.alarm("outlet_bad")).toBe("returned to normal unacknowledged");
  });

  it("hides no hot outlet", () => {
    const story = new Story();
    story.run(600);
    story.run(60, () => everyOther(story, { outlet: good(70 + (story.now % 7) / 50) }, { outlet: bad("CRC") }));
    expect(story.alarm("outlet_high")).toBe("unacknowledged");
  });

  it("a reading that fails in every tenth second is borne", () => {
    const story = new Story();
    story.run(600);
    story.run(1200, () => {
      story.override = story.now % 10 === 0 ? { inlet: bad("CRC") } : {};
    });
    expect(story.alarm("inlet_bad")).toBe("normal");
  });
});
