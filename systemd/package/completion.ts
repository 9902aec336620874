// Completion of commands and flags for three shells, from what the command line knows of itself. Pure.

import type { CommandPage, FlagPage } from "./command-pages.ts";

/** What may stand after a flag, as far as a shell can know. */
type Filling = "file" | "folder" | "word";

function fillingOf({ value }: FlagPage): Filling | null {
  if (value === null) return null;
  if (/^(folder|directory)$/i.test(value)) return "folder";
  return /^(file|csv|model|path|out)$/i.test(value) ? "file" : "word";
}

/** First words: commands and groups of commands, with the words that may follow each. */
function groups(pages: readonly CommandPage[]): ReadonlyMap<string, readonly string[]> {
  const found = new Map<string, string[]>();
  for (const { words } of pages) {
    const [first = "", second] = words;
    found.set(first, [...(found.get(first) ?? []), ...(second === undefined ? [] : [second])]);
  }
  return found;
}

const quoted = (text: string): string => `'${text.replaceAll("'", "'\\''")}'`;

/** For bash; needs nothing but bash. */
export function bashCompletion(pages: readonly CommandPage[]): string {
  const flagsAfter = (filling: Filling): string => {
    const names = pages.flatMap(({ flags }) => flags.filter((flag) => fillingOf(flag) === filling));
    return [...new Set(names.map(({ long }) => long))].sort().join("|") || "-";
  };
  const words = pages.map(
    ({ words, flags }) =>
      `    ${quoted(words.join(" "))}) offered=${quoted([...flags.map(({ long }) => long), "--help"].join(" "))} ;;`,
  );
  const second = [...groups(pages)].filter(([, next]) => next.length > 0);
  return `# Completion of emberwire for bash, made from its commands.
_emberwire() {
  local current=\${COMP_WORDS[COMP_CWORD]} before=\${COMP_WORDS[COMP_CWORD-1]} called=\${COMP_WORDS[1]} offered=
  COMPREPLY=()
  if [ "$COMP_CWORD" -eq 1 ]; then
    mapfile -t COMPREPLY < <(compgen -W ${quoted([...groups(pages).keys()].join(" "))} -- "$current")
    return
  fi
  case $before in
    ${flagsAfter("file")}) compopt -o filenames; mapfile -t COMPREPLY < <(compgen -f -- "$current"); return ;;
    ${flagsAfter("folder")}) compopt -o filenames; mapfile -t COMPREPLY < <(compgen -d -- "$current"); return ;;
    ${flagsAfter("word")}) return ;;
  esac
  case $called in
${second.map(([first, next]) => `    ${first}) if [ "$COMP_CWORD" -eq 2 ]; then offered=${quoted(next.join(" "))}; else called="$called \${COMP_WORDS[2]}"; fi ;;`).join("\n")}
  esac
  case $called in
${words.join("\n")}
  esac
  mapfile -t COMPREPLY < <(compgen -W "$offered" -- "$current")
}
complete -F _emberwire emberwire
`;
}

/** For fish. */
export function fishCompletion(pages: readonly CommandPage[]): string {
  const lines = ["# Completion of emberwire for fish, made from its commands.", "complete -c emberwire -f"];
  for (const [first, next] of groups(pages)) {
    const about = pages.find(({ words }) => words.length === 1 && words[0] === first)?.description;
    const described = about === undefined ? "" : ` -d ${quoted(about)}`;
    lines.push(`complete -c emberwire -n __fish_use_subcommand -a ${first}${described}`);
    for (const word of next)
      lines.push(
        `complete -c emberwire -n '__fish_seen_subcommand_from ${first}; and test (count (commandline -opc)) -eq 2' -a ${word}`,
      );
  }
  for (const { words, flags } of pages)
    for (const flag of flags) {
      const filling = fillingOf(flag);
      const needs = { file: " -r -F", folder: " -x -a '(__fish_complete_directories)'", word: " -x" };
      const seen = words.map((word) => `__fish_seen_subcommand_from ${word}`).join("; and ");
      lines.push(
        `complete -c emberwire -n '${seen}' -l ${flag.long.replace(/^--/, "")}${filling === null ? "" : needs[filling]} -d ${quoted(flag.description)}`,
      );
    }
  return `${lines.join("\n")}\n`;
}

/** For zsh. */
export function zshCompletion(pages: readonly CommandPage[]): string {
  const plain = (text: string): string => text.replaceAll(/[[\]:'"\\`$]/g, " ");
  const action = { file: ":file:_files", folder: ":folder:_files -/", word: ":value:" };
  const flagged = ({ flags }: CommandPage): string =>
    [
      ...flags.map((flag) => {
        const filling = fillingOf(flag);
        return `'${flag.long}[${plain(flag.description)}]${filling === null ? "" : action[filling]}'`;
      }),
      "'--help[show help]'",
      "'*:file:_files'",
    ].join(" ");
  const second = [...groups(pages)].filter(([, next]) => next.length > 0);
  const first = [...groups(pages).keys()].map((word) => {
    const about = pages.find(({ words }) => words.length === 1 && words[0] === word)?.description ?? "";
    return `'${word}:${plain(about)}'`;
  });
  return `#compdef emberwire
# Completion of emberwire for zsh, made from its commands.
local called=$words[2]
if (( CURRENT == 2 )); then
  local -a commands=(${first.join(" ")})
  _describe command commands
  return
fi
case $called in
${second.map(([word, next]) => `  ${word}) if (( CURRENT == 3 )); then compadd ${next.join(" ")}; return; else called="$called $words[3]"; fi ;;`).join("\n")}
esac
case $called in
${pages.map((page) => `  ${quoted(page.words.join(" "))}) _arguments ${flagged(page)} ;;`).join("\n")}
esac
`;
}
