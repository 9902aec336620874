// The client against the real server: what it hears, that it believes no number the server lets through, and what a set amounts to.

import { expect, it, onTestFinished } from "vitest";
import { Session } from "../../daemon/station/rigctl/session.ts";
import { systemClock } from "../../hardware/clock.ts";
import { Rigctld } from "./rigctld.ts";

async function sessionWith(rigctld: Rigctld): Promise<Session> {
  const server = { host: "127.0.0.1", port: rigctld.port };
  const session = await Session.open(server, 100, await systemClock());
  onTestFinished(() => session.close());
  return session;
}

it.each([[], ["--vfo"]])("hears frequency, mode, key, power and meters (started with %s)", async (...words) => {
  const rigctld = await Rigctld.start(...words);
  const session = await sessionWith(rigctld);
  const set = words.length === 0 ? "" : "VFOA ";
  await rigctld.tell(`F ${set}3650000`);
  await rigctld.tell(`M ${set}RTTY 500`);
  await rigctld.tell(`L ${set}RFPOWER 0.6`);
  expect(await session.round()).toMatchObject({
    frequencyHertz: 3.65e6,
    mode: "RTTY",
    transmitting: false,
    powerRatio: 0.6,
    meterWatts: 0,
    swr: null,
  });
  await rigctld.tell(`T ${set}1`);
  const keyed = await session.round();
  expect(keyed.transmitting).toBe(true);
  // The dummy's meter moves at random within its range; it is a rig of 100 W.
  expect(keyed.meterWatts).toBeGreaterThanOrEqual(0);
  expect(keyed.meterWatts).toBeLessThanOrEqual(100);
});

it.each(["7", "-1", "nan", "inf"])("knows no power where the server lets %s through", async (wrong) => {
  const rigctld = await Rigctld.start();
  const session = await sessionWith(rigctld);
  await rigctld.tell(`L RFPOWER ${wrong}`);
  expect(Number((await rigctld.tell("l RFPOWER"))[0])).not.toBe(0);
  expect(await session.power()).toBeNull();
});

it("sets what it is told and reads back what the rig made of it", async () => {
  const rigctld = await Rigctld.start();
  const session = await sessionWith(rigctld);
  expect(await session.setPower(0.25)).toEqual({ refusal: null, readBackRatio: 0.25 });
  expect(await rigctld.power()).toBe(0.25);
  for (const wrong of [1.01, -0.01, Number.NaN, Number.POSITIVE_INFINITY]) {
    await expect(session.setPower(wrong)).rejects.toThrow(RangeError);
  }
  expect(await rigctld.power()).toBe(0.25);
});

it("says why, once the server is gone", async () => {
  const rigctld = await Rigctld.start();
  const session = await sessionWith(rigctld);
  await rigctld.stop();
  await expect(session.round()).rejects.toThrow("the server closed the connection");
  expect(session.alive).toBe(false);
  const server = { host: "127.0.0.1", port: rigctld.port };
  await expect(Session.open(server, null, await systemClock())).rejects.toThrow("nothing listens there");
});
