// Whether a newer page is served: by the names of its files, asked once for each new connection, and never taken from an answer that
// is no page.

import { signal } from "@preact/signals";
import { describe, expect, it, vi } from "vitest";
import { EMPTY_MODEL, type Model } from "../../web/model.ts";
import { assetsIn, followServedPage, isNewer } from "../../web/newer-page.ts";

const page = (hash: string): string =>
  `<script type="module" src="/assets/index-${hash}.js"></script><link rel="stylesheet" href="/assets/index-${hash}.css"><link href="/icon.svg">`;

describe("a page's files", () => {
  it("are those that are bundled, whatever their order", () => {
    expect(assetsIn(page("abc"))).toEqual(["/assets/index-abc.css", "/assets/index-abc.js"]);
    expect(isNewer(assetsIn(page("a")), assetsIn(page("b")))).toBe(true);
    expect(isNewer(assetsIn(page("a")), assetsIn(page("a")))).toBe(false);
    expect(isNewer(assetsIn(page("a")), assetsIn("<h1>Service unavailable</h1>"))).toBe(false);
  });
});

describe("a page that follows what is served", () => {
  function following(served: () => Response | Promise<Response>) {
    const model = signal<Model>(EMPTY_MODEL);
    const asked = vi.fn(() => Promise.resolve(served()));
    const newer = followServedPage({ model, fetch: asked as unknown as typeof fetch }, page("old"));
    const connect = async (): Promise<void> => {
      model.value = { ...model.value, about: { boot_id: "b" } as Model["about"] };
      await new Promise((settled) => setImmediate(settled));
    };
    return { newer, asked, connect, model };
  }

  it("asks after a new connection only, and says so once it is newer", async () => {
    let hash = "old";
    const { newer, asked, connect, model } = following(() => new Response(page(hash)));
    await connect();
    model.value = { ...model.value, sequence: 2 };
    expect(asked).not.toHaveBeenCalled();
    await connect();
    expect([asked.mock.calls.length, newer.value]).toEqual([1, false]);
    hash = "new";
    await connect();
    expect([asked.mock.calls.length, newer.value]).toEqual([2, true]);
    await connect();
    expect(asked).toHaveBeenCalledTimes(2);
  });

  it("believes no failure", async () => {
    const answers = [() => Promise.reject(new Error("gone")), () => new Response(page("new"), { status: 503 })];
    const { newer, connect } = following(() => answers.shift()?.() ?? new Response(""));
    for (let time = 0; time < 4; time += 1) await connect();
    expect(newer.value).toBe(false);
  });
});
