// The package in a clean Debian root, and under a real systemd in a machine of its own. Both wait more than they work, so they run side by side.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: fileURLToPath(new URL("../..", import.meta.url)),
    include: ["tests/package/**/*.test.ts"],
    globalSetup: ["tests/package/setup.ts"],
    testTimeout: 240_000,
    hookTimeout: 240_000,
    pool: "forks",
    maxWorkers: 2,
    bail: 1,
    disableConsoleIntercept: true,
  },
});
