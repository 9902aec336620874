// The line to a real broker: mosquitto from Debian on loopback, killed and restarted, with password, TLS and access list.
import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    root: fileURLToPath(new URL("../..", import.meta.url)),
    include: ["tests/mqtt/**/*.test.ts"],
    globalSetup: ["tests/mqtt/setup.ts"],
    testTimeout: 60_000,
    hookTimeout: 60_000,
    pool: "forks",
    maxWorkers: 2,
    disableConsoleIntercept: true,
  },
});
