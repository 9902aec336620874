// Comma-separated text by RFC 4180: chunks in, records out, each with its line. Strict: what the standard does not allow is an
// error with its line, never a guess. It knows fields, not what they mean.

/** One record; `line` is where it begins, counted from 1. */
export type CsvRecord = { readonly line: number; readonly fields: readonly string[] };

/** Text that is not RFC 4180. */
export class CsvError extends Error {
  readonly line: number;
  readonly expected: string;
  readonly got: string;

  constructor(line: number, expected: string, got: string) {
    super(`line ${line}: expected ${expected}, got ${got}`);
    this.name = "CsvError";
    this.line = line;
    this.expected = expected;
    this.got = got;
  }
}

/** No honest record of ours is longer; a file without line ends must not fill the memory. */
const LONGEST_RECORD = 64 * 1024;

const BYTE_ORDER_MARK = "\uFEFF";

/** Splits text into records; lines end in CRLF or LF, and the last may have no end. @throws CsvError */
export function* readCsv(chunks: Iterable<string>): Generator<CsvRecord> {
  let rest = "";
  let line = 1;
  let first = true;
  for (const chunk of chunks) {
    let text = rest + chunk;
    if (first && text.startsWith(BYTE_ORDER_MARK)) text = text.slice(1);
    first = false;
    let from = 0;
    // Most files hold no quote at all; where the next one stands is looked up once, not for every record.
    let quote = nextQuote(text, 0);
    for (let end = text.indexOf("\n"); end >= 0; end = text.indexOf("\n", from)) {
      const quoted = quote < end;
      if (quoted) end = quotedEnd(text, quote);
      if (end < 0) break;
      const raw = text.slice(from, text.charCodeAt(end - 1) === CARRIAGE_RETURN ? end - 1 : end);
      yield { line, fields: quoted ? quotedFields(raw, line) : plainFields(raw, line) };
      line += quoted ? raw.split("\n").length : 1;
      from = end + 1;
      if (quoted) quote = nextQuote(text, from);
    }
    rest = text.slice(from);
    if (rest.length > LONGEST_RECORD) {
      throw new CsvError(line, `records of at most ${LONGEST_RECORD} characters`, "a longer one");
    }
  }
  if (rest === "") return;
  const last = rest.endsWith("\r") ? rest.slice(0, -1) : rest;
  yield { line, fields: last.includes('"') ? quotedFields(last, line) : plainFields(last, line) };
}

const CARRIAGE_RETURN = 13;

function nextQuote(text: string, from: number): number {
  const at = text.indexOf('"', from);
  return at < 0 ? Number.POSITIVE_INFINITY : at;
}

/** Index of the line feed that ends the record whose first quote stands at `quote`; −1 when it is not in the text yet. */
function quotedEnd(text: string, quote: number): number {
  let quoted = false;
  for (let at = quote; at < text.length; at += 1) {
    const character = text[at];
    if (character === '"') quoted = !quoted;
    else if (character === "\n" && !quoted) return at;
  }
  return -1;
}

function plainFields(record: string, line: number): readonly string[] {
  if (record.includes("\r")) {
    throw new CsvError(line, "a line feed after every carriage return", "a carriage return alone");
  }
  return record.split(",");
}

function quotedFields(record: string, line: number): readonly string[] {
  const fields: string[] = [];
  // A field is quoted, with quotes inside doubled, or holds no quote at all (RFC 4180, section 2, rules 5 to 7).
  const field = /(?:"((?:[^"]|"")*)"|([^",]*))(,|$)/y;
  for (let more = true; more; ) {
    const match = field.exec(record);
    if (match === null)
      throw new CsvError(line, "a quote only around a whole field", JSON.stringify(record.slice(0, 40)));
    fields.push(match[1]?.replaceAll('""', '"') ?? match[2] ?? "");
    more = match[3] === ",";
  }
  return fields;
}

/** One record as text with its CRLF; fields are quoted only where they must be. */
export function csvLine(fields: readonly string[]): string {
  return `${fields.map((field) => (/[",\r\n]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field)).join(",")}\r\n`;
}
