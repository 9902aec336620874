// Abuse of the page's server: fuzz, smuggling, crowds, guesses. One after the other, for the last of them measures how late a cycle is.
import { suite } from "../suite.ts";

export default suite("abuse", {
  testTimeout: 90_000,
  hookTimeout: 60_000,
  maxWorkers: 1,
});
