// The long campaign: the files of `npm test` with more of everything, and whole daemons in trouble besides.
import { suite } from "../suite.ts";

export default suite("faults", {
  env: { EMBERWIRE_FAULTS: "long" },
  testTimeout: 240_000,
  // One for the trials that keep a core busy, one for the daemons that mostly wait.
  maxWorkers: 2,
});
