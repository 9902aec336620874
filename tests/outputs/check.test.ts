// What the view Check is told of the drive: everybody's word, and whose is believed.

import { describe, expect, it } from "vitest";
import { suspect } from "../../daemon/core/readings.ts";
import type { Beat } from "../../daemon/crossing/messages.ts";
import { noProgress } from "../../daemon/open-log.ts";
import { checkOf } from "../../daemon/outputs/check.ts";
import { plainBeat } from "../support/beat.ts";

/** A beat of a feedpoint whose detector says 400 W and whose rig meter says 816 W, of which `believed` is used. */
function apart(believed: number): Beat {
  const beat = plainBeat(1);
  const { outlook } = beat;
  const driveEvidence = {
    ...outlook.readings.driveEvidence,
    powerRatio: 2.04,
    sources: [
      { name: "detector", watts: { value: 400, quality: "good", code: null }, transmitting: true },
      { name: "rig meter", watts: suspect(816, "INDIRECT"), transmitting: null },
      { name: "PTT line", watts: null, transmitting: true },
    ],
  } as const;
  const drive = { ...outlook.readings.drive!, watts: suspect(believed, "DISAGREE") };
  return { ...beat, outlook: { ...outlook, readings: { ...outlook.readings, drive, driveEvidence } } };
}

const usedBy = (beat: Beat | null): readonly string[] =>
  checkOf({
    ...{ version: "0", beat, health: null, log: noProgress(null) },
    ...{ notices: [], rig: null, mqtt: null, nowSeconds: 0 },
  })
    .drive_sources.filter(({ used }) => used)
    .map(({ name }) => name);

describe("the check of the drive", () => {
  it("names the one whose power is believed", () => {
    expect(usedBy(apart(400))).toEqual(["detector"]);
    expect(usedBy(apart(816))).toEqual(["rig meter"]);
  });

  it("names nobody where nobody speaks", () => {
    expect(usedBy(plainBeat(1))).toEqual([]);
    expect(usedBy(null)).toEqual([]);
  });
});
