// Where notices arrive in tests: a real SMTP server and a real HTTP server on the loopback interface, each with all it got.

import { once } from "node:events";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { SMTPServer } from "smtp-server";

export type MailBox = { readonly port: number; readonly mails: string[]; close(): Promise<void> };
export type HookBox = {
  readonly url: string;
  readonly posts: { readonly body: string; readonly signature: string | undefined }[];
  close(): Promise<void>;
};

/** Takes every letter for a user with this password. */
export async function mailBox(user: string, password: string): Promise<MailBox> {
  const mails: string[] = [];
  const server = new SMTPServer({
    disabledCommands: ["STARTTLS"],
    onAuth: (auth, _session, done) =>
      auth.username === user && auth.password === password ? done(null, { user }) : done(new Error("wrong password")),
    onData: (stream, _session, done) => {
      const chunks: Buffer[] = [];
      stream.on("data", (chunk: Buffer) => chunks.push(chunk));
      stream.on("end", () => {
        mails.push(Buffer.concat(chunks).toString("utf8"));
        done();
      });
    },
  });
  // A client that goes away is none of the test's business.
  server.on("error", () => {});
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  const { port } = server.server.address() as AddressInfo;
  return { port, mails, close: () => new Promise((resolve) => server.close(() => resolve())) };
}

/** Answers every post with 204. */
export async function hookBox(): Promise<HookBox> {
  const posts: HookBox["posts"] = [];
  const server = createServer((request, response) => {
    const chunks: Buffer[] = [];
    request.on("data", (chunk: Buffer) => chunks.push(chunk));
    request.on("end", () => {
      const signature = request.headers["emberwire-signature"];
      const body = Buffer.concat(chunks).toString("utf8");
      posts.push({ body, signature: typeof signature === "string" ? signature : undefined });
      response.writeHead(204).end();
    });
  });
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  const { port } = server.address() as AddressInfo;
  const close = (): Promise<void> => {
    server.closeAllConnections();
    return new Promise((resolve) => server.close(() => resolve()));
  };
  return { url: `http://127.0.0.1:${port}/hook`, posts, close };
}
