// What the suites with a runner of their own have in common: the checkout as root, processes of their own, words as they are said.
import { fileURLToPath } from "node:url";
import { defineConfig, type TestUserConfig } from "vitest/config";

/** The suite of everything in `tests/<room>`; `test` holds what is its own. */
export const suite = (room: string, test: TestUserConfig) =>
  defineConfig({
    test: {
      root: fileURLToPath(new URL("..", import.meta.url)),
      include: [`tests/${room}/**/*.test.ts`],
      pool: "forks",
      disableConsoleIntercept: true,
      ...test,
    },
  });
