// Sheet → SVG text. Black on white, so that it can be printed and taken outside; it decides nothing about the circuit.

import { junctionsOf } from "./junctions.ts";
import { partLabel } from "./parts.ts";
import { type Block, type Placed, type Point, type Sheet, terminalsOfBlock } from "./sheet.ts";
import { signOf } from "./signs.ts";

/** Length of a grid step in the drawing's own unit. */
const STEP = 12;

const STYLE = [
  "text{font:13px system-ui,sans-serif;fill:#111}",
  ".t{font-size:19px;font-weight:600}",
  ".p{font-weight:600;fill:#444}",
  ".b{font-weight:600}",
  ".i{font-weight:600;fill:#fff}",
  ".s{font-size:12px;fill:#333}",
  ".n{fill:#333}",
  ".w{fill:none;stroke:#111;stroke-width:1.6;stroke-linejoin:round;stroke-linecap:round}",
  ".f{fill:#111;stroke:#111;stroke-width:1}",
  ".x{fill:#fff;stroke:#111;stroke-width:1.6}",
  ".o{fill:none;stroke:#777;stroke-width:1.4;stroke-dasharray:7 5}",
  ".c{fill:none;stroke:#111;stroke-width:3.2;stroke-linejoin:round}",
  ".d{fill:#fff;stroke:#111;stroke-width:1.8;stroke-linejoin:round}",
].join("");

const escaped = (text: string): string =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replaceAll('"', "&quot;");

const at = (steps: number): string => String(Math.round(steps * STEP * 10) / 10);

type Anchor = "start" | "middle" | "end";

function words([x, y]: Point, text: string, kind: string, anchor: Anchor = "start"): string {
  const anchored = anchor === "start" ? "" : ` text-anchor="${anchor}"`;
  return `<text class="${kind}" x="${at(x)}" y="${at(y)}"${anchored}>${escaped(text)}</text>`;
}

const polyline = (points: readonly Point[], kind: string): string =>
  `<polyline class="${kind}" points="${points.map(([x, y]) => `${at(x)},${at(y)}`).join(" ")}"/>`;

const rectangle = ([x, y]: Point, [width, height]: Point, kind: string, radius: number): string =>
  `<rect class="${kind}" x="${at(x)}" y="${at(y)}" width="${at(width)}" height="${at(height)}" rx="${radius}"/>`;

/** Path data in steps → drawing units; arc flags are no lengths and stay. */
function scaled(path: string): string {
  return path.replaceAll(/([A-Z])([^A-Z]*)/g, (_all, letter: string, rest: string) => {
    const numbers = rest
      .trim()
      .split(/[\s,]+/)
      .filter((part) => part !== "");
    const lengths = numbers.map((part, index) =>
      letter === "A" && index % 7 >= 2 && index % 7 <= 4 ? part : at(Number(part)),
    );
    return `${letter}${lengths.join(" ")}`;
  });
}

/** Where the words of a part stand, by side: from its middle, with how they are anchored. */
const LABEL_PLACES: Readonly<Record<NonNullable<Placed["label"]>, readonly [x: number, y: number, Anchor]>> = {
  above: [0, -1.3, "middle"],
  below: [0, 1.9, "middle"],
  left: [-1.3, -0.1, "end"],
  right: [1.3, -0.1, "start"],
};

function partText(part: Placed): string {
  const [x, y] = part.at;
  if (part.kind === "ground") return "";
  if (part.kind === "supply") return words([x, y - 1.1], part.id, "s", "middle");
  const lies = (part.turn ?? 0) % 180 === 0 && part.kind !== "transistor";
  const [dx, dy, anchor] = LABEL_PLACES[part.label ?? (lies ? "above" : "right")];
  const { reference, value: full } = partLabel(part.id);
  // A relay's volts stand beside its coil.
  const value = part.kind === "make" || part.kind === "break" ? "" : full;
  if (anchor === "middle")
    return words([x + dx, y + dy], value === "" ? reference : `${reference}  ${value}`, "s", anchor);
  return (
    words([x + dx, y + dy], reference, "s", anchor) +
    (value === "" ? "" : words([x + dx, y + dy + 1.1], value, "s", anchor))
  );
}

