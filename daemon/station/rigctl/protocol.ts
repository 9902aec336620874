// The rig-control protocol of Hamlib's rigctld, its extended form: one question as text, and the lines of its answer taken apart.
// Pure. Bytes of an answer are bounded, and nothing in them is believed to be in range: see `values.ts`.

/** What is asked. The names are the protocol's long ones; see rigctld(1), section "Commands". */
export type Question = {
  readonly command: "get_freq" | "get_mode" | "get_ptt" | "get_level" | "set_level" | "chk_vfo";
  readonly arguments: readonly string[];
};

/** An answer: its lines without echo and status, and the status (0 = done, below 0 = an error of Hamlib). */
export type Answer = { readonly lines: readonly string[]; readonly status: number };

/** Something that no rigctld says. The connection has to be given up: what comes next may belong to anything. */
class ProtocolError extends Error {
  constructor(said: string) {
    super(said);
    this.name = "ProtocolError";
  }
}

/** Far above what any answer to these questions has. */
const LONGEST_ANSWER_BYTES = 2048;
const MOST_LINES = 32;
/** Lines that may still be under way from the question before: `chk_vfo` ends with a status in some versions only. */
const MOST_STRAY_LINES = 2;

/** `+` asks for the extended form: an echo of the question, named values, and `RPRT status` as the last line. */
export function questionText({ command, arguments: given }: Question): string {
  return `+\\${[command, ...given].join(" ")}\n`;
}

/** Hamlib's errors (rig.h, `enum rig_errcode_e`) that mean that this rig will never answer the question. */
export const NOT_IMPLEMENTED = -4;
export const NOT_AVAILABLE = -11;

/** Words for the statuses an operator meets; the numbers are Hamlib's. */
const STATUS_WORDS: Readonly<Record<number, string>> = {
  [-1]: "it takes the question for wrong",
  [NOT_IMPLEMENTED]: "its driver cannot do that",
  [-5]: "the rig does not answer it",
  [-6]: "its line to the rig fails",
  [-8]: "the rig answers it with something else",
  [-9]: "the rig refuses",
  [NOT_AVAILABLE]: "the rig cannot do that",
};

/** What a refusal (`RPRT` below 0) means. */
export function statusWords(status: number): string {
  const words = STATUS_WORDS[status];
  return words === undefined ? `error ${status}` : `${words} (error ${status})`;
}

/** Puts the answer to one question together from whatever pieces arrive. */
export class AnswerReader {
  readonly #question: Question;
  #text = "";
  #bytes = 0;
  #echoed = false;
  #strays = 0;
  readonly #lines: string[] = [];

  constructor(question: Question) {
    this.#question = question;
  }

  /**
   * The answer when `piece` completes it, else null.
   * @throws ProtocolError when it is too long, is not text, belongs to another question, or goes on after its end
   */
  take(piece: Uint8Array): Answer | null {
    this.#bytes += piece.length;
    if (this.#bytes > LONGEST_ANSWER_BYTES) throw new ProtocolError(`more than ${LONGEST_ANSWER_BYTES} bytes`);
    // The protocol is ASCII; one byte is one character, so a piece may end anywhere.
    this.#text += Buffer.from(piece).toString("latin1");
    for (let end = this.#text.indexOf("\n"); end >= 0; end = this.#text.indexOf("\n")) {
      const line = this.#text.slice(0, end).replace(/\r$/, "");
      this.#text = this.#text.slice(end + 1);
      const answer = this.#line(line);
      if (answer === null) continue;
      if (this.#text !== "") throw new ProtocolError(`${quoted(this.#text)} after the end of an answer`);
      return answer;
    }
    return null;
  }

  #line(line: string): Answer | null {
    if (/[^\x20-\x7e]/.test(line)) throw new ProtocolError("bytes that are no text");
    if (this.#question.command === "chk_vfo") return this.#vfoLine(line);
    if (!this.#echoed) {
      const { command, arguments: given } = this.#question;
      if (line.startsWith(`${command}:`) && given.every((word) => line.split(/[: ]+/).includes(word))) {
        this.#echoed = true;
        return null;
      }
      this.#strays += 1;
      if (!/^RPRT -?\d+$/.test(line) || this.#strays > MOST_STRAY_LINES) {
        throw new ProtocolError(`${quoted(line)} in place of the answer to ${command}`);
      }
      return null;
    }
    const status = /^RPRT (-?\d{1,4})$/.exec(line)?.[1];
    if (status !== undefined) return { lines: this.#lines, status: Number(status) };
    if (this.#lines.length >= MOST_LINES) throw new ProtocolError(`more than ${MOST_LINES} lines`);
    this.#lines.push(line);
    return null;
  }

  /** This one comes with or without echo and status, by version. */
  #vfoLine(line: string): Answer | null {
    const said = /^(?:CHKVFO|ChkVFO:?) ?([01])$/.exec(line)?.[1] ?? /^([01])$/.exec(line)?.[1];
    if (said !== undefined) return { lines: [said], status: 0 };
    const status = /^RPRT (-\d{1,4})$/.exec(line)?.[1];
    if (status !== undefined) return { lines: [], status: Number(status) };
    if (!line.startsWith("chk_vfo:")) throw new ProtocolError(`${quoted(line)} in place of the answer to chk_vfo`);
    return null;
  }
}

const quoted = (text: string): string => JSON.stringify(text.slice(0, 40));
