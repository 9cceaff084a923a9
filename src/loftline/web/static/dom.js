// Making elements. Text only ever becomes text: nothing here reads markup.

/**
 * @param {string} tag
 * @param {Record<string, any>} [attributes] `on...` are listeners, `class`, `for` and the rest as in HTML
 * @param {...(Node | string | null | undefined | false)} children
 * @returns {any}
 */
export function make(tag, attributes = {}, ...children) {
  return filled(document.createElement(tag), attributes, children);
}

const SVG = "http://www.w3.org/2000/svg";

/**
 * @param {string} tag
 * @param {Record<string, any>} [attributes]
 * @param {...(Node | string | null | undefined | false)} children
 * @returns {any}
 */
export function draw(tag, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, tag), attributes, children);
}

/**
 * @param {Element} element
 * @param {Record<string, any>} attributes
 * @param {(Node | string | null | undefined | false)[]} children
 */
function filled(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value" || name === "checked" || name === "disabled") /** @type {any} */ (element)[name] = value;
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  element.append(.../** @type {(Node | string)[]} */ (children.filter((c) => c !== null && c !== undefined && c !== false)));
  return element;
}

let count = 0;
/** A name for an element that no other has. */
export const fresh = () => `e${(count += 1)}`;
