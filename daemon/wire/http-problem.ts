// An error of the HTTP interface as it travels: a problem of RFC 9457 with a code that never changes. A leaf that imports nothing.

/** The media type of a problem (RFC 9457, section 3). */
export const PROBLEM_TYPE = "application/problem+json";

/** Members of RFC 9457, section 3.1, and `code`, an extension member of section 3.2. */
export type HttpProblem = {
  /** Address on the daemon under which this kind of problem is described. */
  readonly type: string;
  /** The kind of problem in a few words; the same each time. */
  readonly title: string;
  readonly status: number;
  /** What is wrong with this very request: what, what was expected, what came. */
  readonly detail: string;
  readonly code: string;
};

/** What the daemon says in `body` when that is a problem; null when it is something else. */
export function detailOf(body: unknown): string | null {
  if (typeof body !== "object" || body === null) return null;
  const { detail, title } = body as { readonly [member in keyof HttpProblem]?: unknown };
  if (typeof detail === "string") return detail;
  return typeof title === "string" ? title : null;
}
