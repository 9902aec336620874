// Hands a text to the reader as a file, made in the browser. The name says when it is simulated.

const RELEASE_MILLISECONDS = 10_000;

/** `text` is CSV with a head. */
export function download(text: string, name: string): void {
  const url = URL.createObjectURL(new Blob([text], { type: "text/csv;charset=utf-8;header=present" }));
  const anchor = document.createElement("a");
  anchor.href = url;
  anchor.download = name;
  anchor.click();
  setTimeout(() => URL.revokeObjectURL(url), RELEASE_MILLISECONDS);
}

/** `emberwire-simulated-hours.csv` and the like. */
export const fileName = (what: string, simulated: boolean): string =>
  `emberwire-${simulated ? "simulated-" : ""}${what}.csv`;
