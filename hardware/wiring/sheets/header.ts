// The 40-pin header as one looks at the board from above, corner pin first: which pins these drawings use.

import { type PinRow, pinRows } from "../pins.ts";
import type { Block, Note, Sheet } from "../sheet.ts";

const ROW = 1.8;
const TOP = 6;

function row({ pin, use }: PinRow): { readonly block: Block; readonly note: Note } {
  const isLeft = pin.pin % 2 === 1;
  const y = TOP + Math.floor((pin.pin - 1) / 2) * ROW;
  const text = use === null ? pin.name : isLeft ? `${use} · ${pin.name}` : `${pin.name} · ${use}`;
  return {
    block: { title: String(pin.pin), at: [isLeft ? 32 : 35, y], size: [2.6, ROW], filled: use !== null },
    note: { at: [isLeft ? 31 : 38.6, y + 1.3], text, anchor: isLeft ? "end" : "start" },
  };
}

export function headerSheet(): Sheet {
  const rows = pinRows().map(row);
  return {
    name: "header",
    title: "Pins of the 40-pin header",
    description:
      "The two rows of the header with pin numbers; the pins that these drawings connect are dark and named.",
    size: [70, 46],
    blocks: rows.map(({ block }) => block),
    notes: [
      ...rows.map(({ note }) => note),
      {
        at: [35, 43.6],
        text: "Pin 1 is at the end with the square pad, away from the USB sockets. Count twice, with the power off.",
        anchor: "middle",
      },
    ],
  };
}
