/** Sentences of the screens in the reader's language. English stands in the code and is the key of the others. */

/** English sentence to what it is in another language; the forms of a number in the order of the catalogue. */
export type Catalogue = Readonly<Record<string, string | readonly string[]>>;
type Values = Readonly<Record<string, string | number>>;

let spoken = "en";
let catalogue: Catalogue = {};
const oneOrMany = (n: number): number => (n === 1 ? 0 : 1);
let formOf = oneOrMany;
let counts = countsOf(spoken);

/** Thousands are set apart from the first on, in languages too that begin at ten thousand: columns of figures have both. */
function countsOf(code: string): Intl.NumberFormat {
  return new Intl.NumberFormat(code, { maximumFractionDigits: 0, useGrouping: true });
}

/** Speak a language from now on: set once, before any screen is loaded, for their sentences are read when they are. */
export function speak(language: string, entries: Catalogue, form: (n: number) => number = oneOrMany): void {
  spoken = language;
  catalogue = entries;
  formOf = form;
  counts = countsOf(language);
}

/** Return the ISO 639-1 code of the language spoken here. */
export function language(): string {
  return spoken;
}

/** Return the language to speak of those that are `known`: the chosen one, else the first that the browser wishes for, else English. */
export function languageFor(chosen: string | null, wished: readonly string[], known: readonly string[]): string {
  const codes = [chosen ?? "", ...wished].map((tag) => tag.toLowerCase().split("-")[0] ?? "");
  return codes.find((code) => known.includes(code)) ?? "en";
}

function filled(sentence: string, values: Values): string {
  return sentence.replace(/\{(\w+)\}/g, (braced, name: string) => (name in values ? String(values[name]) : braced));
}

/** Return a sentence in the language spoken here, its names in braces filled in. */
export function t(english: string, values: Values = {}): string {
  const found = catalogue[english];
  return filled(typeof found === "string" ? found : english, values);
}

/** Return the form of a sentence that goes with a count, which may stand in it as `{n}`, thousands set apart. */
export function tn(one: string, many: string, n: number, values: Values = {}): string {
  const found = catalogue[one];
  const form = Array.isArray(found) ? found[formOf(n)] : undefined;
  return filled(form ?? (n === 1 ? one : many), { n: counts.format(n), ...values });
}
