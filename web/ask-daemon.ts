// Reads plain data from the daemon with a deadline. No answer is null; nothing is thrown and nothing is kept.

/** By whom it is asked, and for how long an answer is awaited. */
type Asking = { readonly ask?: typeof fetch; readonly deadlineMilliseconds?: number };

/** The JSON at `path`, or null when it cannot be had. */
export async function readDaemon<T>(
  path: string,
  { ask = fetch, deadlineMilliseconds = 8_000 }: Asking = {},
): Promise<T | null> {
  try {
    const answer = await ask(path, { signal: AbortSignal.timeout(deadlineMilliseconds) });
    return answer.ok ? ((await answer.json()) as T) : null;
  } catch {
    return null;
  }
}
