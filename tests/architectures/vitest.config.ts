// The package of every architecture, and two of them at work under emulation. Emulated programs keep a core busy each.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: fileURLToPath(new URL("../..", import.meta.url)),
    include: ["tests/architectures/**/*.test.ts"],
    globalSetup: ["tests/architectures/setup.ts"],
    testTimeout: 240_000,
    hookTimeout: 240_000,
    pool: "forks",
    maxWorkers: 2,
    bail: 1,
    disableConsoleIntercept: true,
  },
});
