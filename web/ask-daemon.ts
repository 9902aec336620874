// Reads plain data from the daemon with a deadline. No answer is null; nothing is thrown and nothing is kept.

const DEADLINE_MILLISECONDS = 8000;

/** The JSON at `path`, or null when it cannot be had. */
export async function readDaemon<T>(path: string): Promise<T | null> {
  try {
    const answer = await fetch(path, { signal: AbortSignal.timeout(DEADLINE_MILLISECONDS) });
    return answer.ok ? ((await answer.json()) as T) : null;
  } catch {
    return null;
  }
}
