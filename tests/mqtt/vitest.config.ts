// The line to a real broker: mosquitto from Debian on loopback, killed and restarted, with password, TLS and access list.
import { suite } from "../suite.ts";

export default suite("mqtt", {
  globalSetup: ["tests/mqtt/setup.ts"],
  testTimeout: 60_000,
  hookTimeout: 60_000,
  maxWorkers: 2,
});
