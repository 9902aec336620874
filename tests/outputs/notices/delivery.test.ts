// Letters really delivered: to a real SMTP server and a real HTTP server on loopback, refused first, then taken.

import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { SMTPServer } from "smtp-server";
import { afterEach, describe, expect, it } from "vitest";
import { Courier } from "../../../daemon/outputs/notices/courier.ts";
import { emailChannel } from "../../../daemon/outputs/notices/email.ts";
import type { Channel, Letter, Notice } from "../../../daemon/outputs/notices/notice.ts";
import { signBody, webhookChannel } from "../../../daemon/outputs/notices/webhook.ts";
import { ManualClock } from "../../support/manual-clock.ts";

const OUTBOX = { lettersPerHour: 3, firstRetrySeconds: 5, longestRetrySeconds: 600 };

const notice = (over: Partial<Notice> = {}): Notice => ({
  tag: "FAN_STALL",
  priority: "high",
  kind: "raised",
  text: "the fan has stopped",
  atSeconds: 10,
  wallSeconds: 1_750_000_000,
  wallTrusted: true,
  ...over,
});

const closers: (() => Promise<unknown> | unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0)) await close();
});

function courier(channel: Channel, clock: ManualClock): Courier {
  const made = new Courier({
    channel,
    outbox: OUTBOX,
    feedpoint: "Orchard gate",
    simulated: false,
    deadlineSeconds: 20,
    clock,
  });
  closers.push(() => made.close());
  return made;
}

type Post = { readonly body: string; readonly signature: string | undefined };

async function webServer(answers: readonly number[]): Promise<{ url: string; posts: Post[] }> {
  const posts: Post[] = [];
  const server: Server = createServer((request, response) => {
    const chunks: Buffer[] = [];
    request.on("data", (chunk: Buffer) => chunks.push(chunk));
    request.on("end", () => {
      const signature = request.headers["emberwire-signature"];
      posts.push({
        body: Buffer.concat(chunks).toString("utf8"),
        signature: typeof signature === "string" ? signature : undefined,
      });
      response.writeHead(answers[posts.length - 1] ?? 204).end();
    });
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  closers.push(() => new Promise((resolve) => server.close(resolve)));
  return { url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/hook`, posts };
}

describe("webhook", () => {
  it("signs the letter so that the far side can check it (HMAC-SHA-256, RFC 4231 test case 2)", async () => {
    expect(signBody("Jefe", "what do ya want for nothing?")).toBe(
      "sha256=5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
    );
    const { url, posts } = await webServer([204]);
    const post = courier(webhookChannel({ url, secret: "orchard" }), new ManualClock());
    post.post([notice()]);
    await post.settled();
    expect(posts).toHaveLength(1);
    expect(posts[0]?.signature).toBe(signBody("orchard", posts[0]?.body ?? ""));
    expect((JSON.parse(posts[0]?.body ?? "") as Letter).notices[0]?.tag).toBe("FAN_STALL");
    expect(post.health()).toMatchObject({ waiting: 0, failures: 0, lastError: null });
  });

  it("tries a refused letter again after a growing wait, and shows the failure meanwhile", async () => {
    const { url, posts } = await webServer([503, 503, 204]);
    const clock = new ManualClock();
    const post = courier(webhookChannel({ url, secret: "s" }), clock);
    post.post([notice()]);
    await post.settled();
    expect(post.health()).toMatchObject({ waiting: 1, failures: 1, lastError: "the webhook answered 503" });
    clock.advance(4.9);
    await post.settled();
    expect(posts).toHaveLength(1);
    clock.advance(0.2);
    await post.settled();
    expect(posts).toHaveLength(2);
    clock.advance(9.8);
    await post.settled();
    expect(posts).toHaveLength(2);
    clock.advance(0.3);
    await post.settled();
    expect(posts).toHaveLength(3);
    expect(post.health()).toMatchObject({ waiting: 0, failures: 0, lastError: null });
  });

  it("merges a busy night into few letters and says how many notices were replaced", async () => {
    const { url, posts } = await webServer([]);
    const clock = new ManualClock();
    const post = courier(webhookChannel({ url, secret: "s" }), clock);
    for (let index = 0; index < 20; index += 1) {
      post.post([notice({ text: `number ${index}`, atSeconds: index })]);
      await post.settled();
    }
    expect(posts).toHaveLength(OUTBOX.lettersPerHour);
    clock.advance(3601);
    await post.settled();
    expect(posts).toHaveLength(OUTBOX.lettersPerHour + 1);
    const last = JSON.parse(posts.at(-1)?.body ?? "") as Letter;
    expect(last.notices.map(({ text }) => text)).toEqual(["number 19"]);
    expect(last.replaced).toBe(16);
  });

  it("gives up waiting for a server that never answers", async () => {
    const server = createServer(() => {});
    await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
    closers.push(() => new Promise((resolve) => server.close(resolve)));
    const clock = new ManualClock();
    const asked = new Promise<void>((resolve) => server.once("request", () => resolve()));
    const post = courier(
      webhookChannel({ url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/`, secret: "s" }),
      clock,
    );
    post.post([notice()]);
    await asked;
    clock.advance(21);
    await post.settled();
    expect(post.health()).toMatchObject({ waiting: 1, failures: 1, lastError: "no answer within 20 s" });
    server.closeAllConnections();
  });
});

