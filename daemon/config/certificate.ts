// A page's certificate as the config names it: both files or none. It opens neither.

import { resolve } from "node:path";
import type { ReadConfig } from "./parse.ts";
import { RequestError } from "./problem.ts";
import type { Config } from "./schema/config.ts";

/** Null where the page is served without TLS; `table` is the config's that names them. @throws RequestError when only one of the two is named */
export function certificateOf(
  { certificate, key }: Pick<Config["listen"], "certificate" | "key">,
  placeOf: ReadConfig["placeOf"],
  table: readonly string[] = ["listen"],
): { readonly certificate: string; readonly key: string } | null {
  if (certificate === undefined && key === undefined) return null;
  if (certificate !== undefined && key !== undefined) return { certificate: resolve(certificate), key: resolve(key) };
  const [there, missing] = certificate === undefined ? ["key", "certificate"] : ["certificate", "key"];
  const name = table.join(".");
  const expected = `the file beside ${name}.${there}`;
  throw new RequestError([{ what: `${name}.${missing}`, where: placeOf(table), expected, got: "nothing" }]);
}
