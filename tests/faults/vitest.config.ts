// The long campaign: the files of `npm test` with more of everything, and whole daemons in trouble besides.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: fileURLToPath(new URL("../..", import.meta.url)),
    include: ["tests/faults/**/*.test.ts"],
    env: { EMBERWIRE_FAULTS: "long" },
    testTimeout: 240_000,
    pool: "forks",
    // One for the trials that keep a core busy, one for the daemons that mostly wait.
    maxWorkers: 2,
    disableConsoleIntercept: true,
  },
});
