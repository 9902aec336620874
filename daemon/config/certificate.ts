// The page's certificate as the config names it: both files or none. It opens neither.

import { resolve } from "node:path";
import type { ReadConfig } from "./parse.ts";
import { RequestError } from "./problem.ts";

/** Null where the page is served without TLS. @throws RequestError when only one of the two is named */
export function certificateOf({
  config,
  placeOf,
}: ReadConfig): { readonly certificate: string; readonly key: string } | null {
  const { certificate, key } = config.listen;
  if (certificate === undefined && key === undefined) return null;
  if (certificate !== undefined && key !== undefined) return { certificate: resolve(certificate), key: resolve(key) };
  const [there, missing] = certificate === undefined ? ["key", "certificate"] : ["certificate", "key"];
  const expected = `the file beside listen.${there}`;
  throw new RequestError([{ what: `listen.${missing}`, where: placeOf(["listen"]), expected, got: "nothing" }]);
}
