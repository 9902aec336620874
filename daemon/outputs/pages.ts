// The page's files, read once and kept in memory: the thread pool that file reads would use is the one the hardware
// reads wait in, so a stalling SD card must not be able to fill it from here. It knows files, not requests.

import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { extname, join, relative, sep } from "node:path";
import { gzipSync } from "node:zlib";

export type PageFile = {
  readonly path: string;
  readonly type: string;
  readonly body: Buffer;
  /** Smaller form; null where compressing gains nothing. */
  readonly gzip: Buffer | null;
  readonly etag: string;
  /** Its name carries a hash of its content, so it never changes. */
  readonly immutable: boolean;
};

const TYPES: Readonly<Record<string, string>> = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".ico": "image/x-icon",
  ".json": "application/json; charset=utf-8",
  ".webmanifest": "application/manifest+json; charset=utf-8",
  ".woff2": "font/woff2",
  ".txt": "text/plain; charset=utf-8",
};
const ALREADY_SMALL: ReadonlySet<string> = new Set([".png", ".woff2", ".ico"]);
/** The page is some 150 kB; a folder beyond this is not the page. */
const MOST_BYTES = 8 * 1024 * 1024;

/** Each entry is a page of its own, served by a server of its own. */
export type Entry = "index.html" | "overview.html";

/**
 * All files below `folder` by URL path; `/` is the entry, and no other page is served beside it.
 * @throws Error when the folder cannot be read or holds more than a page
 */
export function loadPages(folder: string, asked: Entry = "index.html"): ReadonlyMap<string, PageFile> {
  const pages = new Map<string, PageFile>();
  let total = 0;
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    const extension = extname(entry.name);
    const type = TYPES[extension];
    if (!entry.isFile() || type === undefined || (extension === ".html" && entry.name !== asked)) continue;
    const name = join(entry.parentPath, entry.name);
    const body = readFileSync(name);
    total += body.length;
    if (total > MOST_BYTES) throw new Error(`${folder} holds more than ${MOST_BYTES} bytes: it is not the page`);
    const path = `/${relative(folder, name).split(sep).join("/")}`;
    const file = pageFile(path, type, body, !ALREADY_SMALL.has(extension));
    pages.set(path, file);
    if (path === `/${asked}`) pages.set("/", file);
  }
  return pages;
}

/** Compressed when first asked for: a start must not wait for what nobody may ever load. */
function pageFile(path: string, type: string, body: Buffer, compress: boolean): PageFile {
  let small: Buffer | null | undefined = compress ? undefined : null;
  return {
    path,
    type,
    body,
    get gzip() {
      if (small === undefined) {
        const compressed = gzipSync(body, { level: 6 });
        small = compressed.length < body.length ? compressed : null;
      }
      return small;
    },
    etag: `"${createHash("sha256").update(body).digest("base64url").slice(0, 22)}"`,
    immutable: path.startsWith("/assets/"),
  };
}

/** The same; nothing where the page was not built. */
export function pagesOrNone(folder: string): ReadonlyMap<string, PageFile> {
  try {
    return loadPages(folder);
  } catch {
    return new Map();
  }
}
