// Runs once before the suite: the broker has to be there.

import { installHostPackages } from "../../systemd/package/host-packages.ts";

export default async function setup(): Promise<void> {
  await installHostPackages("the MQTT suite", ["mosquitto", "openssl"], (line) => {
    process.stdout.write(`${line}\n`);
  });
}
