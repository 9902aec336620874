// Errors of the HTTP interface: a stable code, its status, one line for people. It never decides that something is an error.

import type { Request, Response } from "express";
import { type Guard, isLoopbackAddress } from "./guard.ts";

/** Errors of the HTTP interface: code → status. Codes are stable. */
export const HTTP_ERRORS = {
  BAD_REQUEST: 400,
  FORBIDDEN: 403,
  NOT_FOUND: 404,
  METHOD: 405,
  TOO_LARGE: 413,
  TOO_MANY: 429,
  INTERNAL: 500,
  UNAVAILABLE: 503,
} as const;
export type HttpErrorCode = keyof typeof HTTP_ERRORS;

/** Answers with an error and ends the answer. */
export function fail(response: Response, code: HttpErrorCode, message: string): void {
  response.status(HTTP_ERRORS[code]).set("Cache-Control", "no-store").json({ error: { code, message } });
}

/** May this request change anything? Answers with an error when it may not. */
export function mayChange(guard: Guard, request: Request, response: Response): boolean {
  // Operators' logins come later; until then only a person at this machine may give commands.
  if (!isLoopbackAddress(request.socket.remoteAddress)) {
    fail(response, "FORBIDDEN", "commands are taken from this machine only");
    return false;
  }
  if (!guard.knowsOrigin(request.headers.origin, request.headers.host)) {
    fail(response, "FORBIDDEN", "commands are taken from this daemon's own page only");
    return false;
  }
  return true;
}
