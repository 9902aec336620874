// How the daemon itself is, and what its interface is: health for supervisors, kinds of problems, the interface's own description.

import { documentLoader } from "./api/lazy-document.ts";
import { json, type Route } from "./api/route.ts";
import { fail, HTTP_ERRORS, type HttpErrorCode, PROBLEMS_PATH } from "./http-error.ts";
import { CURRENT_SECONDS } from "./state-routes.ts";

export type HealthSources = {
  readonly version: string;
  /** Seconds since the latest completed cycle; infinite before the first. */
  readonly ageSeconds: () => number;
};

/** `healthz`, `api/v1/problems`, `api/v1/openapi.json`; `all` are the routes that the document describes, these among them. */
export function healthRoutes({ version, ageSeconds }: HealthSources, all: () => readonly Route[]): readonly Route[] {
  const codes = Object.keys(HTTP_ERRORS);
  const loadDocument = documentLoader(all, version);
  return [
    {
      method: "get",
      path: "/healthz",
      operation: "readHealth",
      tag: "health",
      summary: `Whether a cycle was completed within the last ${CURRENT_SECONDS} s`,
      answers: { 200: { description: "It was", content: { "text/plain": { const: "ok\n" } } } },
      errors: ["UNAVAILABLE"],
      right: null,
      handle: (_request, response) => {
        if (ageSeconds() <= CURRENT_SECONDS) response.type("text/plain").send("ok\n");
        else fail(response, "UNAVAILABLE", `no cycle was completed within the last ${CURRENT_SECONDS} s`);
      },
    },
    {
      method: "get",
      path: "/api/v1/openapi.json",
      operation: "readInterface",
      tag: "health",
      summary: "This document",
      answers: { 200: json({ type: "object", required: ["openapi", "info", "paths"] }, "OpenAPI 3.1") },
      errors: [],
      handle: async (_request, response) => response.type("application/json").send(await loadDocument()),
    },
    {
      method: "get",
      path: `${PROBLEMS_PATH}/{code}`,
      operation: "readProblem",
      tag: "health",
      summary: "What a problem's `type` leads to",
      parameters: [
        {
          name: "code",
          in: "path",
          description: "The problem's code.",
          schema: { enum: codes },
          example: "UNAVAILABLE",
        },
      ],
      answers: {
        200: json(
          {
            type: "object",
            properties: { code: { enum: codes }, status: { type: "integer" }, title: { type: "string" } },
            required: ["code", "status", "title"],
          },
          "The kind of problem",
        ),
      },
      errors: ["NOT_FOUND"],
      right: null,
      handle: (request, response) => {
        const code = String(request.params["code"]);
        if (Object.hasOwn(HTTP_ERRORS, code)) response.json({ code, ...HTTP_ERRORS[code as HttpErrorCode] });
        else fail(response, "NOT_FOUND", `code: expected one of ${codes.join(", ")}`);
      },
    },
  ];
}
