// A real Prometheus reads a real daemon: one file, which installs what it needs from Debian.
import { suite } from "../suite.ts";

export default suite("metrics", {
  testTimeout: 60_000,
  hookTimeout: 240_000,
});
