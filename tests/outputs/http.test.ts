// The HTTP interface over a real server: what each address answers, its headers, and every refusal with its code.

import { once } from "node:events";
import { mkdirSync, writeFileSync } from "node:fs";
import { createServer, type IncomingMessage, request, type Server } from "node:http";
import { connect } from "node:net";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Action } from "../../daemon/core/commands.ts";
import { createSite, type SiteSources } from "../../daemon/outputs/http.ts";
import { ListenRefused, listen } from "../../daemon/outputs/listen.ts";
import { loadPages } from "../../daemon/outputs/pages.ts";
import { readCsv } from "../../daemon/recording/csv.ts";
import type { RecordQuery } from "../../daemon/season/record-page.ts";
import type { About, Frame } from "../../daemon/wire/frame.ts";
import type { HistoryQuery } from "../../daemon/wire/history.ts";
import type { HttpProblem } from "../../daemon/wire/http-problem.ts";
import { testFolderPath } from "../support/folder.ts";
import { PLAIN_FRAME } from "../support/frame.ts";
import { idleSources } from "../support/site.ts";

const ABOUT = { name: "Test", simulated: true } as About;

let server: Server;
let address: string;
let frame: Frame | null;
let age: number;

let submitted: { readonly action: Action; readonly id: string | null }[];
let asked: HistoryQuery[];
let trouble: Error | null;
let pagesAsked: RecordQuery[];
const { folder, remove } = testFolderPath();

beforeEach(async () => {
  pagesAsked = [];
  [frame, age, submitted, asked, trouble] = [PLAIN_FRAME, 0.5, [], [], null];
  mkdirSync(join(folder, "assets"), { recursive: true });
  writeFileSync(join(folder, "index.html"), `<!doctype html>${"<p>page</p>".repeat(200)}`);
  writeFileSync(join(folder, "assets", "page-abc123.js"), "export {};\n".repeat(200));
  writeFileSync(join(folder, "secret.env"), "no page");
  const idle = idleSources();
  const sources: SiteSources = {
    ...idle,
    about: ABOUT,
    pages: loadPages(folder),
    latest: () => frame,
    ageSeconds: () => age,
    history: (query) => {
      if (trouble !== null) throw trouble;
      asked.push(query);
      return idle.history(query);
    },
    watch: {
      ...idle.watch,
      record: (query) => {
        if (trouble !== null) throw trouble;
        pagesAsked.push(query);
        return { lines: [], before: null };
      },
    },
    submit: (action, id, by, from) => {
      if (trouble !== null) return Promise.reject(trouble);
      submitted.push({ action, id });
      return idle.submit(action, id, by, from);
    },
  };
  server = createSite(sources);
  address = await listen(server, { host: "127.0.0.1", port: 0 });
});

afterEach(async () => {
  server.closeAllConnections();
  server.close();
  await once(server, "close");
  remove();
});

const get = (path: string, init: RequestInit = {}): Promise<Response> => fetch(`${address}${path}`, init);
const post = (body: unknown, headers: Readonly<Record<string, string>> = {}): Promise<Response> =>
  get("api/v1/commands", {
    method: "POST",
    headers: { "Content-Type": "application/json", ...headers },
    body: typeof body === "string" ? body : JSON.stringify(body),
  });
/** What the server says to `text` on a bare connection, until it ends it. */
const spoken = async (text: string): Promise<string> => {
  const raw = connect(Number(new URL(address).port), "127.0.0.1");
  raw.write(text);
  const chunks: string[] = [];
  for await (const chunk of raw) chunks.push(String(chunk));
  return chunks.join("");
};
const failure = async (answer: Promise<Response>) => {
  const response = await answer;
  expect(response.headers.get("content-type")).toBe("application/problem+json");
  const problem = (await response.json()) as HttpProblem;
  expect(problem.status).toBe(response.status);
  expect(problem.type).toBe(`/api/v1/problems/${problem.code}`);
  return problem;
};

