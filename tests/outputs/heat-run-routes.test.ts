// The heat run over HTTP on a real session: what a page reads, what it may ask and in what shape, and who may ask.

import { createServer, type Server } from "node:http";
import express from "express";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { configFrom } from "../../daemon/commands/flags.ts";
import { modelOf } from "../../daemon/config/model.ts";
import { HeatRunSession } from "../../daemon/heat-run/session.ts";
import { mountRoutes } from "../../daemon/outputs/api/route.ts";
import { heatRunRoutes } from "../../daemon/outputs/heat-run-routes.ts";
import { listen } from "../../daemon/outputs/listen.ts";
import type { Note } from "../../daemon/outputs/note.ts";
import type { WireHeatRun } from "../../daemon/wire/heat-run.ts";
import { detailOf } from "../../daemon/wire/http-problem.ts";
import { openDoor } from "../support/open-door.ts";

let server: Server;
let address: string;
let session: HeatRunSession;
let failing: Error | null;
let notes: string[];

beforeEach(async () => {
  const model = modelOf(configFrom(undefined));
  failing = null;
  session = new HeatRunSession({
    prior: model,
    inUse: model,
    limits: { fanOffCelsius: 100 },
    work: () => Promise.reject(new Error("no worker here")),
    keep: () => {},
    accept: () => {},
    rehearse: () => {},
    leaveFan: () => {},
    name: "a test",
    left: null,
  });
  const sources = {
    view: () => session.view,
    ask: (request: Parameters<typeof session.ask>[0]) => {
      if (failing !== null) throw failing;
      return session.ask(request);
    },
  };
  const app = express();
  notes = [];
  const note: Note = (tag, text, { who }) => notes.push(`${tag}: ${text} by ${who}`);
  const door = openDoor();
  mountRoutes(app, heatRunRoutes(sources, note), (right) => door.keep(right));
  server = createServer(app);
  address = `${await listen(server, { host: "127.0.0.1", port: 0 })}api/v1/heat-run`;
});

afterEach(() => {
  server.closeAllConnections();
  server.close();
});

const post = (body: unknown, headers: Readonly<Record<string, string>> = {}): Promise<Response> =>
  fetch(address, {
    method: "POST",
    headers: { "content-type": "application/json", ...headers },
    body: JSON.stringify(body),
  });

describe("the heat run over HTTP", () => {
  it("shows where the run stands", async () => {
    expect(await (await fetch(address)).json()).toMatchObject({ stage: "idle", result: null, fan_off_celsius: 100 });
  });

  it("begins a run with its options and answers with the new state", async () => {
    const answer = await post({ kind: "begin", drive_watts: 500, fan_off: true });
    const said = (await answer.json()) as { accepted: boolean; heat_run: WireHeatRun };
    expect(said).toMatchObject({ accepted: true, heat_run: { stage: "prepare", planned_watts: 500, fan_off: true } });
    const again = (await (await post({ kind: "begin", drive_watts: 500 })).json()) as {
      accepted: boolean;
      text: string;
    };
    expect(notes[0]).toMatch(/^heat-run: begin: done by /);
    expect(again).toMatchObject({ accepted: false, text: "a heat run is under way" });
    expect(await (await post({ kind: "abort" })).json()).toMatchObject({ accepted: true, heat_run: { stage: "idle" } });
  });

  it.each([
    [{}, /kind: expected one of begin, core reading, skip fan off/],
    [[], /kind/],
    [{ kind: "key" }, /kind/],
    [{ kind: "begin" }, /drive_watts: expected a number from 20 to 5000/],
    [{ kind: "begin", drive_watts: 6000 }, /drive_watts/],
    [{ kind: "begin", drive_watts: "500" }, /drive_watts/],
    [{ kind: "begin", drive_watts: 500, fan_off: "yes" }, /fan_off: expected true or false/],
    [{ kind: "core reading", celsius: 900, at_seconds: 1 }, /celsius: expected a number from -40 to 300/],
    [{ kind: "core reading", celsius: 80 }, /at_seconds/],
  ])("refuses %j and says what was expected", async (body, why) => {
    const answer = await post(body);
    expect(answer.status).toBe(400);
    expect(detailOf(await answer.json())).toMatch(why);
    expect(session.view.stage).toBe("idle");
  });

  it("takes nothing from another site, and nothing that is no JSON", async () => {
    expect((await post({ kind: "begin", drive_watts: 500 }, { origin: "http://elsewhere.example" })).status).toBe(403);
    const plain = await fetch(address, {
      method: "POST",
      body: "kind=begin",
      headers: { "content-type": "text/plain" },
    });
    expect(plain.status).toBeGreaterThanOrEqual(400);
    expect(session.view.stage).toBe("idle");
  });

  it("says that a file cannot be written", async () => {
    failing = new Error("accepted model: no space left");
    const answer = await post({ kind: "accept" });
    expect(answer.status).toBe(503);
    expect(detailOf(await answer.json())).toContain("no space left");
  });
});
