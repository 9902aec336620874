// Who is told what, and when again: the planner over hand-made situations.

import { describe, expect, it } from "vitest";
import type { AlarmStatus } from "../../../daemon/core/effects.ts";
import {
  beginPlanner,
  type PlannerState,
  planNotices,
  type Situation,
} from "../../../daemon/outputs/notices/planner.ts";

const SETTINGS = { lowestPriority: "medium", repeatSeconds: 300 } as const;

const alarm = (over: Partial<AlarmStatus> = {}): AlarmStatus => ({
  tag: "FAN_STALL",
  state: "unacknowledged",
  priority: "high",
  text: "the fan has stopped",
  sinceSeconds: 10,
  untilSeconds: null,
  ...over,
});

const situation = (atSeconds: number, over: Partial<Situation> = {}): Situation => ({
  atSeconds,
  wallSeconds: 1_750_000_000 + atSeconds,
  wallTrusted: true,
  stage: "full",
  reasons: [],
  alarms: [],
  ...over,
});

function told(steps: readonly Situation[]): string[][] {
  let state: PlannerState = beginPlanner("full");
  return steps.map((each) => {
    const planned = planNotices(SETTINGS, state, each);
    state = planned.state;
    return planned.notices.map(({ tag, kind }) => `${tag} ${kind}`);
  });
}

describe("planNotices", () => {
  it("tells an alarm once, repeats high priority until acknowledged, and says when it is normal again", () => {
    const acknowledged = alarm({ state: "acknowledged" });
    expect(
      told([
        situation(10, { alarms: [alarm()] }),
        situation(200, { alarms: [alarm()] }),
        situation(310, { alarms: [alarm()] }),
        situation(700, { alarms: [acknowledged] }),
        situation(800),
        situation(801),
      ]),
    ).toEqual([["FAN_STALL raised"], [], ["FAN_STALL still unacknowledged"], [], ["FAN_STALL cleared"], []]);
  });

  it("does not repeat medium priority and does not tell below the lowest", () => {
    const medium = alarm({ tag: "FLOW_FACTOR_LOW", priority: "medium" });
    const low = alarm({ tag: "PROOF_TEST_OVERDUE", priority: "low" });
    expect(told([situation(0, { alarms: [medium, low] }), situation(900, { alarms: [medium, low] })])).toEqual([
      ["FLOW_FACTOR_LOW raised"],
      [],
    ]);
  });

  it.each(["shelved", "suppressed by design", "out of service", "acknowledged"] as const)(
    "is silent about %s",
    (state) => {
      expect(told([situation(0, { alarms: [alarm({ state })] })])).toEqual([[]]);
    },
  );

  it("tells of full power only who was told of less, so that a start is no news", () => {
    let state = beginPlanner("inhibited");
    const told = (["full", "reduced", "full", "full"] as const).map((stage, index) => {
      const planned = planNotices(SETTINGS, state, situation(index, { stage }));
      state = planned.state;
      return planned.notices.map(({ text }) => text);
    });
    expect(told).toEqual([[], ["Power is now reduced"], ["Power is now full"], []]);
  });

  it("tells a change of the power stage with its reasons, worst first", () => {
    const planned = planNotices(
      SETTINGS,
      beginPlanner("full"),
      situation(5, { stage: "reduced", reasons: ["fan stalled"], alarms: [alarm({ priority: "medium" })] }),
    );
    expect(planned.notices.map(({ tag, text }) => [tag, text])).toEqual([
      ["POWER_STAGE", "Power is now reduced: fan stalled"],
      ["FAN_STALL", "the fan has stopped"],
    ]);
  });
});
