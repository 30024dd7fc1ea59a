// The interface's words. Templates are translated by the builder; what the script says itself is looked up here.

declare global {
  // Set by the catalogue's script, which stands before this one on pages that are not in English.
  var gripleafWords: Record<string, string> | undefined;
}

/** Says an English text in the page's language, with the arguments in place of its {} marks. */
export function say(english: string, ...more: string[]): string {
  let text = globalThis.gripleafWords?.[english] ?? english;
  for (const m of more) text = text.replace("{}", () => m);
  return text;
}

/** The lines of the catalogue as the module takes them. */
export function catalogue(): string {
  return Object.entries(globalThis.gripleafWords ?? {}).map(([english, word]) => english + "\t" + word + "\n").join("");
}
