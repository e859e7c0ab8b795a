/** Elements made without markup text, so that nothing a person typed is ever read as HTML. */

type Child = Node | string | null | false;
type Handler = (event: never) => void;
export interface Properties {
  class?: string;
  on?: Record<string, Handler>;
  [attribute: string]: string | number | boolean | null | undefined | Record<string, Handler>;
}

function dress(element: Element, properties: Properties): void {
  for (const [name, value] of Object.entries(properties)) {
    if (name === "on" || value === null || value === undefined || value === false) continue;
    element.setAttribute(name, value === true ? "" : String(value));
  }
  for (const [type, handler] of Object.entries(properties.on ?? {})) {
    element.addEventListener(type, handler as EventListener);
  }
}

/** Return a new HTML element. */
export function h<Tag extends keyof HTMLElementTagNameMap>(
  tag: Tag,
  properties: Properties = {},
  ...children: Child[]
): HTMLElementTagNameMap[Tag] {
  const element = document.createElement(tag);
  dress(element, properties);
  element.append(...children.filter((child) => child !== null && child !== false));
  return element;
}

/** Return a new SVG element. */
export function s<Tag extends keyof SVGElementTagNameMap>(
  tag: Tag,
  properties: Properties = {},
  ...children: Child[]
): SVGElementTagNameMap[Tag] {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  dress(element, properties);
  element.append(...children.filter((child) => child !== null && child !== false));
  return element;
}

/** Put `children` in place of whatever `element` holds. */
export function fill(element: Element, ...children: Child[]): void {
  element.replaceChildren(...children.filter((child) => child !== null && child !== false));
}

const fillings = new WeakMap<Element, Map<string, Element>>();

/**
 * Put a box of each thing into `element`, and leave the boxes that stand there already as they are.
 *
 * A box that is put in anew is read out again, and loses the touch that has begun on it.
 */
export function fillKept<Thing>(element: Element, things: readonly Thing[], boxOf: (thing: Thing) => Element): void {
  const before = fillings.get(element) ?? new Map<string, Element>();
  const now = new Map(things.map((thing) => [JSON.stringify(thing), thing]));
  for (const [key, box] of before) if (!now.has(key)) box.remove();
  const boxes = new Map([...now].map(([key, thing]) => [key, before.get(key) ?? boxOf(thing)]));
  [...boxes.values()].forEach((box, at) => {
    const there = element.children[at] ?? null;
    if (there !== box) element.insertBefore(box, there);
  });
  fillings.set(element, boxes);
}
