// The wiring drawings as a browser sets them: no words on other words, none cut off at the edge.

import { afterAll, beforeAll, expect, it } from "vitest";
import { drawSheet } from "../../hardware/wiring/draw.ts";
import { allSheets } from "../../hardware/wiring/index.ts";
import type { Sheet } from "../../hardware/wiring/sheet.ts";
import { launchChromium } from "./chromium.ts";

type Browser = Awaited<ReturnType<typeof launchChromium>>;
let browser: Browser;

beforeAll(async () => {
  browser = await launchChromium();
});
afterAll(() => browser.close());

/** Pairs of words that cover each other, and words beyond the edge. */
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
    return [...over, ...beyond];
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

it("finds words that cover each other or run out", async () => {
  const sheet: Sheet = {
    name: "x",
    title: "title",
    description: "",
    size: [20, 10],
    notes: [
      { at: [2, 6], text: "first" },
      { at: [3, 6], text: "second" },
      { at: [18, 8], text: "out of the picture" },
    ],
  };
  expect(await collisions(sheet)).toEqual(["first | second", "out of the picture | edge"]);
});
