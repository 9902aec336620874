// The shack's rig: the daemon and its client against Debian's own rigctld with Hamlib's dummy rig behind it.
import { suite } from "../suite.ts";

export default suite("rig", {
  globalSetup: ["tests/rig/setup.ts"],
  testTimeout: 90_000,
  hookTimeout: 60_000,
  maxWorkers: 2,
});
