// Builds the page into dist/web, from where the daemon serves it. No inline script, style or data: URL leaves here,
// because the daemon's content security policy lets none run.

import { rmSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { defineConfig } from "vite";

const folder = (path: string): string => fileURLToPath(new URL(path, import.meta.url));

export default defineConfig({
  root: folder("."),
  base: "/",
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  plugins: [
    {
      // The compiler puts the page's type declarations into the same folder; only what was bundled before is stale.
      name: "drop-stale-assets",
      buildStart: () => rmSync(folder("../dist/web/assets"), { recursive: true, force: true }),
    },
  ],
  build: {
    outDir: folder("../dist/web"),
    emptyOutDir: false,
    target: "es2022",
    rollupOptions: { input: [folder("index.html"), folder("overview.html")] },
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
});
