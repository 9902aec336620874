// The manual page emberwire(1), in the macros of man(7), from what the command line knows of itself. Pure.

import type { CommandPage, FlagPage } from "./command-pages.ts";

export type ManualHeading = {
  readonly version: string;
  /** As in 2026-11-27. */
  readonly date: string;
  /** The sentence of package.json. */
  readonly description: string;
};

/** groff's special characters, and a point or quote that would be a request at a line's beginning. */
function roff(text: string): string {
  return text
    .replaceAll("\\", "\\e")
    .replaceAll("-", "\\-")
    .replaceAll(/^([.'])/gm, "\\&$1");
}

function flag({ flags, description }: FlagPage): string {
  return `.TP\n.B ${roff(flags)}\n${roff(description)}\n`;
}

function command({ words, usage, description, flags, examples }: CommandPage): string {
  const shown = examples === "" ? "" : `.PP\n.EX\n${roff(examples)}\n.EE\n`;
  return `.SS "${roff(words.join(" "))} ${roff(usage)}"\n${roff(description)}\n${flags.map(flag).join("")}${shown}`;
}

const EXIT_STATUS: Readonly<Record<string, string>> = {
  "0": "Done.",
  "1": "The answer is bad news.",
  "2": "The request was wrong.",
};

const FILES: Readonly<Record<string, string>> = {
  "/etc/emberwire/emberwire.toml": "The configuration: what is wired, limits, links outward.",
  "/var/lib/emberwire/": "The season log and the model. Kept until the package is purged.",
  "/run/emberwire/outputs":
    "Output lines that the daemon holds open; the service releases them whenever the daemon has ended.",
};

const terms = (entries: Readonly<Record<string, string>>): string =>
  Object.entries(entries)
    .map(([term, text]) => `.TP\n.B ${roff(term)}\n${roff(text)}\n`)
    .join("");

/** The page's source. */
export function manualPage(pages: readonly CommandPage[], heading: ManualHeading): string {
  return [
    `.TH EMBERWIRE 1 "${heading.date}" "Emberwire ${heading.version}" "User Commands"\n`,
    ".SH NAME\nemberwire \\- protect the transformer at the feedpoint of an end\\-fed wire\n",
    '.SH SYNOPSIS\n.B emberwire\n.I COMMAND\n.RI [ FLAG " ...]"\n',
    `.SH DESCRIPTION\n${roff(heading.description)}\n`,
    ".PP\nQuantities take a unit (100ft, 85F, 1.5kW, 3.6MHz); a bare number is SI, and degrees Celsius for a temperature.\n",
    ".SH CAUTIONS\nAn aid, not a safety device. The wire and the transformer carry kilovolts, RF burns, mains kills, and overheated ferrite can set fire.\n",
    "Mount a thermal cutout that needs no computer, and lock the transmitter out before anyone goes near box or wire.\n",
    "Local codes and licensed practice come first.\n",
    `.SH COMMANDS\n${pages.map(command).join("")}`,
    `.SH "EXIT STATUS"\n${terms(EXIT_STATUS)}`,
    `.SH FILES\n${terms(FILES)}`,
    '.SH "SEE ALSO"\n.BR systemctl (1),\n.BR journalctl (1)\n',
  ].join("");
}
