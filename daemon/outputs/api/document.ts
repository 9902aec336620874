// The description of the HTTP interface as a document of OpenAPI 3.1, made from the very routes that answer. It invents nothing.

import { PROBLEM_TYPE } from "../../wire/http-problem.ts";
import { HTTP_ERRORS, type HttpErrorCode } from "../http-error.ts";
import { type Answer, BODY_ERRORS, COMMON_ERRORS, type JsonSchema, type Route, rightOf } from "./route.ts";
import { jsonSchemas } from "./schemas.ts";

const DESCRIPTION = `Everything the page shows can be had here. Numbers carry their unit in their name and are SI, temperatures
are degrees Celsius; null means that there is nothing to show. Times named \`wall\` are Unix seconds, others are seconds of the
feedpoint's own clock, which never jumps. Every error is a problem of RFC 9457 with a stable \`code\`. Fields may be added to answers:
a client ignores what it does not know. A request with a field or parameter that is not described is refused.`;

const TAGS: Readonly<Record<Route["tag"], string>> = {
  state: "what is measured, estimated and decided now",
  season: "what was",
  commands: "what an operator may do",
  "heat run": "the guided heat run, from which the model is identified",
  access: "who is logged in",
  health: "how the daemon itself is",
};

/** How one may come in; which of them a route asks for depends on the passwords that are set. */
const SECURITY_SCHEMES: JsonSchema = {
  session: { type: "apiKey", in: "cookie", name: "emberwire", description: "A login; `__Host-emberwire` over TLS." },
  token: { type: "http", scheme: "bearer", description: "A token made by `emberwire token add`, with its scopes." },
};

/** The document; `version` is the daemon's. */
export function documentOf(routes: readonly Route[], version: string): JsonSchema {
  const paths: Record<string, Record<string, unknown>> = {};
  for (const route of routes) {
    paths[route.path] = { ...paths[route.path], [route.method]: operationOf(route) };
  }
  return {
    openapi: "3.1.1",
    info: {
      title: "Emberwire",
      version,
      description: DESCRIPTION.replaceAll("\n", " "),
      license: { name: "MIT", identifier: "MIT" },
    },
    servers: [{ url: "/", description: "the daemon that serves this document" }],
    tags: Object.entries(TAGS).map(([name, description]) => ({ name, description })),
    paths,
    components: { schemas: jsonSchemas(), responses: problemResponses(), securitySchemes: SECURITY_SCHEMES },
  };
}

function operationOf(route: Route): JsonSchema {
  const { operation, tag, summary, description, parameters, body, answers, errors } = route;
  const right = rightOf(route);
  const codes = new Set([
    ...errors,
    ...COMMON_ERRORS,
    ...(body === undefined ? [] : BODY_ERRORS),
    ...(right === null ? [] : (["UNAUTHORIZED"] as const)),
  ]);
  return {
    operationId: operation,
    tags: [tag],
    summary,
    ...(right === null ? {} : { security: [{}, { session: [] }, { token: right === "operate" ? [] : [right] }] }),
    ...(description === undefined ? {} : { description }),
    ...(parameters === undefined
      ? {}
      : { parameters: parameters.map((parameter) => ({ ...parameter, required: parameter.in === "path" })) }),
    ...(body === undefined ? {} : { requestBody: requestBodyOf(body) }),
    responses: {
      ...Object.fromEntries(Object.entries(answers).map(([status, answer]) => [status, responseOf(answer)])),
      ...Object.fromEntries(
        [...codes].map((code) => [HTTP_ERRORS[code].status, { $ref: `#/components/responses/${code}` }]),
      ),
    },
  };
}

function requestBodyOf({ schema, examples }: NonNullable<Route["body"]>): JsonSchema {
  const named = Object.fromEntries(Object.entries(examples).map(([name, value]) => [name, { value }]));
  return { required: true, content: { "application/json": { schema, examples: named } } };
}

function responseOf({ description, content }: Answer): JsonSchema {
  const types = Object.entries(content).map(([type, schema]) => [
    type,
    { schema: typeof schema === "string" ? { $ref: `#/components/schemas/${schema}` } : schema },
  ]);
  return types.length === 0 ? { description } : { description, content: Object.fromEntries(types) };
}

function problemResponses(): JsonSchema {
  const schema = { $ref: "#/components/schemas/Problem" };
  return Object.fromEntries(
    (Object.keys(HTTP_ERRORS) as HttpErrorCode[]).map((code) => [
      code,
      { description: HTTP_ERRORS[code].title, content: { [PROBLEM_TYPE]: { schema } } },
    ]),
  );
}
