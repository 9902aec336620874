// Prints the size of the whole page as it crosses the wire, gzipped, file by file. It asserts nothing.

import { resolve } from "node:path";
import { loadPages } from "../../daemon/outputs/pages.ts";
import { printFigure } from "./start-daemon.ts";

const pages = loadPages(resolve("dist/web"));
const files = [...pages].filter(([path]) => path !== "/").map(([, file]) => file);
const bytes = (file: (typeof files)[number]): number => (file.gzip ?? file.body).length;
const total = files.reduce((sum, file) => sum + bytes(file), 0);
printFigure("the page, all files gzipped", `${(total / 1e3).toFixed(1)} kB`, "150 kB");
for (const file of files) printFigure(`  ${file.path}`, `${(bytes(file) / 1e3).toFixed(1)} kB`, "-");
