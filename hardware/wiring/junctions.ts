// What touches what on a sheet: where wires join, and what was left hanging. A drawing with a loose end is wrong, however good it looks.

import { type Point, type Sheet, terminalsOf, terminalsOfBlock, type Wire } from "./sheet.ts";

const same = ([x, y]: Point, [u, v]: Point): boolean => x === u && y === v;

const said = ([x, y]: Point): string => `${x},${y}`;

/** Each straight piece of a wire. */
function pieces(wire: Wire): readonly (readonly [Point, Point])[] {
  return wire.slice(1).flatMap((to, index) => {
    const from = wire[index];
    return from === undefined ? [] : [[from, to] as const];
  });
}

/** Whether a point lies on a straight, upright or level piece, ends included. */
function liesOn([x, y]: Point, [[ax, ay], [bx, by]]: readonly [Point, Point]): boolean {
  const between = (value: number, a: number, b: number): boolean => value >= Math.min(a, b) && value <= Math.max(a, b);
  return (ax === bx && x === ax && between(y, ay, by)) || (ay === by && y === ay && between(x, ax, bx));
}

function allTerminals(sheet: Sheet): readonly { readonly at: Point; readonly of: string }[] {
  return [
    ...(sheet.parts ?? []).flatMap((part) => terminalsOf(part).map((at) => ({ at, of: part.id }))),
    ...(sheet.blocks ?? []).flatMap((block) =>
      terminalsOfBlock(block).map(({ at, terminal }) => ({ at, of: `${block.title}, ${terminal.name}` })),
    ),
  ];
}

/** Points at which three or more pieces or terminals meet: they get a dot. */
export function junctionsOf(sheet: Sheet): readonly Point[] {
  const wires = sheet.wires ?? [];
  const ends = wires.flatMap((wire) => [wire[0], wire.at(-1)]).filter((end): end is Point => end !== undefined);
  const terminals = allTerminals(sheet).map(({ at }) => at);
  const candidates = [...ends, ...terminals];
  const branches = (point: Point): number => {
    const passing = wires.flatMap(pieces).filter((piece) => liesOn(point, piece));
    const arms = passing.reduce((sum, [from, to]) => sum + (same(point, from) || same(point, to) ? 1 : 2), 0);
    return arms + terminals.filter((terminal) => same(terminal, point)).length;
  };
  const meeting = candidates.filter((point) => branches(point) >= 3);
  return [...new Map(meeting.map((point) => [said(point), point])).values()];
}

/** Everything that is not joined as a drawing must be; an empty list is a sound one. */
export function looseEnds(sheet: Sheet): readonly string[] {
  const wires = sheet.wires ?? [];
  const terminals = allTerminals(sheet);
  const slanted = wires.flatMap((wire) =>
    pieces(wire)
      .filter(([[ax, ay], [bx, by]]) => ax !== bx && ay !== by)
      .map(([from, to]) => `${sheet.name}: a wire runs aslant from ${said(from)} to ${said(to)}`),
  );
  const free = wires.flatMap((wire, own) =>
    [wire[0], wire.at(-1)]
      .filter((end): end is Point => end !== undefined)
      .filter((end) => !terminals.some(({ at }) => same(at, end)))
      .filter(
        (end) => !wires.some((other, index) => index !== own && pieces(other).some((piece) => liesOn(end, piece))),
      )
      .map((end) => `${sheet.name}: a wire ends at ${said(end)} and touches nothing`),
  );
  const unwired = terminals
    .filter(({ at }) => !wires.flatMap(pieces).some((piece) => liesOn(at, piece)))
    .filter(({ at }) => terminals.filter((other) => same(other.at, at)).length < 2)
    .map(({ at, of }) => `${sheet.name}: ${of} has nothing at ${said(at)}`);
  return [...slanted, ...free, ...unwired];
}

/** The nets of a sheet: each is the list of terminals that its wires join, as `R1.1` or `block, terminal`. */
export function netsOf(sheet: Sheet): readonly (readonly string[])[] {
  const wires = sheet.wires ?? [];
  const named = [
    ...(sheet.parts ?? []).flatMap((part) =>
      terminalsOf(part).map((at, index) => ({
        at,
        name: part.kind === "ground" || part.kind === "supply" ? part.id : `${part.id}.${index + 1}`,
      })),
    ),
    ...allTerminals({ ...sheet, parts: [] }).map(({ at, of }) => ({ at, name: of })),
  ];
  const groups: { wires: Set<number>; names: Set<string>; points: Point[] }[] = [];
  const touches = (a: Wire, b: Wire): boolean =>
    [a[0], a.at(-1)].some((end) => end !== undefined && pieces(b).some((piece) => liesOn(end, piece))) ||
    [b[0], b.at(-1)].some((end) => end !== undefined && pieces(a).some((piece) => liesOn(end, piece)));
  for (const [index, wire] of wires.entries()) {
    const joined = groups.filter((group) => [...group.wires].some((other) => touches(wire, wires[other] ?? [])));
    const merged = { wires: new Set([index]), names: new Set<string>(), points: [] as Point[] };
    for (const group of joined) {
      for (const other of group.wires) merged.wires.add(other);
      groups.splice(groups.indexOf(group), 1);
    }
    groups.push(merged);
  }
  for (const { at, name } of named) {
    const group = groups.find((candidate) =>
      [...candidate.wires].some((index) => pieces(wires[index] ?? []).some((piece) => liesOn(at, piece))),
    );
    const home = group ?? groups.find((candidate) => candidate.points.some((point) => same(point, at)));
    if (home === undefined) groups.push({ wires: new Set(), names: new Set([name]), points: [at] });
    else home.names.add(name);
  }
  // Grounds and supplies of one name are one net wherever they stand.
  const nets: Set<string>[] = [];
  for (const { names } of groups) {
    const rails = [...names].filter((name) => !/\.\d$/.test(name) && (sheet.parts ?? []).some(({ id }) => id === name));
    const known = nets.find((net) => rails.some((rail) => net.has(rail)));
    if (known === undefined) nets.push(names);
    else for (const name of names) known.add(name);
  }
  return nets.map((net) => [...net].sort());
}
