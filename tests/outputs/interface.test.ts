// The description of the HTTP interface against the outside: a validator of OpenAPI documents, a validator of JSON Schema 2020-12,
// and a running daemon that is sent every example, and then what the description does not allow.

import { once } from "node:events";
import { Validator } from "@seriousme/openapi-schema-validator";
import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";
import formats from "ajv-formats";
import type { Express } from "express";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { WebSocket } from "ws";
import { createSite, siteRoutes } from "../../daemon/outputs/http.ts";
import { type ScriptedFeedpoint, scratchFolder, startScripted } from "../browser/feedpoint.ts";
import { idleSources } from "../support/site.ts";

type Media = { readonly schema: object; readonly examples?: Readonly<Record<string, { readonly value: unknown }>> };
type Parameter = {
  readonly name: string;
  readonly in: string;
  readonly schema: object;
  readonly example: string | number;
};
type Operation = {
  readonly operationId: string;
  readonly parameters?: readonly Parameter[];
  readonly requestBody?: { readonly content: Readonly<Record<string, Media>> };
  readonly responses: Readonly<
    Record<string, { readonly $ref?: string; readonly content?: Readonly<Record<string, Media>> }>
  >;
};
type Description = {
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components: { readonly schemas: object };
};
/** One request that the document allows. */
type Sent = { readonly path: string; readonly method: string; readonly operation: Operation; readonly body?: unknown };

/** Where the example cannot be had on a plain demo: what is said then. */
const REFUSED: Readonly<Record<string, number>> = { openStream: 426, testNotices: 503, logIn: 401 };

const folder = await scratchFolder();
let feedpoint: ScriptedFeedpoint;
let document: Description;
let ajv: Ajv2020;

beforeAll(async () => {
  feedpoint = await startScripted(folder.path, 1);
  document = (await (await fetch(`${feedpoint.address}api/v1/openapi.json`)).json()) as Description;
  ajv = new Ajv2020({ strict: false, allErrors: true });
  formats.default(ajv);
  ajv.addSchema(tightened(document) as object, "interface");
});

afterAll(async () => {
  await feedpoint.stop();
  await folder.remove();
});

/** For readers an answer may grow; here a field that is not described is an error. */
function tightened(node: unknown): unknown {
  if (Array.isArray(node)) return node.map(tightened);
  if (typeof node !== "object" || node === null) return node;
  const copy = Object.fromEntries(Object.entries(node).map(([key, value]) => [key, tightened(value)]));
  const closes = copy["type"] === "object" && copy["properties"] !== undefined;
  return closes && !Object.hasOwn(copy, "additionalProperties") ? { ...copy, additionalProperties: false } : copy;
}

const pointer = (...keys: readonly string[]): string =>
  keys.map((key) => `/${encodeURIComponent(key.replaceAll("~", "~0").replaceAll("/", "~1"))}`).join("");
const compiled = new Map<string, ValidateFunction>();
function validatorAt(...keys: readonly string[]): ValidateFunction {
  const $ref = `interface#${pointer(...keys)}`;
  const validate = compiled.get($ref) ?? ajv.compile({ $ref });
  compiled.set($ref, validate);
  return validate;
}

function expectValid(validate: ValidateFunction, value: unknown, what: string): void {
  const valid = validate(value);
  expect(valid ? "" : `${what}: ${ajv.errorsText(validate.errors)}`).toBe("");
}

const operations = (): Sent[] =>
  Object.entries(document.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ path, method, operation })),
  );

const bodiesOf = ({ requestBody }: Operation): readonly unknown[] =>
  Object.values(requestBody?.content["application/json"]?.examples ?? {}).map(({ value }) => value);

/** The address with the examples of its parameters in it; `changed` in place of one of them. */
function addressOf(
  { path, operation }: Sent,
  changed: Readonly<Record<string, string>> = {},
  withQuery = true,
): string {
  const url = new URL(feedpoint.address);
  url.pathname = path;
  for (const { name, in: place, example } of operation.parameters ?? []) {
    const value = changed[name] ?? String(example);
    if (place === "path")
      url.pathname = url.pathname.replace(encodeURIComponent(`{${name}}`), encodeURIComponent(value));
    else if (withQuery) url.searchParams.set(name, value);
  }
  return url.href;
}

