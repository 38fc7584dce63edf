// Small helpers for making elements.

/** @typedef {Record<string, string | boolean | number | ((event: any) => void)>} Attributes */

/**
 * Makes an element. Attributes that are functions are listeners ("onclick"), true and false are set or left out.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Attributes} [attributes]
 * @param {...(Node | string)} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") made.addEventListener(name.slice(2), value);
    else if (typeof value === "boolean") made.toggleAttribute(name, value);
    else made.setAttribute(name, String(value));
  }
  made.append(...children);
  return made;
}

/**
 * A button that does one thing.
 * @param {string} text
 * @param {() => void} act
 * @param {Attributes} [attributes]
 */
export function button(text, act, attributes = {}) {
  return element("button", { type: "button", onclick: act, ...attributes }, text);
}

/**
 * Makes an element of a drawing.
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} tag
 * @param {Record<string, string | number>} [attributes]
 * @param {...Node} children
 * @returns {SVGElementTagNameMap[K]}
 */
export function svg(tag, attributes = {}, ...children) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, String(value));
  made.append(...children);
  return made;
}

/**
 * The element with this id; the page's skeleton has it.
 * @param {string} id
 */
export function byId(id) {
  const found = document.getElementById(id);
  if (!found) throw new Error(`index.html has no #${id}`);
  return found;
}

/**
 * Places an element by fractions, through the style sheet's variables.
 * @param {HTMLElement | SVGElement} target
 * @param {Record<string, number>} fractions
 */
export function place(target, fractions) {
  for (const [name, value] of Object.entries(fractions)) target.style.setProperty(`--${name}`, String(value));
}

/**
 * Writes a text where it is another one: the same text written again would be laid out again.
 * @param {Element} target
 * @param {string} text
 */
export function write(target, text) {
  if (target.textContent !== text) target.textContent = text;
}

/**
 * Sets an attribute where it has another value: the same value set again costs nearly as much as a new one.
 * @param {Element} target
 * @param {string} name
 * @param {string | boolean | number} value
 */
export function mark(target, name, value) {
  const text = String(value);
  if (target.getAttribute(name) !== text) target.setAttribute(name, text);
}

/** What each child of a kept list was made from, as text. @type {WeakMap<Node, string>} */
const madeFrom = new WeakMap();

/**
 * Makes the children of `parent` anew from `items`, and leaves alone those whose item is the same as before.
 * @template T
 * @param {Element} parent
 * @param {T[]} items
 * @param {(item: T, index: number) => Element} make
 */
export function sync(parent, items, make) {
  for (const [index, item] of items.entries()) {
    const text = JSON.stringify(item);
    const old = parent.children[index];
    if (old && madeFrom.get(old) === text) continue;
    const made = make(item, index);
    madeFrom.set(made, text);
    if (old) old.replaceWith(made);
    else parent.append(made);
  }
  while (parent.children.length > items.length) parent.lastElementChild?.remove();
}

/**
 * Says something to a screen reader, politely.
 * @param {string} text
 */
export function say(text) {
  byId("said").textContent = text;
}
