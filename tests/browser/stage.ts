// A browser and a scripted feedpoint beside it, opened and put away together.

import type { Browser } from "playwright-core";
import { launchChromium } from "./chromium.ts";
import { type ScriptedFeedpoint, scratchFolder, startScripted } from "./feedpoint.ts";

export type Stage = {
  readonly browser: Browser;
  readonly feedpoint: ScriptedFeedpoint;
  close(): Promise<void>;
};

/** The feedpoint runs `speed` times real time. */
export async function openStage(speed: number): Promise<Stage> {
  const [browser, folder] = await Promise.all([launchChromium(), scratchFolder()]);
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

/** From now on the fan stands. */
export function stallFan({ board }: ScriptedFeedpoint): void {
  board.faults.add({ kind: "fan stall", startSeconds: board.elapsedSeconds(), endSeconds: null });
}
