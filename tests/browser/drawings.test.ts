// The wiring drawings as a browser sets them: no words on other words or struck by a line, none cut off at the edge.

import { afterAll, beforeAll, expect, it } from "vitest";
import { drawSheet } from "../../hardware/wiring/draw.ts";
import { allSheets } from "../../hardware/wiring/index.ts";
import { type Sheet, wire } from "../../hardware/wiring/sheet.ts";
import { launchChromium } from "./chromium.ts";

type Browser = Awaited<ReturnType<typeof launchChromium>>;
let browser: Browser;

beforeAll(async () => {
  browser = await launchChromium();
});
afterAll(() => browser.close());

/** Pairs of words that cover each other, words that a wire, a cable or a place's edge runs through, and words beyond the edge. */
async function collisions(sheet: Sheet): Promise<string[]> {
  const page = await browser.newPage();
  await page.setContent(`<!doctype html><style>body{margin:0}</style>${drawSheet(sheet)}`);
  const found = await page.evaluate(() => {
    const svg = document.querySelector("svg");
    const edge = svg?.getBoundingClientRect();
    const texts = [...document.querySelectorAll("svg text")].map((text) => ({
      words: text.textContent ?? "",
      box: text.getBoundingClientRect(),
    }));
    const slack = 2;
    const over = texts.flatMap(({ words, box }, index) =>
      texts
        .slice(index + 1)
        .filter(
          (other) =>
            box.left + slack < other.box.right &&
            other.box.left + slack < box.right &&
            box.top + slack < other.box.bottom &&
            other.box.top + slack < box.bottom,
        )
        .map((other) => `${words} | ${other.words}`),
    );
    const beyond = texts
      .filter(
        ({ box }) => edge === undefined || box.left < edge.left || box.right > edge.right || box.bottom > edge.bottom,
      )
      .map(({ words }) => `${words} | edge`);
    const runs = [...document.querySelectorAll<SVGPolylineElement>("svg polyline")].flatMap(({ points }) =>
      [...points].slice(1).map((to, index) => [points[index] ?? to, to] as const),
    );
    const sides = [...document.querySelectorAll("svg rect.o")].flatMap((place) => {
      const { left, right, top, bottom } = place.getBoundingClientRect();
      const corners = [left, right].flatMap((x) => [top, bottom].map((y) => ({ x, y })));
      return corners.flatMap((a) => corners.filter((b) => a.x === b.x || a.y === b.y).map((b) => [a, b] as const));
    });
    const struck = texts
      .filter(({ box }) =>
        [...runs, ...sides].some(
          ([a, b]) =>
            Math.min(a.x, b.x) < box.right - slack &&
            Math.max(a.x, b.x) > box.left + slack &&
            Math.min(a.y, b.y) < box.bottom - slack &&
            Math.max(a.y, b.y) > box.top + slack,
        ),
      )
      .map(({ words }) => `${words} | line`);
    return [...over, ...struck, ...beyond];
  });
  await page.close();
  return found;
}

it.each(allSheets().map((sheet) => [sheet.name, sheet] as const))(
  "%s: every word can be read",
  async (_name, sheet) => {
    expect(await collisions(sheet)).toEqual([]);
  },
);

it("finds words that cover each other, are struck or run out", async () => {
  const sheet: Sheet = {
    name: "x",
    title: "title",
    description: "",
    size: [20, 10],
    notes: [
      { at: [2, 6], text: "first" },
      { at: [3, 6], text: "second" },
      { at: [2, 9], text: "struck" },
      { at: [18, 8], text: "out of the picture" },
    ],
    wires: [wire("3,7 3,9.5")],
  };
  expect(await collisions(sheet)).toEqual(["first | second", "struck | line", "out of the picture | edge"]);
});