describe("the page", () => {
  it("is served at / compressed, to be asked about again each time", async () => {
    const response = await get("");
    expect(response.status).toBe(200);
    expect(response.headers.get("content-type")).toBe("text/html; charset=utf-8");
    expect(response.headers.get("content-encoding")).toBe("gzip");
    expect(response.headers.get("cache-control")).toBe("no-cache");
    expect(await response.text()).toContain("<p>page</p>");
    const etag = response.headers.get("etag") ?? "";
    // Not by fetch: that adds a Cache-Control of its own, which asks for the whole page.
    const [answer] = (await once(request(address, { headers: { "If-None-Match": etag } }).end(), "response")) as [
      IncomingMessage,
    ];
    answer.resume();
    expect(answer.statusCode).toBe(304);
  });

  it("lets no inline script run and no other site frame it", async () => {
    const policy = (await get("")).headers.get("content-security-policy") ?? "";
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toContain("unsafe");
    expect((await get("")).headers.get("x-content-type-options")).toBe("nosniff");
  });

  it("keeps hashed assets for good", async () => {
    const response = await get("assets/page-abc123.js");
    expect(response.headers.get("cache-control")).toBe("public, max-age=31536000, immutable");
    expect(await response.text()).toContain("export");
  });

  it("serves nothing else of the disk", async () => {
    expect((await failure(get("secret.env"))).code).toBe("NOT_FOUND");
    expect((await failure(get("..%2f..%2fetc%2fpasswd"))).code).toBe("NOT_FOUND");
    expect((await failure(get("constructor"))).code).toBe("NOT_FOUND");
  });

  it("takes only GET and HEAD", async () => {
    expect(await failure(get("api/v1/state", { method: "POST" }))).toMatchObject({ status: 405, code: "METHOD" });
    expect((await get("api/v1/season/sessions", { method: "DELETE" })).headers.get("allow")).toBe("GET, HEAD, POST");
    expect((await get("api/v1/state", { method: "HEAD" })).status).toBe(200);
    expect(await failure(get("", { method: "DELETE" }))).toMatchObject({ status: 405, code: "METHOD" });
    expect((await get("", { method: "HEAD" })).status).toBe(200);
  });
});

describe("state, health, history", () => {
  it("state is the newest frame with what does not change", async () => {
    const response = await get("api/v1/state");
    expect(await response.json()).toEqual({ about: ABOUT, frame: PLAIN_FRAME, age_seconds: 0.5, notices: [] });
    expect(response.headers.get("cache-control")).toBe("no-store");
    frame = null;
    expect(await failure(get("api/v1/state"))).toMatchObject({ status: 503, code: "UNAVAILABLE" });
  });

  it("the row has the vocabulary's names and no stale number", async () => {
    const columns = "feedpoint,core_celsius,headroom_seconds,power_stage,age_seconds,transmitting";
    expect(await (await get(`api/v1/state?fields=${columns}`)).json()).toEqual({
      feedpoint: ABOUT.name,
      core_celsius: 60,
      headroom_seconds: null,
      power_stage: "full",
      age_seconds: 0.5,
      transmitting: false,
    });
    const response = await get(`api/v1/state.csv?fields=${columns}`);
    expect(response.headers.get("content-type")).toBe("text/csv; charset=utf-8; header=present");
    expect(await response.text()).toBe(`${columns}\r\nTest,60,,full,0.5,false\r\n`);
    age = 3.1;
    expect(await failure(get("api/v1/state.csv"))).toMatchObject({
      status: 503,
      detail: expect.stringContaining("3 s"),
    });
    expect(await failure(get("api/v1/state?fields=fan"))).toMatchObject({ status: 503 });
    expect((await get("api/v1/state")).status).toBe(200);
  });

  it("the row's record is read back by a reader of RFC 4180 whatever the feedpoint's name", async () => {
    const name = 'Gate, "the old" one\r\nand more';
    Object.assign(ABOUT, { name });
    const records = [...readCsv([await (await get("api/v1/state.csv")).text()])].map(({ fields }) => fields);
    Object.assign(ABOUT, { name: "Test" });
    expect(records).toHaveLength(2);
    expect(records[0]).toHaveLength(records[1]?.length ?? 0);
    expect(records[1]?.[0]).toBe(name);
  });

  it.each(["fields=", "fields=core", "fields=fan,fan,cor", "field=fan"])("the row refuses %s", async (query) => {
    expect(await failure(get(`api/v1/state.csv?${query}`))).toMatchObject({ status: 400, code: "BAD_REQUEST" });
  });

  it("health follows the cycles", async () => {
    expect((await get("healthz")).status).toBe(200);
    age = 4;
    expect(await failure(get("healthz"))).toMatchObject({ status: 503 });
  });

  it("history passes on a checked query", async () => {
    await get("api/v1/history?from=1000&to=2000&points=50&series=core_celsius,fan_rpm");
    const series = ["core_celsius", "fan_rpm"];
    expect(asked).toEqual([{ fromSeconds: 1000, toSeconds: 2000, points: 50, series }]);
  });

  it.each([
    ["points=0", "points"],
    ["points=1001", "points"],
    ["from=never", "from"],
    ["from=3000&to=2000", "from"],
    ["series=core_celsiu", "series"],
    ["serie=core_celsius", "serie"],
  ])("history refuses %s", async (query, what) => {
    const { status, code, detail } = await failure(get(`api/v1/history?${query}`));
    expect({ status, code }).toEqual({ status: 400, code: "BAD_REQUEST" });
    expect(detail).toMatch(new RegExp(`^${what}: expected .+, got .+`));
  });

  it("history says when the log cannot be read", async () => {
    trouble = new Error("disk I/O error");
    expect((await failure(get("api/v1/history"))).detail).toContain("disk I/O error");
  });
});

