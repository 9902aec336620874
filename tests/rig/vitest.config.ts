// The shack's rig: the daemon and its client against Debian's own rigctld with Hamlib's dummy rig behind it.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: fileURLToPath(new URL("../..", import.meta.url)),
    include: ["tests/rig/**/*.test.ts"],
    globalSetup: ["tests/rig/setup.ts"],
    testTimeout: 90_000,
    hookTimeout: 60_000,
    pool: "forks",
    maxWorkers: 2,
    disableConsoleIntercept: true,
  },
});
