// The scenarios on a real kernel: one guest, one file after another, with room for an emulated processor.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: fileURLToPath(new URL("../..", import.meta.url)),
    include: ["tests/kernel/**/*.test.ts"],
    globalSetup: ["tests/kernel/setup.ts"],
    testTimeout: 180_000,
    hookTimeout: 240_000,
    teardownTimeout: 30_000,
    pool: "forks",
    fileParallelism: false,
    // After a scenario failed the guest is not in the state that the next one starts from.
    bail: 1,
    disableConsoleIntercept: true,
  },
});