function send(
  address: string,
  { method, body }: Pick<Sent, "method" | "body">,
  type = "application/json",
): Promise<Response> {
  const text = typeof body === "string" ? body : JSON.stringify(body);
  const init = body === undefined ? {} : { body: text, headers: { "Content-Type": type } };
  return fetch(address, { method: method.toUpperCase(), ...init, signal: AbortSignal.timeout(20_000) });
}

/** The answer to an example; asked again while a busy machine leaves the daemon without a cycle of the last 3 s. */
function answered(sent: Sent, body: unknown): Promise<Response> {
  const once = async (): Promise<Response> => {
    const response = await send(addressOf(sent), { ...sent, body });
    const busy = response.status === 503 && REFUSED[sent.operation.operationId] === undefined;
    if (busy) throw new Error(await response.text());
    return response;
  };
  return vi.waitFor(once, { timeout: 15_000, interval: 100 });
}

/** Holds an answer against what the document says of its status. */
async function expectDescribed(response: Response, { path, method, operation }: Sent): Promise<unknown> {
  const what = `${operation.operationId} ${response.status}`;
  const described = operation.responses[response.status];
  expect(described, what).toBeDefined();
  const type = response.headers.get("content-type")?.split(";")[0];
  // Events do not end by themselves; what they carry has a test of its own.
  if (type === "text/event-stream") await response.body?.cancel();
  const text = type === "text/event-stream" ? "" : await response.text();
  const ref = described?.$ref?.split("/").slice(1);
  const keys = ref ?? ["paths", path, method, "responses", String(response.status)];
  const problem = ref === undefined ? described?.content : { "application/problem+json": {} };
  if (problem === undefined) {
    expect(text, what).toBe("");
    return null;
  }
  expect(Object.keys(problem), what).toContain(type);
  const value = type?.endsWith("json") === true ? JSON.parse(text) : text;
  expectValid(validatorAt(...keys, "content", String(type), "schema"), value, what);
  return value;
}

async function expectProblem(response: Response, status: number, sent: Sent): Promise<void> {
  const problem = (await expectDescribed(response, sent)) as { readonly status: number };
  expect({ [sent.operation.operationId]: response.status }).toEqual({ [sent.operation.operationId]: status });
  expect(problem.status).toBe(status);
}

describe("the document", () => {
  it("is one of OpenAPI 3.1 by an independent validator", async () => {
    const outcome = await new Validator().validate(structuredClone(document));
    expect(outcome).toMatchObject({ valid: true });
    expect(await new Validator().validate({ ...document, paths: { state: {} } })).toMatchObject({ valid: false });
  });

  it("names every operation once", () => {
    const names = operations().map(({ operation }) => operation.operationId);
    expect(new Set(names).size).toBe(names.length);
    expect(names.length).toBeGreaterThan(15);
  });

  it("describes every route that the server has, and no other", () => {
    const sources = idleSources();
    const server = createSite(sources);
    const app = server.listeners("request")[0] as Express;
    const mounted = app.router.stack.flatMap(({ route, handle }) => {
      // A router within the router would have routes that this list cannot see.
      expect(handle).not.toHaveProperty("stack");
      const methods = (route as { readonly methods?: Readonly<Record<string, boolean>> } | undefined)?.methods ?? {};
      return Object.keys(methods)
        .filter((method) => method !== "_all")
        .map((method) => `${method} ${route?.path.replaceAll(/:(\w+)/g, "{$1}")}`);
    });
    const described = operations().map(({ method, path }) => `${method} ${path}`);
    expect(mounted.toSorted()).toEqual(described.toSorted());
    expect(
      siteRoutes(sources)
        .map(({ method, path }) => `${method} ${path}`)
        .toSorted(),
    ).toEqual(described.toSorted());
  });

  it("has schemas that a JSON Schema validator takes, each with something to say", () => {
    for (const name of Object.keys(document.components.schemas)) {
      const validate = validatorAt("components", "schemas", name);
      expect({ [name]: validate(7) }).toEqual({ [name]: false });
    }
  });
});

