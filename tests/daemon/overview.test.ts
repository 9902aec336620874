// What the overview lets strangers do, before any broker is there: look, under its own names, and nothing else; over TLS where the
// config says so.

import { once } from "node:events";
import { readFileSync, writeFileSync } from "node:fs";
import type { IncomingMessage } from "node:http";
import { request } from "node:https";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { WebSocket } from "ws";
import { readOverviewFile } from "../../daemon/config/parse.ts";
import { type RunningOverview, startOverview } from "../../daemon/overview.ts";
import type { OverviewMessage } from "../../daemon/wire/overview.ts";
import { CERTIFIED_NAME, makeCertificate } from "../support/certificate.ts";
import { testFolder, testFolderPath } from "../support/folder.ts";
import { ManualClock } from "../support/manual-clock.ts";

const { folder, remove } = testFolderPath();
let running: RunningOverview;
let ca: Buffer;

const start = (file: string, listening: string): Promise<RunningOverview> => {
  // Port 1 is nobody's; the page does not wait for the broker.
  writeFileSync(file, `[overview]\nbroker = "mqtt://127.0.0.1:1"\n[overview.listen]\n${listening}\n`);
  const read = readOverviewFile(file);
  const listen = { host: "127.0.0.1", port: 0 };
  return startOverview({ read, listen, clock: new ManualClock(), pages: resolve("dist/web"), say: () => {} });
};

beforeAll(async () => {
  const { certificate, key } = await makeCertificate(folder);
  ca = readFileSync(certificate);
  const tls = `certificate = "${certificate}"\nkey = "${key}"\nnames = ["${CERTIFIED_NAME}"]`;
  running = await start(join(folder, "overview.toml"), tls);
});
afterAll(async () => {
  await running?.stop();
  remove();
});

async function status(method: string, path: string, headers: Readonly<Record<string, string>> = {}): Promise<number> {
  const asked = request(`${running.address}${path}`, { method, ca, servername: CERTIFIED_NAME, headers, agent: false });
  asked.end();
  const [response] = (await once(asked, "response", { signal: AbortSignal.timeout(10_000) })) as [IncomingMessage];
  response.resume();
  return response.statusCode ?? 0;
}

describe("the overview", () => {
  it("is served over TLS with the certificate of its config, under its own names only", async () => {
    expect(running.address).toMatch(/^https:/);
    expect(await status("GET", "", { Host: CERTIFIED_NAME })).toBe(200);
    expect(await status("GET", "", { Host: "elsewhere.example" })).toBe(403);
  });

  it("has no address that changes anything", async () => {
    for (const path of ["", "api/v1/commands", "api/v1/overview", "api/v1/access/login", "healthz"]) {
      for (const method of ["POST", "PUT", "DELETE"]) {
        expect({ [`${method} ${path}`]: await status(method, path) }).toEqual({
          [`${method} ${path}`]: expect.toSatisfy((got: number) => got === 404 || got === 405),
        });
      }
    }
  });

  it("streams to its own page, not to another site's", async () => {
    const address = `${running.address.replace("https", "wss")}api/v1/overview`;
    const open = async (headers: Readonly<Record<string, string>>): Promise<unknown> => {
      // The library hands what it does not know on to Node's TLS.
      const options = { ca, servername: CERTIFIED_NAME, headers };
      const socket = new WebSocket(address, options);
      socket.on("error", () => {});
      const said = await Promise.race([
        once(socket, "message").then(([text]) => (JSON.parse(String(text)) as OverviewMessage).type),
        once(socket, "unexpected-response").then(([, response]) => (response as IncomingMessage).statusCode),
      ]);
      socket.terminate();
      return said;
    };
    expect(await open({ Origin: running.address.slice(0, -1) })).toBe("snapshot");
    expect(await open({ Origin: "https://elsewhere.example" })).toBe(403);
    expect(await open({ Host: "elsewhere.example" })).toBe(403);
  });

  it("does not start with half a certificate, or one that will not do, and says where", async () => {
    const file = join(testFolder(), "overview.toml");
    await expect(start(file, `certificate = "${folder}/certificate.pem"`)).rejects.toThrow("overview.listen.key");
    await expect(start(file, `certificate = "${file}"\nkey = "${folder}/key.pem"`)).rejects.toThrow(
      `overview.listen.certificate: expected a certificate in PEM`,
    );
  });
});
