// Runs inside the guest: `emberwire check --json` on each config that is named, one after the other in one process, for an emulated
// processor takes long to start one. One line of JSON each.

import { Command } from "commander";
import { register } from "../../../daemon/commands/check.ts";

for (const file of process.argv.slice(2)) {
  let out = "";
  const program = new Command("emberwire").exitOverride().configureOutput({
    writeOut: (text) => {
      out += text;
    },
  });
  register(program);
  await program.parseAsync(["check", "--json", "--config", file], { from: "user" });
  process.stdout.write(`${JSON.stringify(JSON.parse(out))}\n`);
}
process.exitCode = 0;
