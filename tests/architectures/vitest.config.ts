// The package of every architecture, and two of them at work under emulation. Emulated programs keep a core busy each.
import { suite } from "../suite.ts";

export default suite("architectures", {
  globalSetup: ["tests/architectures/setup.ts"],
  testTimeout: 240_000,
  hookTimeout: 240_000,
  maxWorkers: 2,
  bail: 1,
});
