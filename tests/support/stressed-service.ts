// The service thread itself, unchanged, with a hand on its throat: a channel by which a test blocks it or makes it crash.

const channel = new BroadcastChannel("emberwire-stress");

/** What a test may do to the thread. */
export type Stress = { readonly blockSeconds: number } | { readonly crash: string };

channel.onmessage = (message) => {
  const stress = (message as { readonly data: Stress }).data;
  channel.postMessage("it begins");
  if ("crash" in stress) throw new Error(stress.crash);
  // As a stalled fsync would: the whole thread stands still.
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, stress.blockSeconds * 1000);
};
(channel as unknown as { unref(): void }).unref();

await import("../../daemon/service.ts");
