// A real Prometheus reads a real daemon: one file, which installs what it needs from Debian.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: fileURLToPath(new URL("../..", import.meta.url)),
    include: ["tests/metrics/**/*.test.ts"],
    testTimeout: 60_000,
    hookTimeout: 240_000,
    pool: "forks",
    disableConsoleIntercept: true,
  },
});
