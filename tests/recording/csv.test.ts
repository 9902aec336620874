// CSV by RFC 4180: the standard's own examples (section 2), and what it does not allow.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { CsvError, csvLine, readCsv } from "../../daemon/recording/csv.ts";

const fieldsOf = (...chunks: string[]) => [...readCsv(chunks)].map(({ fields }) => fields);

describe("RFC 4180, section 2", () => {
  it("rule 1: records end in CRLF", () => {
    expect(fieldsOf("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n")).toEqual([
      ["aaa", "bbb", "ccc"],
      ["zzz", "yyy", "xxx"],
    ]);
  });
  it("rule 2: the last may have no end", () => {
    expect(fieldsOf("aaa,bbb,ccc\r\nzzz,yyy,xxx")).toEqual([
      ["aaa", "bbb", "ccc"],
      ["zzz", "yyy", "xxx"],
    ]);
  });
  it("rule 5: fields may be quoted", () => {
    expect(fieldsOf('"aaa","bbb","ccc"\r\nzzz,yyy,xxx')).toEqual([
      ["aaa", "bbb", "ccc"],
      ["zzz", "yyy", "xxx"],
    ]);
  });
  it("rule 6: quoted fields may hold line ends and commas", () => {
    expect(fieldsOf('"aaa","b\r\nbb","c,cc"\r\nzzz,yyy,xxx')).toEqual([
      ["aaa", "b\r\nbb", "c,cc"],
      ["zzz", "yyy", "xxx"],
    ]);
  });
  it("rule 7: a quote inside is doubled", () => {
    expect(fieldsOf('"aaa","b""bb","ccc"')).toEqual([["aaa", 'b"bb', "ccc"]]);
  });
});

describe("beyond the letter", () => {
  it("line feeds alone and a byte order mark are taken", () => {
    expect(fieldsOf("\uFEFFa,b\nc,d\n")).toEqual([
      ["a", "b"],
      ["c", "d"],
    ]);
  });

  it("says on which line a record begins, also after one of several lines", () => {
    expect([...readCsv(['a\r\n"b\r\nb"\r\nc\r\n'])].map(({ line }) => line)).toEqual([1, 2, 4]);
  });

  it.each([
    ['a,b"c\r\n', 1],
    ['x\r\na,"b"c\r\n', 2],
    ['"never closed', 1],
    ["a\rb\n", 1],
  ])("%j is an error with its line", (text, line) => {
    expect(() => fieldsOf(text)).toThrow(CsvError);
    expect(() => fieldsOf(text)).toThrow(`line ${line}:`);
  });

  it("a file without an end of line does not fill the memory", () => {
    function* endless() {
      for (;;) yield "x".repeat(10_000);
    }
    expect(() => [...readCsv(endless())]).toThrow("a longer one");
  });
});

describe("what is written", () => {
  it("is read back as it was, however it is cut into chunks", () => {
    const field = fc.string({ unit: fc.constantFrom("a", ",", '"', "\r\n", "\n", " ", "é") });
    const records = fc.array(fc.array(field, { minLength: 2, maxLength: 4 }), { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(records, fc.nat(60), (rows, cut) => {
        const text = rows.map(csvLine).join("");
        expect(fieldsOf(text.slice(0, cut), text.slice(cut))).toEqual(rows);
      }),
    );
  });
});
