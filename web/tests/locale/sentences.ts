/** Sentences in the sources of the pages: those that are asked of the catalogue, and those that are not. */

import { parseSync } from "vite";

type Tree = { type: string; start: number } & Record<string, unknown>;
interface Asked {
  one: string;
  many: string | null;
}

/** What may stand in the source although it reads like a sentence: it is no wording of a screen. */
const NO_SENTENCES = new Set([
  "take over", // a page's word to its worker
  "common practice", // stored in a brief as the source that nobody published, whatever is spoken: the same in every language
  "button, a, summary, label, input, select, textarea",
  "(display-mode: standalone)",
  "(prefers-color-scheme: dark)",
]);
/** Properties of an element, and of what makes elements, that somebody reads or hears. */
const READ = new Set(["aria-label", "title", "placeholder", "alt", "label", "less", "more", "textContent", "ariaLabel", "innerText"]);
/** Functions of which somebody reads all arguments from one on. */
const SHOWS: Record<string, number> = { h: 2, s: 2, fill: 1, append: 0, replaceChildren: 0 };
/** Functions of which somebody reads the first argument. */
const SAYS = new Set(["say", "complain", "announce", "emptyState", "textField", "dayField", "radioGroup", "stepper"]);

function isTree(value: unknown): value is Tree {
  return typeof value === "object" && value !== null && "type" in value;
}

function children(tree: Tree): Tree[] {
  return Object.values(tree).flatMap((value) => (Array.isArray(value) ? value.filter(isTree) : isTree(value) ? [value] : []));
}

function calledName(tree: Tree): string {
  const callee = tree["callee"] as Tree | undefined;
  const found = callee?.type === "MemberExpression" ? (callee["property"] as Tree) : callee;
  return tree.type === "CallExpression" || tree.type === "NewExpression" ? String(found?.["name"] ?? "") : "";
}

/** Return the text of a literal or of the fixed parts of a template, null for anything else. */
function textOf(tree: Tree): string | null {
  if (tree.type === "Literal" && typeof tree["value"] === "string") return tree["value"];
  if (tree.type === "TemplateElement") return (tree["value"] as { cooked: string }).cooked;
  return null;
}

function parsed(code: string): Tree {
  const { program, errors } = parseSync("source.ts", code, { lang: "ts" });
  if (errors.length > 0) throw new Error(errors[0]?.message);
  return program as unknown as Tree;
}

/** Return what a source asks the catalogue for; whatever is not a literal cannot be found by any tool, and is an error. */
export function askedIn(code: string): Asked[] {
  const found: Asked[] = [];
  const literal = (tree: Tree | undefined): string => {
    if (tree?.type !== "Literal") throw new Error(`Not a literal: ${code.slice(tree?.start, (tree?.start ?? 0) + 60)}`);
    return String(tree["value"]);
  };
  const walk = (tree: Tree): void => {
    const name = (tree["callee"] as Tree | undefined)?.["name"];
    const given = tree["arguments"] as Tree[];
    if (tree.type === "CallExpression" && name === "t") found.push({ one: literal(given[0]), many: null });
    if (tree.type === "CallExpression" && name === "tn") found.push({ one: literal(given[0]), many: literal(given[1]) });
    children(tree).forEach(walk);
  };
  walk(parsed(code));
  return found;
}

/**
 * Return texts that somebody would read in English whatever is spoken: sentences anywhere, words where they are shown.
 *
 * `classes` are the names that the style sheets know: two of them beside each other are no sentence.
 */
export function escapedIn(code: string, classes: ReadonlySet<string> = new Set()): string[] {
  const found = new Set<string>();
  const walk = (tree: Tree, isShown: boolean): void => {
    const name = calledName(tree);
    if (name === "t" || name === "tn" || name === "Error" || name.endsWith("Error") || name === "NoAnswer") return;
    if (["ImportDeclaration", "ExportNamedDeclaration"].includes(tree.type) && tree["source"] !== null) return;
    if (tree.type.startsWith("TS") && tree.type !== "TSAsExpression" && tree.type !== "TSNonNullExpression" && tree.type !== "TSSatisfiesExpression") return;
    const text = textOf(tree)?.trim() ?? "";
    const isClasses = !isShown && text.split(" ").every((word) => classes.has(word));
    const isSentence = /[\p{L}’',;:]{2,} \p{L}{2,}/u.test(text) || /^\p{Lu}\p{L}+[.!?…]$/u.test(text);
    if (!isClasses && (isSentence || (isShown && /\p{L}{2,}/u.test(text))) && !NO_SENTENCES.has(text)) found.add(text);
    const shown = (child: Tree): boolean => {
      const given = (tree["arguments"] as Tree[] | undefined)?.indexOf(child) ?? -1;
      if (tree.type === "CallExpression") return given === 0 && SAYS.has(name) || given >= (SHOWS[name] ?? Infinity);
      if (tree.type === "Property") return child === tree["value"] && READ.has(nameOf(tree["key"]));
      if (tree.type === "AssignmentExpression") return child === tree["right"] && READ.has(nameOf((tree["left"] as Tree)["property"]));
      if (tree.type === "ConditionalExpression") return isShown && child !== tree["test"];
      return isShown && ["TemplateLiteral", "LogicalExpression", "SpreadElement", "ArrayExpression"].includes(tree.type);
    };
    const isStyle = tree.type === "Property" && ["class", "d", "points", "transform", "viewBox", "autocomplete", "rel"].includes(nameOf(tree["key"]));
    if (!isStyle) for (const child of children(tree)) walk(child, shown(child));
  };
  walk(parsed(code), false);
  return [...found];
}

function nameOf(key: unknown): string {
  const { name, value } = (key ?? {}) as { name?: unknown; value?: unknown };
  return String(name ?? value ?? "");
}