function drawPart(part: Placed): string {
  const turn = part.turn === undefined || part.turn === 0 ? "" : ` rotate(${part.turn})`;
  const strokes = signOf(part.kind).map(
    ({ path, filled }) => `<path class="${filled === true ? "f" : "w"}" d="${scaled(path)}"/>`,
  );
  const sign = `<g transform="translate(${at(part.at[0])} ${at(part.at[1])})${turn}">${strokes.join("")}</g>`;
  const letter = part.kind === "motor" ? words([part.at[0], part.at[1] + 0.4], "M", "b", "middle") : "";
  return sign + letter + partText(part);
}

/** A triangle with a flash in it: kilovolts. */
function warning([x, y]: Point): string {
  const triangle = "M0 -1.1L1.25 1.1H-1.25Z";
  const flash = "M0.12 -0.55L-0.42 0.3H0L-0.15 0.9L0.42 0.02H0.02Z";
  return `<g transform="translate(${at(x)} ${at(y)})"><path class="d" d="${scaled(triangle)}"/><path class="f" d="${scaled(flash)}"/></g>`;
}

function drawBlock(block: Block): string {
  const [x, y] = block.at;
  const [width, height] = block.size;
  const middle = x + width / 2;
  const inner: Readonly<Record<string, readonly [number, number, Anchor]>> = {
    left: [0.4, 0.35, "start"],
    right: [-0.4, 0.35, "end"],
    top: [0, 1.2, "middle"],
    bottom: [0, -0.5, "middle"],
  };
  const names = terminalsOfBlock(block).map(({ at: [tx, ty], terminal }) => {
    const [dx, dy, anchor] = inner[terminal.side] ?? [0, 0, "start"];
    return words([tx + dx, ty + dy], terminal.name, "s", anchor);
  });
  return [
    rectangle(block.at, block.size, block.filled === true ? "f" : "x", 3),
    block.danger === true ? warning([middle, y + height - 2]) : "",
    words([middle, y + Math.min(1.5, height / 2 + 0.4)], block.title, block.filled === true ? "i" : "b", "middle"),
    ...(block.lines ?? []).map((line, index) => words([middle, y + 2.7 + 1.15 * index], line, "s", "middle")),
    ...names,
  ].join("");
}

/** The whole drawing, ending in a newline. The same sheet always gives the same text. */
export function drawSheet(sheet: Sheet): string {
  const [width, height] = sheet.size;
  const box = `0 0 ${at(width)} ${at(height)}`;
  const lines = [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="${box}" width="${at(width)}" height="${at(height)}" role="img" aria-labelledby="title description">`,
    `<title id="title">${escaped(sheet.title)}</title>`,
    `<desc id="description">${escaped(sheet.description)}</desc>`,
    `<style>${STYLE}</style>`,
    `<rect width="100%" height="100%" fill="#fff"/>`,
    words([1.5, 2.4], sheet.title, "t"),
    ...(sheet.places ?? []).flatMap(({ title, at: corner, size }) => [
      rectangle(corner, size, "o", 8),
      words([corner[0] + 0.8, corner[1] + 1.5], title, "p"),
    ]),
    ...(sheet.cables ?? []).map(({ points }) => polyline(points, "c")),
    ...(sheet.wires ?? []).map((wire) => polyline(wire, "w")),
    ...junctionsOf(sheet).map(([x, y]) => `<circle class="f" cx="${at(x)}" cy="${at(y)}" r="3"/>`),
    ...(sheet.blocks ?? []).map(drawBlock),
    ...(sheet.parts ?? []).map(drawPart),
    ...(sheet.cables ?? []).flatMap(({ name, nameAt }) =>
      name === undefined || nameAt === undefined ? [] : [words(nameAt, name, "s")],
    ),
    ...(sheet.notes ?? []).map(({ at: place, text, anchor }) => words(place, text, "n", anchor)),
    "</svg>",
  ];
  return `${lines.filter((line) => line !== "").join("\n")}\n`;
}
