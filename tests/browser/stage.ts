// A browser and a scripted feedpoint beside it, opened and put away together, and what tests of both do often.

import type { Browser, Page } from "playwright-core";
import { launchChromium } from "./chromium.ts";
import { type ScriptedFeedpoint, scratchFolder, startScripted } from "./feedpoint.ts";

export type Stage = {
  readonly browser: Browser;
  readonly feedpoint: ScriptedFeedpoint;
  close(): Promise<void>;
};

/** The feedpoint runs `speed` times real time; `furnish` puts into its folder what it shall find at its start. */
export async function openStage(speed: number, furnish: (folder: string) => void = () => {}): Promise<Stage> {
  const [browser, folder] = await Promise.all([launchChromium(), scratchFolder()]);
  furnish(folder.path);
  const feedpoint = await startScripted(folder.path, speed);
  return {
    browser,
    feedpoint,
    close: async () => {
      await browser.close();
      await feedpoint.stop();
      await folder.remove();
    },
  };
}

/** From now on the fan stands; what comes back ends that. */
export function stallFan({ board }: ScriptedFeedpoint): () => void {
  return board.faults.add({ kind: "fan stall", startSeconds: board.elapsedSeconds(), endSeconds: null });
}

/** What the browser complains about from now on: errors of the console and of the page. */
export function complaintsOf(page: Page): readonly string[] {
  const complaints: string[] = [];
  page.on("console", (message) => {
    if (message.type() === "error") complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(String(error)));
  return complaints;
}
