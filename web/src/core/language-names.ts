/** Languages, each by its own name. */

/** Return how a language calls itself: English, Español. */
export function languageName(code: string): string {
  const name = new Intl.DisplayNames([code], { type: "language" }).of(code) ?? code;
  return name.charAt(0).toLocaleUpperCase(code) + name.slice(1);
}
