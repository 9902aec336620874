// Server-sent events as a real browser's EventSource reads them: kinds, ids, and that it comes back by itself where it was.

import { once } from "node:events";
import type { Server } from "node:http";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, it, vi } from "vitest";
import { createSite } from "../../daemon/outputs/http.ts";
import { listen } from "../../daemon/outputs/listen.ts";
import { Stream } from "../../daemon/outputs/stream.ts";
import { PLAIN_FRAME } from "../support/frame.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { idleSources, PLAIN_ABOUT } from "../support/site.ts";
import { launchChromium } from "./chromium.ts";

const clock = new ManualClock();
const stream = new Stream({ about: PLAIN_ABOUT, clock, mostReaders: 3 });
let server: Server;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  server = createSite({ ...idleSources(clock), stream });
  const address = await listen(server, { host: "127.0.0.1", port: 0 });
  browser = await launchChromium();
  page = await browser.newPage();
  // Any answer of the daemon makes its origin the page's own.
  await page.goto(`${address}healthz`);
});

afterAll(async () => {
  await browser?.close();
  stream.close();
  server?.closeAllConnections();
  server?.close();
  if (server !== undefined) await once(server, "close");
});

const publish = (seconds: number): void => {
  clock.advance(1);
  stream.publish({ ...PLAIN_FRAME, at_seconds: seconds });
};

it("an EventSource gets events with ids, and after a break goes on with the next one", async () => {
  publish(1);
  await page.evaluate(() => {
    const heard: string[] = [];
    const source = new EventSource("/api/v1/events");
    for (const kind of ["snapshot", "delta"]) {
      source.addEventListener(kind, (event) => {
        const { data, lastEventId } = event as MessageEvent<string>;
        const { sequence } = JSON.parse(data) as { readonly sequence: number };
        heard.push(`${kind} ${sequence} ${lastEventId.endsWith(`.${sequence}`)}`);
      });
    }
    Object.assign(globalThis, { heard });
  });
  const heard = (): Promise<unknown> => page.evaluate(() => (globalThis as unknown as { heard: string[] }).heard);
  const hears = (events: readonly string[]): Promise<void> =>
    vi.waitFor(async () => expect(await heard()).toEqual(events), { timeout: 15_000, interval: 50 });
  await hears(["snapshot 1 true"]);
  publish(2);
  await hears(["snapshot 1 true", "delta 2 true"]);
  server.closeAllConnections();
  await vi.waitFor(() => expect(stream.audience.readers).toBe(0), { timeout: 15_000, interval: 20 });
  await vi.waitFor(() => expect(stream.audience.readers).toBe(1), { timeout: 15_000, interval: 20 });
  publish(3);
  await hears(["snapshot 1 true", "delta 2 true", "delta 3 true"]);
});
