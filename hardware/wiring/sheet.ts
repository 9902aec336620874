// One drawing as data: which symbols stand where, which wires join them, what is written beside them.
// Positions are in grid steps from the upper left corner, x to the right, y downwards. It draws nothing; draw.ts does.

export type Point = readonly [x: number, y: number];

/** Clockwise, degrees. */
export type Turn = 0 | 90 | 180 | 270;

/** Symbols with two terminals lie along x, four steps long, about their middle. */
export type TwoPoleKind =
  | "resistor"
  | "capacitor"
  | "diode"
  | "schottky"
  | "suppressor"
  | "bead"
  | "choke"
  | "fuse"
  | "coil"
  | "make"
  | "break"
  | "cutout"
  | "motor";

/** A part of the parts list, drawn by the sign of its kind (shapes after IEC 60617, drawn for this project). */
export type Placed = {
  readonly kind: TwoPoleKind | "transistor" | "ground" | "supply";
  /** Reference in the parts list, e.g. `R1`; for a ground or a supply, the words beside it. */
  readonly id: string;
  readonly at: Point;
  readonly turn?: Turn;
  /** Side of the words; by itself above a lying symbol and to the right of a standing one. */
  readonly label?: "above" | "below" | "left" | "right";
};

/** A terminal on the edge of a block: `along` steps from the block's upper left corner. */
export type BlockTerminal = {
  readonly side: "left" | "right" | "top" | "bottom";
  readonly along: number;
  readonly name: string;
};

/** A module or device that is bought whole. */
export type Block = {
  readonly title: string;
  readonly lines?: readonly string[];
  readonly at: Point;
  readonly size: Point;
  readonly terminals?: readonly BlockTerminal[];
  /** Drawn with a warning sign: kilovolts, or mains. */
  readonly danger?: boolean;
  /** Drawn white on black. */
  readonly filled?: boolean;
};

/** A place that holds parts: an enclosure, a room, a cable. */
export type Place = { readonly title: string; readonly at: Point; readonly size: Point };

export type Note = { readonly at: Point; readonly text: string; readonly anchor?: "start" | "middle" | "end" };

/** Corner points of one wire or cable; a cable joins blocks edge to edge and carries its name. */
export type Wire = readonly Point[];

/** `"14,13 30,13 30,20"` → its corner points. @throws RangeError for anything else */
export function wire(corners: string): Wire {
  return corners.split(" ").map((corner) => {
    const [x, y, more] = corner.split(",").map(Number);
    if (x === undefined || y === undefined || more !== undefined || !Number.isFinite(x + y)) {
      throw new RangeError(`a wire's corner: expected x,y, got ${corner}`);
    }
    return [x, y] as const;
  });
}

export type Cable = { readonly points: Wire; readonly name?: string; readonly nameAt?: Point };

export type Sheet = {
  readonly name: string;
  readonly title: string;
  /** What the drawing shows, for those who cannot see it. */
  readonly description: string;
  readonly size: Point;
  readonly places?: readonly Place[];
  readonly blocks?: readonly Block[];
  readonly parts?: readonly Placed[];
  readonly wires?: readonly Wire[];
  readonly cables?: readonly Cable[];
  readonly notes?: readonly Note[];
};

/** Terminals of a part in its own frame, before it is turned. */
function ownTerminals(kind: Placed["kind"]): readonly Point[] {
  switch (kind) {
    case "ground":
    case "supply":
      return [[0, 0]];
    // Gate, drain, source.
    case "transistor":
      return [
        [-2, 0],
        [1, -2],
        [1, 2],
      ];
    default:
      return [
        [-2, 0],
        [2, 0],
      ];
  }
}

function turned([x, y]: Point, turn: Turn): Point {
  const clean = (value: number): number => (value === 0 ? 0 : value);
  switch (turn) {
    case 0:
      return [x, y];
    case 90:
      return [clean(-y), x];
    case 180:
      return [clean(-x), clean(-y)];
    case 270:
      return [y, clean(-x)];
  }
}

/** Where the terminals of a placed part lie on the sheet. */
export function terminalsOf(part: Placed): readonly Point[] {
  return ownTerminals(part.kind).map((own) => {
    const [x, y] = turned(own, part.turn ?? 0);
    return [part.at[0] + x, part.at[1] + y];
  });
}

/** Where a block's terminals lie on the sheet, with their names. */
export function terminalsOfBlock(block: Block): readonly { readonly at: Point; readonly terminal: BlockTerminal }[] {
  const [x, y] = block.at;
  const [width, height] = block.size;
  const place = ({ side, along }: BlockTerminal): Point => {
    switch (side) {
      case "left":
        return [x, y + along];
      case "right":
        return [x + width, y + along];
      case "top":
        return [x + along, y];
      case "bottom":
        return [x + along, y + height];
    }
  };
  return (block.terminals ?? []).map((terminal) => ({ at: place(terminal), terminal }));
}
