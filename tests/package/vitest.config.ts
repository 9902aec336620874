// The package in a clean Debian root, and under a real systemd in a machine of its own. Both wait more than they work, so they run side by side.
import { suite } from "../suite.ts";

export default suite("package", {
  globalSetup: ["tests/package/setup.ts"],
  testTimeout: 240_000,
  hookTimeout: 240_000,
  maxWorkers: 2,
  bail: 1,
});
