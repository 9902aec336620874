// What may be wrong with a reading, in words. The list is the hardware's own and comes from outside, so that one place knows it;
// the core knows few codes by name, and adds its own.

/** What a code means, and what to do about it: a whole sentence. */
export type CodeMeaning = { readonly words: string; readonly remedy: string };
export type CodeMeanings = { readonly [code: string]: CodeMeaning };

/** The core's own objection that an alarm speaks of. */
const OWN: CodeMeanings = {
  JUMP: {
    words: "its value jumps as no air does",
    remedy: "Check cable, contacts and ferrite beads; compare the chip with the configuration.",
  },
};

/** A code in words with what to do about it; one that is not in the list stands for itself. */
export function codeInWords(code: string, meanings: CodeMeanings): string {
  const meaning = meanings[code] ?? OWN[code];
  return meaning === undefined ? code : `${meaning.words}. ${meaning.remedy}`;
}
