// One runner for all suites that belong to `npm test`. Heavy suites (kernel guest, benches, long fault campaign) have commands of their own.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: fileURLToPath(new URL("..", import.meta.url)),
    include: ["tests/**/*.test.ts"],
    exclude: ["tests/kernel/**", "tests/bench/**", "**/node_modules/**"],
    testTimeout: 30_000,
    hookTimeout: 60_000,
    pool: "forks",
  },
});
