// One runner for all suites that belong to `npm test`. Heavy suites (kernel guest, benches, long fault campaign) have commands of their own.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

const root = fileURLToPath(new URL("..", import.meta.url));
const testTimeout = 30_000;
const hookTimeout = 60_000;

/** Rooms whose tests start no process and change nothing outside themselves: they share their workers, which saves a start for each file. */
const QUIET_ROOMS = "tests/{core,hardware,web,reference,scenarios,config,wire,station,recording,crossing}/**/*.test.ts";

/** Rooms with a runner of their own: what they need takes minutes, another machine, or programs of the system. */
const HEAVY_ROOMS = "tests/{abuse,architectures,kernel,metrics,mqtt,package,proxy,reach,rig}/**";

/** Daemons that are killed, stopped and crowded; `npm run test:faults` has them. */
const SLOW_FAULTS = "tests/faults/daemons.test.ts";

export default defineConfig({
  test: {
    // Left alone, the runner keeps one core for itself; most of our slow tests wait for a daemon or a browser.
    maxWorkers: 2,
    projects: [
      {
        test: {
          name: "quiet",
          root,
          include: [QUIET_ROOMS],
          pool: "threads",
          isolate: false,
          testTimeout,
          hookTimeout,
        },
      },
      {
        test: {
          name: "world",
          root,
          include: ["tests/**/*.test.ts"],
          exclude: [HEAVY_ROOMS, SLOW_FAULTS, "tests/bench/**", "**/node_modules/**", QUIET_ROOMS],
          pool: "forks",
          testTimeout,
          hookTimeout,
        },
      },
    ],
  },
});
