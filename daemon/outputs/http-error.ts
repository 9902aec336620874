// Errors of the HTTP interface: a stable code, its status, one line for people, sent as a problem of RFC 9457.
// It never decides that something is an error.

import { STATUS_CODES } from "node:http";
import type { Duplex } from "node:stream";
import type { Response } from "express";
import { type HttpProblem, PROBLEM_TYPE } from "../wire/http-problem.ts";

type Kind = { readonly status: number; readonly title: string };

/** Errors of the HTTP interface. Codes and titles are stable; a title says nothing of the single case. */
export const HTTP_ERRORS = {
  BAD_REQUEST: { status: 400, title: "The request is not as the interface describes it" },
  UNAUTHORIZED: { status: 401, title: "A login or a token is needed" },
  FORBIDDEN: { status: 403, title: "This is not allowed from there" },
  NOT_FOUND: { status: 404, title: "There is nothing at this address" },
  METHOD: { status: 405, title: "This address does not take that method" },
  TIMEOUT: { status: 408, title: "The request took too long to arrive" },
  TOO_LARGE: { status: 413, title: "The request is too large" },
  MEDIA_TYPE: { status: 415, title: "The request's body is of a type that is not read here" },
  UPGRADE: { status: 426, title: "This address speaks another protocol" },
  TOO_MANY: { status: 429, title: "There are too many requests" },
  HEADERS_TOO_LARGE: { status: 431, title: "The request's headers are too large" },
  INTERNAL: { status: 500, title: "The daemon failed over the request" },
  UNAVAILABLE: { status: 503, title: "This cannot be had now" },
} as const satisfies Readonly<Record<string, Kind>>;
export type HttpErrorCode = keyof typeof HTTP_ERRORS;

/** Where the kinds of problems are described, one below it for each code. */
export const PROBLEMS_PATH = "/api/v1/problems";

/** The problem as it travels; `detail` says what is wrong with this very request. */
export function problemOf(code: HttpErrorCode, detail: string): HttpProblem {
  const { status, title } = HTTP_ERRORS[code];
  // A relative reference with its full path, as RFC 9457, section 3.1.1, asks for where no absolute address is to be had.
  return { type: `${PROBLEMS_PATH}/${code}`, title, status, detail, code };
}

/** Answers with an error and ends the answer. */
export function fail(response: Response, code: HttpErrorCode, detail: string): void {
  const problem = problemOf(code, detail);
  const body = Buffer.from(JSON.stringify(problem));
  response.writeHead(problem.status, {
    "Cache-Control": "no-store",
    "Content-Type": PROBLEM_TYPE,
    "Content-Length": body.length,
  });
  response.end(body);
}

/** The same on a connection that has no response object yet: an upgrade refused, a request that cannot be parsed. */
export function failRaw(socket: Duplex, code: HttpErrorCode, detail: string): void {
  const problem = problemOf(code, detail);
  const body = Buffer.from(JSON.stringify(problem));
  const head = [
    `HTTP/1.1 ${problem.status} ${STATUS_CODES[problem.status]}`,
    "Connection: close",
    "Cache-Control: no-store",
    "X-Content-Type-Options: nosniff",
    `Content-Type: ${PROBLEM_TYPE}`,
    `Content-Length: ${body.length}`,
  ];
  socket.on("error", () => socket.destroy());
  if (socket.writable) socket.end(Buffer.concat([Buffer.from(`${head.join("\r\n")}\r\n\r\n`), body]));
  else socket.destroy();
}

/** What Node's parser could not read, by the error's code (documented under the server's event `clientError`). */
const UNREADABLE: Readonly<Record<string, readonly [HttpErrorCode, string]>> = {
  HPE_HEADER_OVERFLOW: ["HEADERS_TOO_LARGE", "headers: expected 16 KiB at most, got more"],
  HPE_CHUNK_EXTENSIONS_OVERFLOW: ["TOO_LARGE", "chunk extensions: expected 16 KiB at most, got more"],
  ERR_HTTP_REQUEST_TIMEOUT: ["TIMEOUT", "the request was not complete in time"],
};

/** Answers what is no HTTP request at all. A peer that is gone gets nothing. */
export function failUnreadable(error: NodeJS.ErrnoException, socket: Duplex): void {
  if (error.code === "ECONNRESET") {
    socket.destroy();
    return;
  }
  const [code, detail] = UNREADABLE[error.code ?? ""] ?? [
    "BAD_REQUEST",
    "expected a request of HTTP/1.1, got something else",
  ];
  failRaw(socket, code, detail);
}