type Mail = { readonly from: string; readonly to: readonly string[]; readonly text: string };

async function mailServer(refusals: number): Promise<{ port: number; mails: Mail[] }> {
  const mails: Mail[] = [];
  let left = refusals;
  const server = new SMTPServer({
    disabledCommands: ["STARTTLS"],
    authOptional: true,
    onAuth: (auth, _session, done) =>
      auth.username === "gate" && auth.password === "apple"
        ? done(null, { user: "gate" })
        : done(new Error("wrong password")),
    onMailFrom: (_address, _session, done) => {
      if (left > 0) {
        left -= 1;
        done(Object.assign(new Error("try later"), { responseCode: 451 }));
      } else done();
    },
    onData: (stream, session, done) => {
      const chunks: Buffer[] = [];
      stream.on("data", (chunk: Buffer) => chunks.push(chunk));
      stream.on("end", () => {
        const from = session.envelope.mailFrom;
        mails.push({
          from: from === false ? "" : from.address,
          to: session.envelope.rcptTo.map(({ address }) => address),
          text: Buffer.concat(chunks).toString("utf8"),
        });
        done();
      });
    },
  });
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  closers.push(() => new Promise<void>((resolve) => server.close(() => resolve())));
  return { port: (server.server.address() as AddressInfo).port, mails };
}

const mail = (port: number, password = "apple"): Channel =>
  emailChannel({
    host: "127.0.0.1",
    port,
    secure: false,
    requireTls: false,
    user: "gate",
    password,
    from: "emberwire@example.org",
    to: ["operator@example.org", "neighbour@example.org"],
  });

describe("e-mail", () => {
  it("is delivered after a refusal, to everybody, with the worst notice in the subject", async () => {
    const { port, mails } = await mailServer(1);
    const clock = new ManualClock();
    const post = courier(mail(port), clock);
    post.post([notice(), notice({ tag: "OUTLET_HIGH", priority: "medium", text: "outlet air at 62 °C" })]);
    await post.settled();
    expect(mails).toHaveLength(0);
    expect(post.health().lastError).toContain("try later");
    clock.advance(5.1);
    await post.settled();
    expect(mails).toHaveLength(1);
    expect(mails[0]?.from).toBe("emberwire@example.org");
    expect(mails[0]?.to).toEqual(["operator@example.org", "neighbour@example.org"]);
    expect(mails[0]?.text).toMatch(/^Subject: Orchard gate: the fan has stopped \(and 1 more\)\r$/m);
    expect(mails[0]?.text).toContain("2025-06-15T15:06:40Z");
  });

  it("keeps the letter when the password is wrong and shows the server's words", async () => {
    const { port, mails } = await mailServer(0);
    const post = courier(mail(port, "pear"), new ManualClock());
    post.post([notice()]);
    await post.settled();
    expect(mails).toHaveLength(0);
    expect(post.health()).toMatchObject({ waiting: 1, failures: 1 });
    expect(post.health().lastError).toContain("wrong password");
  });
});