describe("metrics", () => {
  const OPENMETRICS = "application/openmetrics-text; version=1.0.0; charset=utf-8";
  const PLAIN = "text/plain; version=0.0.4; charset=utf-8";

  it.each([
    ["*/*", OPENMETRICS],
    // As Prometheus 2.42 asks.
    [
      "application/openmetrics-text;version=1.0.0,application/openmetrics-text;version=0.0.1;q=0.75,text/plain;version=0.0.4;q=0.5,*/*;q=0.1",
      OPENMETRICS,
    ],
    ["text/plain;version=0.0.4;q=1,application/openmetrics-text;version=1.0.0;q=0.5", PLAIN],
    ["text/plain", PLAIN],
    ["image/png", PLAIN],
  ])("asked for as %s are %s", async (Accept, type) => {
    const response = await get("metrics", { headers: { Accept } });
    expect(response.headers.get("content-type")).toBe(type);
    expect((await response.text()).endsWith("# EOF\n")).toBe(type === OPENMETRICS);
  });

  it("are not to be had without a living cycle", async () => {
    age = 3.5;
    expect(await failure(get("metrics"))).toMatchObject({ status: 503, code: "UNAVAILABLE" });
  });
});

describe("the record", () => {
  it("is asked for by pages and kinds", async () => {
    await get("api/v1/record?before=12&lines=5&kinds=alarm,proof%20test");
    expect(pagesAsked).toEqual([{ before: 12, lines: 5, kinds: ["alarm", "proof test"] }]);
  });

  it.each(["lines=0", "lines=201", "before=-1", "kinds=secret", "kinds=alarm,alarm", "after=3"])(
    "refuses %s",
    async (query) => {
      expect(await failure(get(`api/v1/record?${query}`))).toMatchObject({ status: 400, code: "BAD_REQUEST" });
      expect(pagesAsked).toEqual([]);
    },
  );

  it("says when the log cannot be read", async () => {
    trouble = new Error("disk I/O error");
    expect(await failure(get("api/v1/record"))).toMatchObject({ status: 503, code: "UNAVAILABLE" });
  });
});

