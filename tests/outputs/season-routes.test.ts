// The season over HTTP on a real log: its review, marked spans, and what is refused.

import type { Server } from "node:http";
import { join } from "node:path";
import express from "express";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { mountRoutes } from "../../daemon/outputs/api/route.ts";
import { listen } from "../../daemon/outputs/listen.ts";
import type { Note } from "../../daemon/outputs/note.ts";
import { seasonRoutes } from "../../daemon/outputs/season-routes.ts";
import { SeasonAnswers } from "../../daemon/season/answers.ts";
import { SeasonLog } from "../../daemon/season/log.ts";
import { detailOf } from "../../daemon/wire/http-problem.ts";
import type { SeasonReview, Session } from "../../daemon/wire/season.ts";
import { plainBeat, plainEntry } from "../support/beat.ts";
import { testFolderPath } from "../support/folder.ts";
import { openDoor } from "../support/open-door.ts";

const START = 1_790_000_000;
const bandOf = (): string => "40 m";
let folder: ReturnType<typeof testFolderPath>;
let log: SeasonLog;
let server: Server;
let address: string;
let notes: string[];

beforeEach(async () => {
  folder = testFolderPath();
  const run = { key: "run", bootId: "boot", version: "0", simulated: true };
  const retention = { keepSeconds: 1e9, mostBytes: 1e9 };
  log = new SeasonLog({ file: join(folder.folder, "season.db"), run, retention, bandOf }, 0);
  const beats = Array.from({ length: 5_000 }, (_, index) => plainBeat(index + 1, 40 + (index % 100)));
  log.take(beats, [{ ...plainEntry(1), kind: "note", text: "rain" }], null, {
    seconds: 20,
    wallSeconds: START,
    wallTrusted: true,
  });
  const answers = new SeasonAnswers({
    log: () => log,
    name: "Orchard gate",
    limitCelsius: 110,
    alarms: {},
    bandOf,
    nowSeconds: () => 0,
  });
  const sources = {
    review: (span: Parameters<typeof answers.review>[0]) => answers.review(span),
    sessions: () => answers.sessions(),
    mark: (session: Omit<Session, "id">) => answers.mark(session),
    remove: (id: number) => answers.remove(id),
  };
  notes = [];
  const note: Note = (tag, text, { who, address: from }) => notes.push(`${tag}: ${text} by ${who} from ${from}`);
  const app = express();
  const door = openDoor();
  mountRoutes(
    app,
    seasonRoutes(sources, note, () => START + 5_001),
    (right) => door.keep(right),
  );
  server = (await import("node:http")).createServer(app);
  address = await listen(server, { host: "127.0.0.1", port: 0 });
});

afterEach(() => {
  server.closeAllConnections();
  server.close();
  log.close(30);
  folder.remove();
});

const ask = (path: string, init?: RequestInit) => fetch(new URL(path, address), init);
const post = (body: unknown, headers: Record<string, string> = {}) =>
  ask("/api/v1/season/sessions", {
    method: "POST",
    headers: { "content-type": "application/json", ...headers },
    body: JSON.stringify(body),
  });
const SESSION = { kind: "contest", name: "test", from_seconds: START + 100, to_seconds: START + 700 };

describe("/api/v1/season", () => {
  it("adds the hours up, the one that is not over yet among them", async () => {
    const review = (await (await ask("/api/v1/season")).json()) as SeasonReview;
    expect(review).toMatchObject({ name: "Orchard gate", simulated: true, demo: false });
    expect(review.total.transmitting_seconds).toBe(5_000);
    expect(review.total.overs).toBe(1);
    expect(review.total.peak_core_celsius).toBe(139);
    // 110 °C and above in 30 of every 100 seconds.
    expect(review.total.seconds_above.at(-1)).toBe(1_500);
    expect(review.total.bands).toMatchObject([
      { band: "40 m", overs: 1, drive_joules: 700 * 5_000, heat_joules: 30 * 5_000 },
    ]);
    expect(review.notes).toMatchObject([{ kind: "note", text: "rain" }]);
    expect(review.sentence).toContain("was above 110 °C for 1500 s");
  });

  it.each([
    ["?from=nonsense", "from, to"],
    ["?from=5&to=4", "from, to"],
    [`?from=0&to=${400 * 86_400}`, "from, to"],
    ["?utc_offset_hours=5.5", "utc_offset_hours"],
    ["?until=4", "until"],
  ])("refuses %s in one line", async (query, what) => {
    const response = await ask(`/api/v1/season${query}`);
    expect(response.status).toBe(400);
    expect(detailOf(await response.json())).toMatch(new RegExp(`^${what}`));
  });
});

describe("/api/v1/season/sessions", () => {
  it("marks a span, sums its very seconds, and removes it again", async () => {
    const marked = (await (await post(SESSION)).json()) as Session;
    expect(await (await ask("/api/v1/season/sessions")).json()).toEqual([{ id: marked.id, ...SESSION }]);
    const review = (await (await ask("/api/v1/season")).json()) as SeasonReview;
    expect(review.sessions).toMatchObject([{ name: "test", exact: true, summary: { transmitting_seconds: 600 } }]);
    expect((await ask(`/api/v1/season/sessions/${marked.id}`, { method: "DELETE" })).status).toBe(204);
    expect((await ask(`/api/v1/season/sessions/${marked.id}`, { method: "DELETE" })).status).toBe(404);
    expect(await (await ask("/api/v1/season/sessions")).json()).toEqual([]);
    const whoAndWhere = "by operator from 127.0.0.1";
    expect(notes).toEqual([
      `session-marked: ${SESSION.kind} "test" ${whoAndWhere}`,
      `session-removed: number ${marked.id} ${whoAndWhere}`,
    ]);
  });

  it.each([
    [{ ...SESSION, kind: "party" }, "kind"],
    [{ ...SESSION, name: " " }, "name"],
    [{ ...SESSION, to_seconds: SESSION.from_seconds }, "from_seconds"],
    [{ ...SESSION, from_seconds: "now" }, "from_seconds"],
  ])("refuses %j", async (session, what) => {
    const response = await post(session);
    expect(response.status).toBe(400);
    expect(detailOf(await response.json())).toContain(what);
  });

  it("takes nothing from a stranger's page", async () => {
    expect((await post(SESSION, { origin: "http://stranger.example" })).status).toBe(403);
  });
});
