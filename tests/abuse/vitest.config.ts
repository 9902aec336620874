// Abuse of the page's server: fuzz, smuggling, crowds, guesses. One after the other, for the last of them measures how late a cycle is.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: fileURLToPath(new URL("../..", import.meta.url)),
    include: ["tests/abuse/**/*.test.ts"],
    testTimeout: 90_000,
    hookTimeout: 60_000,
    pool: "forks",
    maxWorkers: 1,
    disableConsoleIntercept: true,
  },
});
