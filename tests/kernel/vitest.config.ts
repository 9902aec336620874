// The scenarios on a real kernel: one guest, one file after another, with room for an emulated processor.
import { suite } from "../suite.ts";

export default suite("kernel", {
  globalSetup: ["tests/kernel/setup.ts"],
  testTimeout: 180_000,
  hookTimeout: 240_000,
  teardownTimeout: 30_000,
  fileParallelism: false,
  // After a scenario failed the guest is not in the state that the next one starts from.
  bail: 1,
});