describe("a running daemon", () => {
  it("answers every example as described, and no example is refused", async () => {
    for (const sent of operations()) {
      const { operation } = sent;
      const bodies = operation.requestBody === undefined ? [undefined] : bodiesOf(operation);
      expect(bodies.length).toBeGreaterThan(0);
      await Promise.all(
        bodies.map(async (body) => {
          const response = await answered(sent, body);
          await expectDescribed(response, sent);
          const status = REFUSED[operation.operationId] ?? (response.ok ? response.status : 200);
          expect({ [operation.operationId]: response.status }).toEqual({ [operation.operationId]: status });
        }),
      );
    }
  });

  it("answers without the parameters that may be left out", async () => {
    for (const sent of operations().filter(({ method, operation }) => method === "get" && operation.parameters)) {
      await expectDescribed(await send(addressOf(sent, {}, false), sent), sent);
    }
  });

  it("sends as events what the document says", async () => {
    const response = await fetch(`${feedpoint.address}api/v1/events`, { signal: AbortSignal.timeout(20_000) });
    const validate = validatorAt("components", "schemas", "StreamMessage");
    let text = "";
    for await (const chunk of response.body as unknown as AsyncIterable<Uint8Array>) {
      text += Buffer.from(chunk).toString();
      if (/^event: delta\n.*\n.*\n\n/m.test(text)) break;
    }
    const messages = [...text.matchAll(/^data: (.*)\n\n/gm)].map(
      ([, data]) => JSON.parse(String(data)) as { readonly type: string },
    );
    for (const message of messages) expectValid(validate, message, message.type);
    expect(messages.map(({ type }) => type).slice(0, 2)).toEqual(["snapshot", "delta"]);
  });

  it("sends on its stream what the document says", async () => {
    const socket = new WebSocket(`${feedpoint.address.replace("http", "ws")}api/v1/stream`);
    const validate = validatorAt("components", "schemas", "StreamMessage");
    const kinds = new Set<string>();
    while (kinds.size < 2) {
      const [text] = (await once(socket, "message", { signal: AbortSignal.timeout(20_000) })) as [Buffer];
      const message = JSON.parse(String(text)) as { readonly type: string };
      expectValid(validate, message, message.type);
      kinds.add(message.type);
    }
    socket.terminate();
  });

  it("refuses a parameter that is not described, and a value that is none", async () => {
    for (const sent of operations().filter(({ operation }) => operation.requestBody === undefined)) {
      const strange = `${addressOf(sent)}${addressOf(sent).includes("?") ? "&" : "?"}strange=1`;
      await expectProblem(await send(strange, sent), 400, sent);
      for (const { name, in: place } of sent.operation.parameters ?? []) {
        const response = await send(addressOf(sent, { [name]: "~" }), sent);
        await expectProblem(response, place === "path" ? 404 : 400, sent);
      }
    }
  });

  it("refuses a body that is no JSON, of another type, or too long", async () => {
    for (const sent of operations().filter(({ operation }) => operation.requestBody !== undefined)) {
      const address = addressOf(sent);
      await expectProblem(await send(address, { ...sent, body: "{" }), 400, sent);
      await expectProblem(await send(address, { ...sent, body: "{}" }, "text/plain"), 415, sent);
      await expectProblem(await send(address, { ...sent, body: { kind: "x".repeat(20_000) } }), 413, sent);
    }
  });

  it("refuses a body exactly when its schema does", async () => {
    for (const sent of operations().filter(({ operation }) => operation.requestBody !== undefined)) {
      const { path, method } = sent;
      const validate = validatorAt("paths", path, method, "requestBody", "content", "application/json", "schema");
      const spoilt = [{}, [], ...bodiesOf(sent.operation).flatMap(mutations)].filter((body) => !validate(body));
      expect(spoilt.length).toBeGreaterThan(8);
      for (const body of spoilt) await expectProblem(await send(addressOf(sent), { ...sent, body }), 400, sent);
      for (const body of bodiesOf(sent.operation)) expectValid(validate, body, sent.operation.operationId);
    }
  });
});

/** A good body with one field gone, strange, of another type, or out of any range, at every depth. */
function mutations(body: unknown): unknown[] {
  if (typeof body !== "object" || body === null) return [];
  const fields = Object.entries(body);
  return [
    { ...body, strange: 1 },
    ...fields.flatMap(([name, value]) => {
      const { [name]: _gone, ...rest } = body as Readonly<Record<string, unknown>>;
      const others = [null, -1e300, "x".repeat(600)].map((other) => ({ ...body, [name]: other }));
      return [rest, ...others, ...mutations(value).map((inner) => ({ ...body, [name]: inner }))];
    }),
  ];
}
