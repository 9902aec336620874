// `npm run package`: builds the Debian package of this checkout. Reads flags, says what was made; build.ts does the work.

import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { architectureOf, hostArchitecture } from "./architectures.ts";
import { buildPackage } from "./build.ts";

const CHECKOUT = fileURLToPath(new URL(import.meta.url.includes("/dist/") ? "../../.." : "../..", import.meta.url));

const { values } = parseArgs({
  options: {
    architecture: { type: "string" },
    out: { type: "string", default: fileURLToPath(new URL("dist/package", `file://${CHECKOUT}`)) },
  },
});
const architecture = architectureOf(values.architecture ?? (await hostArchitecture()));
const built = await buildPackage(CHECKOUT, architecture, values.out, (line) => process.stderr.write(`${line}\n`));
process.stdout.write(
  `${built.file}: ${(built.bytes / 1e6).toFixed(1)} MB, ${(built.installedKibibytes / 1024).toFixed(0)} MiB installed\n`,
);
