// Draws the page's PNG icons from its SVG in a real Chromium, for systems that install no SVG. Run after a change of the drawing,
// from the root of the checkout: npm run icons. The results are committed; a test holds them against the drawing.

import { readFile, writeFile } from "node:fs/promises";
import { resolve } from "node:path";
import type { Browser } from "playwright-core";
import { launchChromium } from "./chromium.ts";

const PUBLIC = resolve("web/public");

/** A maskable icon keeps all that matters within the middle 80 % (W3C, Web Application Manifest, "maskable"). */
export const ICONS = [
  { name: "icon-192.png", pixels: 192, share: 1, ground: "transparent" },
  { name: "icon-512.png", pixels: 512, share: 1, ground: "transparent" },
  { name: "icon-maskable.png", pixels: 512, share: 0.62, ground: "#f4f6f5" },
] as const;

/** The icon as a PNG. */
export async function drawIcon(browser: Browser, { pixels, share, ground }: (typeof ICONS)[number]): Promise<Buffer> {
  const page = await browser.newPage({ viewport: { width: pixels, height: pixels }, deviceScaleFactor: 1 });
  const svg = await readFile(resolve(PUBLIC, "icon.svg"), "utf8");
  const side = Math.round(pixels * share);
  const place = `position:absolute;inset:0;margin:auto;width:${side}px;height:${side}px`;
  await page.setContent(
    `<body style="margin:0;background:${ground}">${svg.replace("<svg ", `<svg style="${place}" `)}`,
  );
  const png = await page.screenshot({ omitBackground: ground === "transparent" });
  await page.close();
  return png;
}

async function main(): Promise<void> {
  const browser = await launchChromium();
  try {
    for (const icon of ICONS) await writeFile(resolve(PUBLIC, icon.name), await drawIcon(browser, icon));
  } finally {
    await browser.close();
  }
}

if (process.argv[1]?.endsWith("icons.js") === true) await main();
