// Runs scripts inside the guest over HTTP (the serial line loses characters). One script, one answer, one deadline.

/** What a script wrote and how it ended. */
export type ShellResult = { readonly output: string; readonly status: number };

export class GuestShell {
  private readonly url: string;

  constructor(port: number) {
    this.url = `http://127.0.0.1:${port}/cgi-bin/run`;
  }

  async try(script: string, seconds = 30): Promise<ShellResult> {
    const answer = await fetch(this.url, {
      method: "POST",
      body: `${script}\n`,
      signal: AbortSignal.timeout(seconds * 1000),
    });
    const text = await answer.text();
    const match = /\nstatus (\d+)\n$/.exec(text);
    if (match === null) throw new Error(`the guest's shell gave no status for: ${script}\n${text}`);
    return { output: text.slice(0, match.index), status: Number(match[1]) };
  }

  /** Standard output and error of a script that must end with status 0. */
  async run(script: string, seconds = 30): Promise<string> {
    const result = await this.try(script, seconds);
    if (result.status !== 0) throw new Error(`in the guest: ${script}\nstatus ${result.status}\n${result.output}`);
    return result.output;
  }
}
