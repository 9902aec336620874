// Marking a session: the times of a `datetime-local` field at the reader's offset, what is refused before it is sent, and the
// daemon's answers in words. The field's form is that of the HTML Standard, "valid local date and time string".

import { describe, expect, it } from "vitest";
import { problemOf } from "../../daemon/outputs/http-error.ts";
import { fromField, toField } from "../../web/season/field-time.ts";
import { forgetSession, markSession } from "../../web/season/mark.ts";
import { wrongWith } from "../../web/season/sessions.tsx";

const MIDSUMMER = Date.UTC(2026, 5, 21, 22, 30) / 1000;

describe("the times of a field", () => {
  it("are the reader's own and come back as the same moment", () => {
    expect(toField(MIDSUMMER, 0)).toBe("2026-06-21T22:30");
    expect(toField(MIDSUMMER, 2 * 3600)).toBe("2026-06-22T00:30");
    for (const offset of [-14 * 3600, -5 * 3600, 0, 3600, 14 * 3600]) {
      expect(fromField(toField(MIDSUMMER, offset), offset)).toBe(MIDSUMMER);
    }
    expect(fromField("2026-06-21T22:30:00", 0)).toBe(MIDSUMMER);
  });

  it.each(["", "2026-06-21", "2026-02-30T10:00", "2026-06-21T25:00", "yesterday"])("refuse %j", (text) => {
    expect(fromField(text, 0)).toBeNull();
  });
});

describe("a session to be marked", () => {
  it("needs a name, two times and a span", () => {
    expect(wrongWith(" ", 1, 2)).toMatch(/name/);
    expect(wrongWith("contest", null, 2)).toMatch(/beginning/);
    expect(wrongWith("contest", 2, 2)).toMatch(/after its beginning/);
    expect(wrongWith("contest", 1, 2)).toBeNull();
  });

  const session = { kind: "contest", name: "autumn", from_seconds: 1, to_seconds: 2 } as const;
  const answering =
    (answer: Response | Error): typeof fetch =>
    () =>
      answer instanceof Error ? Promise.reject(answer) : Promise.resolve(answer);

  it("is confirmed, or the daemon's reason is shown, or its silence", async () => {
    const refusal = Response.json(problemOf("FORBIDDEN", "only from this machine"), { status: 403 });
    expect(await markSession(answering(new Response("{}", { status: 201 })), session, "Marked.")).toEqual({
      done: true,
      text: "Marked.",
    });
    expect(await markSession(answering(refusal), session, "Marked.")).toMatchObject({
      done: false,
      text: expect.stringContaining("only from this machine"),
    });
    expect(await forgetSession(answering(new Response(null, { status: 204 })), 3, "Forgotten.")).toMatchObject({
      done: true,
    });
    expect((await forgetSession(answering(new Error("gone")), 3, "Forgotten.")).done).toBe(false);
  });
});
