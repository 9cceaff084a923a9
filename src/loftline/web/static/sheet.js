// The job sheet: one column in the order of work, each step with its picture and its fields.

import { make } from "./dom.js";
import { unfold } from "./fields.js";
import { makeForms } from "./forms.js";
import { makePlaces } from "./places.js";
import { makeBag } from "./bag.js";
import { makeCutting, makeLayers, makeMachine, makePaper, makeSeams, makeSizes } from "./making.js";
import { makePieces } from "./pieces.js";
import { makeQuilting } from "./quilting.js";
import { say } from "./words.js";

export { designEdits } from "./quilting.js";

/**
 * @typedef {object} StepOf one step of the sheet
 * @property {() => (Node | string | null | undefined | false)[]} fill its fields
 * @property {() => Element} picture
 */
/**
 * @typedef {object} Kit what the steps work with
 * @property {() => any} plan
 * @property {() => any} choices
 * @property {any} act
 * @property {(name: string) => string} colour
 * @property {import("./forms.js").Desk} desk
 * @property {ReturnType<typeof makeForms>} forms
 * @property {ReturnType<typeof makePlaces>} places
 */

/**
 * @param {HTMLElement} sheet
 * @param {any} act what the sheet may ask for
 * @param {(name: string) => string} colour
 */
export function makeSheet(sheet, act, colour) {
  /** @type {any} */ let plan = null;
  /** @type {any} */ let choices = null;
  /** @type {string[]} */ let after = [];
  /** @type {import("./forms.js").Desk} */ const desk = {
    plan: () => plan,
    choices: () => choices,
    open: new Set(),
    opened: act.opened,
    change: act.change,
    after: (...finds) => { after = finds; },
  };
  const forms = makeForms(desk);
  const kit = { plan: desk.plan, choices: desk.choices, act, colour, desk, forms, places: makePlaces(desk, forms) };
  const parts = /** @type {Record<string, StepOf>} */ ({
    bag: makeBag(kit), layers: makeLayers(kit), closures: makePieces(kit), quilting: makeQuilting(kit), seams: makeSeams(kit),
    sizes: makeSizes(kit), cutting: makeCutting(kit), machine: makeMachine(kit), paper: makePaper(kit),
  });
  const steps = Object.entries(parts).map(([name, part], i) => {
    const picture = make("span", { class: "step-picture", "aria-hidden": "true" });
    const body = make("div", { class: "step-body" });
    sheet.append(make("section", { class: "step", id: `step-${name}`, "aria-labelledby": `title-${name}` },
      make("h2", { id: `title-${name}` }, make("span", { class: "step-number", "aria-hidden": "true" }, String(i + 1)), say(`step_${name}`)), picture, body));
    return { part, picture, body };
  });

  /** Fields anew from the plan, the one in use left as it is. @param {any} answer */
  function show(answer) {
    plan = answer;
    choices ??= answer.choices;
    const back = inUse();
    for (const { part, picture, body } of steps) {
      body.replaceChildren(.../** @type {(Node | string)[]} */ (part.fill().filter(Boolean)));
      picture.replaceChildren(part.picture());
    }
    // what is unfolded already has its fields
    for (let waiting = true; waiting;) {
      waiting = false;
      for (const details of /** @type {NodeListOf<HTMLDetailsElement>} */ (sheet.querySelectorAll("details[open]"))) waiting = unfold(details) || waiting;
    }
    const wanted = after.map((find) => /** @type {HTMLElement | null} */ (sheet.querySelector(find))).find((one) => one !== null);
    after = [];
    if (wanted) {
      wanted.focus();
      wanted.scrollIntoView({ block: "nearest" });
    } else back();
  }

  /** How to find what has the focus again, once it was made anew. */
  function inUse() {
    const inside = /** @type {any} */ (sheet.contains(document.activeElement) ? document.activeElement : null);
    if (!inside) return () => {};
    const found = (/** @type {string} */ attribute) => { const value = inside.getAttribute(attribute); return value && `[${attribute}="${CSS.escape(value)}"]`; };
    const key = found("data-key") ?? found("data-path"), id = inside.id, group = inside.name, words = inside.getAttribute("aria-label") ?? inside.textContent;
    const selection = inside instanceof HTMLInputElement && inside.type === "text" ? [inside.selectionStart, inside.selectionEnd] : null;
    return () => {
      if (inside.isConnected) return;
      const again = /** @type {any} */ (
        (key && sheet.querySelector(key)) || (group && sheet.querySelector(`input[name="${CSS.escape(group)}"]:checked`)) ||
        (id && !/^e\d+$/.test(id) && document.getElementById(id)) || [...sheet.querySelectorAll("button, summary")].find((b) => (b.getAttribute("aria-label") ?? b.textContent) === words));
      again?.focus({ preventScroll: true });
      if (selection && again instanceof HTMLInputElement && again.type === "text") again.setSelectionRange(selection[0], selection[1]);
    };
  }

  return {
    show,
    /** What is unfolded, by its key. */
    open: desk.open,
    /** Open an entry of the sheet and bring it into view. @param {string} list @param {number} index */
    reveal(list, index) {
      const entry = /** @type {HTMLElement | null} */ (sheet.querySelector(`[data-entry="${list} ${index}"]`));
      if (!entry) return;
      for (const other of sheet.querySelectorAll("[data-entry].chosen")) other.classList.remove("chosen");
      if (entry instanceof HTMLDetailsElement) unfold(entry);
      entry.classList.add("chosen");
      entry.scrollIntoView({ block: "nearest" });
    },
  };
}
