// Login in a real Chromium on the real daemon: what a reader sees who may only look, the way through a question to the login and
// back, logout in a second page, looking behind a login, by keyboard alone, and no finding of axe-core in any look.

import { createRequire } from "node:module";
import type { BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { EMPTY_REGISTER, writeRegister } from "../../daemon/access/register.ts";
import { accessFiles } from "../../daemon/folder.ts";
import type { RecordPage } from "../../daemon/wire/alarm.ts";
import { cheapSeal } from "../support/cheap-seal.ts";
import { openStage, type Stage, stallFan } from "./stage.ts";

const SPEED = 10;
const WAIT = { timeout: 30_000 };
const AXE = createRequire(import.meta.url).resolve("axe-core/axe.min.js");
const [OPERATOR, VIEWER] = ["four wires in the orchard", "a horse on the tower roof"];

let stage: Stage;
let register: string;

beforeAll(async () => {
  stage = await openStage(SPEED, (folder) => {
    ({ register } = accessFiles(folder, true));
    writeRegister(register, { ...EMPTY_REGISTER, operator: cheapSeal(OPERATOR) });
  });
  stallFan(stage.feedpoint);
});
afterAll(() => stage.close());

// Isolated worlds would be needed to lift the policy for axe alone; the page's own policy is tested in now.test.ts.
const visitor = (): Promise<BrowserContext> =>
  stage.browser.newContext({ viewport: { width: 1280, height: 900 }, locale: "en-GB", bypassCSP: true });

async function open(context: BrowserContext, hash = "#/alarms", look = "light"): Promise<Page> {
  const page = await context.newPage();
  await page.addInitScript((chosen) => localStorage.setItem("emberwire.preferences", chosen), JSON.stringify({ look }));
  await page.goto(`${stage.feedpoint.address}${hash}`);
  await page.waitForSelector("h1", WAIT);
  return page;
}

async function findings(page: Page): Promise<readonly string[]> {
  await page.addScriptTag({ path: AXE });
  const found: {
    readonly violations: readonly { readonly id: string; readonly nodes: readonly { readonly html: string }[] }[];
  } = await page.evaluate("axe.run()");
  return found.violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" ")}`);
}

const STALL = '.alarm[data-tag="fan_stall"]';

describe("a page without a login", () => {
  it("says so in the header and on each control, and leads through the question to the login and on", async () => {
    const context = await visitor();
    const page = await open(context);
    await page.waitForSelector(".access", WAIT);
    expect(await page.textContent(".access span")).toBe("Read only");
    await page.waitForSelector(`${STALL}.alarm-waiting`, WAIT);
    expect(await page.textContent(`${STALL} .act`)).toMatch(/Acknowledge.*\(login needed\)/);
    await page.click(`${STALL} .act`);
    expect(await page.textContent("dialog p")).toContain("read-only until you log in");
    await page.click('dialog button:has-text("Log in")');
    // A wrong password first; from here on by keyboard alone.
    await page.waitForSelector("dialog input[type=password]:focus", WAIT);
    await page.keyboard.type("not the password");
    await page.keyboard.press("Enter");
    await page.waitForFunction(
      () => document.querySelector("#login-refused")?.textContent?.includes("not the password"),
      null,
      WAIT,
    );
    await page.waitForSelector("dialog input[type=password]:focus", WAIT);
    await page.keyboard.type(OPERATOR);
    await page.keyboard.press("Enter");
    // The question that was asked at first stands there now.
    await page.click("dialog .act", WAIT);
    await page.waitForSelector(`${STALL}:not(.alarm-waiting)`, WAIT);
    expect(await page.textContent(".access span")).toBe("Operator");
    const record: RecordPage = await page.evaluate(async () => (await fetch("/api/v1/record?kinds=command")).json());
    const told = record.lines.map(({ tag, by, text }) => `${tag} ${by} ${/from [0-9.]+/.exec(text)?.[0]}`);
    expect(told.slice(0, 2)).toEqual(["acknowledge operator from 127.0.0.1", "login operator from 127.0.0.1"]);

    const cookies = await context.cookies();
    expect(cookies).toMatchObject([{ name: "emberwire", httpOnly: true, sameSite: "Strict", path: "/" }]);
    expect(await page.evaluate(() => document.cookie)).toBe("");

    // Logged out everywhere in one page, read-only in the other as soon as it looks.
    const second = await open(context);
    await second.waitForSelector(".access", WAIT);
    await page.click(".access button");
    await page.click('dialog button:has-text("everywhere")');
    await page.waitForFunction(() => document.querySelector(".access span")?.textContent === "Read only", null, WAIT);
    await second.reload();
    await second.waitForFunction(() => document.querySelector(".access span")?.textContent === "Read only", null, WAIT);
    await context.close();
  }, 90_000);

  it.each(["light", "dark", "night"])(
    "has no finding of axe-core in the %s look, login and refusal included",
    async (look) => {
      const context = await visitor();
      const page = await open(context, "#/alarms", look);
      await page.waitForSelector(".access", WAIT);
      expect(await findings(page)).toEqual([]);
      await page.click(".access button");
      await page.waitForSelector("dialog input[type=password]", WAIT);
      expect(await findings(page)).toEqual([]);
      await page.keyboard.press("Escape");
      await page.waitForSelector("dialog", { ...WAIT, state: "detached" });
      await page.click('button:has-text("Bypass")');
      await page.waitForSelector("dialog", WAIT);
      expect(await findings(page)).toEqual([]);
      await context.close();
    },
  );
});

describe("a viewer password", () => {
  it("keeps everything but the login from strangers, at once, and lets a viewer look and no more", async () => {
    const context = await visitor();
    const page = await open(context, "#/");
    await page.waitForSelector(".cutaway, .now", WAIT);
    writeRegister(register, { ...EMPTY_REGISTER, operator: cheapSeal(OPERATOR), viewer: cheapSeal(VIEWER) });
    // The open stream is ended, and the page asks why.
    await page.waitForFunction(
      () => document.querySelector("h1")?.textContent === "A login is needed to look at this feedpoint.",
      null,
      WAIT,
    );
    expect(await page.evaluate(async () => (await fetch("/api/v1/state")).status)).toBe(401);
    expect(await findings(page)).toEqual([]);
    await page.fill("main input[type=password]", VIEWER);
    await page.keyboard.press("Enter");
    await page.waitForSelector(".now", WAIT);
    expect(await page.textContent(".access span")).toBe("Viewer");
    await page.goto(`${stage.feedpoint.address}#/alarms`);
    await page.click('button:has-text("Bypass")', WAIT);
    expect(await page.textContent("dialog p")).toContain("logged in as viewer");
    await context.close();
  });
});
