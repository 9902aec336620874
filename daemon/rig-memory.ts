// What a lowered rig's power was, in a small file of the data folder, so that neither a restart nor a power cut leaves the rig low for
// ever or raises another one. A file that cannot be read in full is no memory: then nothing is put back.

import { readFileSync, rmSync } from "node:fs";
import { writeWhole } from "./recording/files.ts";
import type { Server } from "./station/rigctl/connection.ts";
import type { Held } from "./station/rigctl/reduction.ts";
import type { PowerMemory } from "./station/rigctl/rig-power.ts";

const LONGEST_CHARACTERS = 1000;

/** Bound to the server: what was found on one rig is not put into another. */
export function rigMemory(file: string, server: Server): PowerMemory {
  const place = `${server.host}:${server.port}`;
  return {
    recall: () => heldIn(readText(file), place),
    keep: (held) => {
      if (held === null) rmSync(file, { force: true });
      else writeWhole(file, "rig power", [`${JSON.stringify({ server: place, ...held })}\n`]);
    },
  };
}

function readText(file: string): string | null {
  try {
    return readFileSync(file, "utf8");
  } catch {
    return null;
  }
}

function heldIn(text: string | null, place: string): Held | null {
  if (text === null || text.length > LONGEST_CHARACTERS) return null;
  try {
    const { server, foundRatio, setRatio, confirmed } = JSON.parse(text) as Record<string, unknown>;
    if (server !== place || !isRatio(foundRatio) || !isRatio(setRatio) || setRatio > foundRatio) return null;
    return { foundRatio, setRatio, confirmed: confirmed === true };
  } catch {
    return null;
  }
}

const isRatio = (value: unknown): value is number => typeof value === "number" && value >= 0 && value <= 1;
