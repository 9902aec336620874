// The page behind a real reverse proxy: Debian's nginx on loopback, run by the lines that the example gives.
import { suite } from "../suite.ts";

export default suite("proxy", {
  testTimeout: 60_000,
  hookTimeout: 120_000,
  maxWorkers: 1,
});
