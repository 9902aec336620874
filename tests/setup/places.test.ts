// Who is where, with a scripted person and a simulated finger: nobody's finger, two fingers, a single thermometer, none at all.

import { expect, it } from "vitest";
import type { Person } from "../../daemon/setup/person.ts";
import { type Hand, placeThermometers } from "../../daemon/setup/places.ts";
import type { HardwareSpec } from "../../hardware/ports.ts";
import type { SimulatedBoard } from "../../hardware/simulated/board.ts";
import { surveyBoard, thermometersOf } from "../../hardware/survey.ts";
import { shed } from "../hardware/simulated/shed.ts";
import { DEMO_SPEC } from "../hardware/simulated/wirings.ts";

type Fingers = (board: SimulatedBoard) => Hand;

const warm = (board: SimulatedBoard, part: string): (() => void) =>
  board.faults.add({
    ...{ kind: "chip offset", part, kelvin: 0, kelvinPerHour: 3600 },
    ...{ startSeconds: board.elapsedSeconds(), endSeconds: null },
  });

const oneFinger: Fingers = (board) => ({ hold: (role) => warm(board, role) });

/** Answers in order; each must do at once. */
async function placed(answers: readonly string[], fingers: Fingers = oneFinger, spec: HardwareSpec = DEMO_SPEC) {
  const { base, board } = shed({ spec });
  await base.advanceAsync(2);
  const found = thermometersOf(await base.settle(surveyBoard(board)));
  const left = [...answers];
  const said: string[] = [];
  const person: Person = {
    present: true,
    ask: async ({ wrong, fallback }) => {
      const answer = left.shift() ?? fallback ?? "";
      expect(wrong(answer), said.join("")).toBeNull();
      return answer;
    },
    done: () => undefined,
    close: () => undefined,
  };
  const say = (text: string): void => {
    said.push(text);
  };
  const sensors = await base.settle(placeThermometers(found, { board, person, hand: fingers(board), say }));
  expect(left).toEqual([]);
  return { seats: sensors.map(({ role, place }) => `${role} ${place}`), said: said.join("") };
}

it("a finger each, and the others where the person says; two of a kind get names of their own", async () => {
  const { seats } = await placed(["", "", "ambient", "ambient"]);
  expect(seats).toEqual(["inlet i2c-1 0x48", "outlet i2c-1 0x49", "ambient i2c-1 0x18", "ambient i2c-1 0x44"]);
});

it("nobody's finger three times offers the list", async () => {
  const { seats, said } = await placed(["", "", "", "3", "list", "i2c-1 0x49"], () => ({
    hold: () => () => undefined,
  }));
  expect(seats).toEqual(["inlet i2c-1 0x48", "outlet i2c-1 0x49"]);
  expect(said.match(/None rose by a clear step/g)).toHaveLength(3);
});

it("two fingers are told by place and asked again", async () => {
  let first = true;
  const { seats, said } = await placed(["", "", ""], (board) => ({
    hold: (role) => {
      const fingers = [warm(board, role), ...(first ? [warm(board, "outlet")] : [])];
      first = false;
      return () => {
        for (const letGo of fingers) letGo();
      };
    },
  }));
  expect(said).toMatch(/i2c-1 0x4[89] and i2c-1 0x4[89] rose together: hold one only/);
  expect(seats.slice(0, 2)).toEqual(["inlet i2c-1 0x48", "outlet i2c-1 0x49"]);
});

it("a single thermometer is not taken for the inlet unasked; the other is named by hand", async () => {
  const one = { ...DEMO_SPEC, sensors: DEMO_SPEC.sensors.slice(1, 2) };
  const { seats } = await placed(["list", "tmp117 1 0x48"], oneFinger, one);
  expect(seats).toEqual(["inlet i2c-1 0x48", "outlet i2c-1 0x49"]);
});

it("none at all can be named by hand", async () => {
  const none = { ...DEMO_SPEC, sensors: [] };
  const { seats, said } = await placed(["tmp117 1 0x48", "sht4x 3 0x44"], oneFinger, none);
  expect(seats).toEqual(["inlet i2c-1 0x48", "outlet i2c-3 0x44"]);
  expect(said).toContain("none");
});
