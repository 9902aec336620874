// Prints the size of everything that is served, all views and icons, gzipped, file by file; what Now alone loads is measured in a
// browser by page-load.ts. It asserts nothing.

import { resolve } from "node:path";
import { loadPages } from "../../daemon/outputs/pages.ts";
import { printFigure } from "./start-daemon.ts";

const pages = loadPages(resolve("dist/web"));
const files = [...pages].filter(([path]) => path !== "/").map(([, file]) => file);
const bytes = (file: (typeof files)[number]): number => (file.gzip ?? file.body).length;
const total = files.reduce((sum, file) => sum + bytes(file), 0);
printFigure("all files served, gzipped", `${(total / 1e3).toFixed(1)} kB`, "-");
for (const file of files) printFigure(`  ${file.path}`, `${(bytes(file) / 1e3).toFixed(1)} kB`, "-");