describe("commands", () => {
  it("reach the program with their id", async () => {
    const response = await post({ id: "a-1", action: { kind: "note", text: "rain" } });
    expect(await response.json()).toEqual({ id: "a-1", accepted: true, text: "noted" });
    expect(submitted).toEqual([{ id: "a-1", action: { kind: "note", text: "rain" } }]);
  });

  it.each([
    [{ action: { kind: "open" } }, "action.kind"],
    [{ action: { kind: "shelve", tag: "core-high" } }, "action.seconds"],
    [{ action: { kind: "shelve", tag: "core-high", seconds: -1 } }, "action.seconds"],
    [{ action: { kind: "bypass", seconds: 60, comment: "" } }, "action.comment"],
    [{ action: { kind: "reset", force: true } }, "action.force"],
    [{ action: { kind: "spot reading", celsius: "90", secondsAgo: 0 } }, "action.celsius"],
    [{ action: [] }, "action"],
    [{}, "action"],
    [{ id: "with space", action: { kind: "reset" } }, "id"],
  ])("refuse %j", async (body, what) => {
    const { status, detail } = await failure(post(body));
    expect(status).toBe(400);
    expect(detail).toMatch(new RegExp(`^${what.replace(".", "\\.")}: expected`));
    expect(submitted).toEqual([]);
  });

  it("refuse what is no JSON, too long, or of another type", async () => {
    expect(await failure(post("{"))).toMatchObject({ status: 400, code: "BAD_REQUEST" });
    expect(await failure(post(JSON.stringify("x".repeat(20_000))))).toMatchObject({ status: 413, code: "TOO_LARGE" });
    expect(await failure(post("kind=reset", { "Content-Type": "text/plain" }))).toMatchObject({ status: 415 });
  });

  it("refuse the page of another site", async () => {
    const outcome = await failure(post({ action: { kind: "reset" } }, { Origin: "https://elsewhere.example" }));
    expect(outcome).toMatchObject({ status: 403, code: "FORBIDDEN" });
  });

  it("say when no cycle took them", async () => {
    trouble = new Error("no cycle took the command");
    expect(await failure(post({ action: { kind: "reset" } }))).toMatchObject({ status: 503, code: "UNAVAILABLE" });
  });
});

describe("a problem (RFC 9457)", () => {
  it.each(["API/v1/state", "api/v1/state/", "metrics/", "api", "api/v1/%E0%A4%A"])(
    "meets an address that nobody described: %s",
    async (path) => {
      expect(await failure(get(path))).toMatchObject({ status: 404, code: "NOT_FOUND" });
    },
  );

  it("has a type that leads to its description", async () => {
    const { type, title, code, status } = await failure(get("api/v1/nothing"));
    expect(await (await get(type.slice(1))).json()).toEqual({ code, status, title });
    expect((await failure(get("api/v1/problems/NONE"))).detail).toContain("NOT_FOUND");
  });

  it.each([
    [
      "a name that is not ours",
      "GET /api/v1/state HTTP/1.1\r\nHost: elsewhere.example\r\nConnection: close\r\n\r\n",
      403,
    ],
    ["what is no HTTP", "hello\r\n\r\n", 400],
    ["headers without end", `GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: ${"x".repeat(20_000)}\r\n\r\n`, 431],
  ])("answers %s", async (_what, text, status) => {
    const said = await spoken(text);
    expect(said).toMatch(new RegExp(`^HTTP/1\\.1 ${status} `));
    expect(said).toMatch(/\r\ncontent-type: application\/problem\+json\r\n/i);
    expect(JSON.parse(said.slice(said.indexOf("\r\n\r\n")))).toMatchObject({ status });
  });
});

describe("the server", () => {
  it("has a deadline and a bound on everything that waits", () => {
    expect(server.requestTimeout).toBeGreaterThan(0);
    expect(server.headersTimeout).toBeGreaterThan(0);
    expect(server.timeout).toBeGreaterThan(0);
    expect(server.maxConnections).toBeGreaterThan(0);
  });

  it("says what to do when the port is taken", async () => {
    const second = createServer();
    const port = Number(new URL(address).port);
    const refused = listen(second, { host: "127.0.0.1", port });
    await expect(refused).rejects.toThrow(ListenRefused);
    await expect(refused).rejects.toThrow(/free port.*--listen.*port in use/);
  });
});
