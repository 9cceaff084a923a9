// Fields of the job sheet: each stands for one key of the project file.

import { fresh, make } from "./dom.js";
import { trim } from "./lengths.js";
import { has, say } from "./words.js";

/** @typedef {(string | number)[]} Path */
/** @typedef {"text" | "length" | "number" | "choice" | "flag" | "yesno" | "choices" | "words" | "numbers" | "lengths"} Kind */
/**
 * @typedef {object} Field
 * @property {Path} path where its value stands in the project file
 * @property {Kind} kind
 * @property {string} word of the catalogue
 * @property {string[]} [choices]
 * @property {boolean} [must] a choice that is never left unset
 * @property {boolean} [all] choices of which all are taken where none is named
 * @property {boolean} [far] what it changes has other fields: if that cannot be, it is told apart
 * @property {string[]} [offers] words that a text field offers
 * @property {string} [usual] what is taken where nothing is written, as text
 * @property {(value: any) => object[]} [edits] what changes, if it is more than the key
 * @property {(value: any) => any} [says] how a choice is shown
 */
/** @typedef {(edits: object[], says: string, field: HTMLElement | null) => void} Change */

/** @param {Path} path */
export const pathName = (path) => path.reduce((/** @type {string} */ said, step) => said + (typeof step === "number" ? `[${step}]` : (said ? "." : "") + step), "");

/** @param {any} table @param {Path} path */
export function valueAt(table, path) {
  for (const step of path) {
    if (table === null || table === undefined || typeof table !== "object") return undefined;
    table = table[step];
  }
  return table;
}

/** A choice in words: those of the catalogue, else as it stands in the file. @param {string} word @param {any} value */
export function choiceWords(word, value) {
  const name = String(value).replace(/\W+/g, "_");
  return has(`${word}_is_${name}`) ? say(`${word}_is_${name}`) : has(`is_${name}`) ? say(`is_${name}`) : String(value);
}

/** Whether a choice has words that need the whole width. @param {HTMLSelectElement} box */
export const isLong = (box) => [...box.options].some((one) => one.text.length > 15);

/** What was typed, as it stands in the file; `undefined` for nothing. @param {string} text @param {Kind} kind @returns {any} */
export function typed(text, kind) {
  const plain = text.trim();
  if (plain === "") return undefined;
  if (kind === "words" || kind === "numbers" || kind === "lengths") {
    const one = kind === "words" ? "text" : "number";
    return plain.split(/[,;]/).map((part) => typed(part, one)).filter((part) => part !== undefined);
  }
  if (kind === "text") return plain;
  const number = Number(plain.replace(",", "."));
  return Number.isFinite(number) ? number : plain;
}

/**
 * @param {Field} field
 * @param {any} plan
 * @param {Change} change
 */
export function makeField(field, plan, change) {
  const id = fresh(), fault = fresh(), hint = fresh();
  const label = say(field.word);
  const hinted = has(`${field.word}_hint`);
  const given = valueAt(plan.data, field.path);
  const usual = valueAt(plan.usual, field.path);
  const told = hinted ? `${fault} ${hint}` : fault;
  const shared = { id, "aria-describedby": told, "data-path": pathName(field.path) };
  const says = say("say_set", { name: label.toLowerCase() });
  /** @type {any} */ let box;

  function commit(/** @type {any} */ value) {
    const edit = value === undefined ? { op: "remove", path: field.path } : { op: "set", path: field.path, value };
    change(field.edits ? field.edits(value) : [edit], says, field.far ? null : box);
  }

  if (field.kind === "flag") {
    box = make("input", { ...shared, type: "checkbox", checked: Boolean(given ?? usual), onchange: () => commit(box.checked) });
    return make("div", { class: "field flag" }, box, make("label", { for: id }, label), note());
  }
  if (field.kind === "choices") return several();
  if (field.kind === "choice" || field.kind === "yesno") {
    const yesno = field.kind === "yesno";
    const choices = yesno ? ["true", "false"] : [...(field.choices ?? [])];
    box = make("select", { ...shared, onchange: () => commit(box.value === "" ? undefined : yesno ? box.value === "true" : box.value) });
    if (!field.must) box.append(make("option", { value: "" }, unset()));
    if (given !== undefined && !choices.includes(String(given))) choices.unshift(String(given));
    for (const choice of choices) box.append(make("option", { value: choice }, said(choice)));
    box.value = given === undefined ? (field.must ? String(usual ?? "") : "") : String(given);
  } else {
    const list = field.offers ? fresh() : undefined;
    box = make("input", {
      ...shared, type: "text", autocomplete: "off", spellcheck: "false", list,
      value: given === undefined ? "" : shown(given),
      placeholder: placeholder(),
      onchange: () => commit(typed(box.value, field.kind)),
    });
    const offers = field.offers && make("datalist", { id: list }, ...field.offers.map((word) => make("option", { value: word })));
    return make("div", { class: `field ${field.kind}` }, make("label", { for: id }, label), make("span", { class: "box" }, box, unit()), offers, note());
  }
  return make("div", { class: `field ${field.kind}${isLong(box) ? " wide" : ""}` }, make("label", { for: id }, label), make("span", { class: "box" }, box), note());

  /** Boxes to tick, of which several may be taken. */
  function several() {
    const choices = field.choices ?? [];
    const chosen = new Set(/** @type {string[]} */ (given ?? usual ?? (field.all ? choices : [])));
    const boxes = choices.map((choice, i) => {
      const own = i ? { id: fresh(), "aria-describedby": told } : shared;
      const tick = make("input", { ...own, "data-key": `${pathName(field.path)} ${choice}`, type: "checkbox", value: choice, checked: chosen.has(choice), onchange: () => {
        tick.checked ? chosen.add(choice) : chosen.delete(choice);
        const value = choices.filter((c) => chosen.has(c));
        box = tick;
        commit(value.length && !(field.all && value.length === choices.length) ? value : undefined);
      } });
      return make("div", { class: "field flag" }, tick, make("label", { for: own.id }, said(choice)));
    });
    return make("fieldset", { class: "plain several" }, make("legend", {}, label), ...boxes, note());
  }

  function said(/** @type {any} */ value) { return field.says ? field.says(value) : choiceWords(field.word, value); }
  function unset() {
    if (field.usual !== undefined) return say("usual", { value: field.usual });
    return usual === null || usual === undefined ? say("none") : say("usual", { value: said(usual) });
  }
  function unit() { return field.kind === "length" ? make("span", { class: "unit", "aria-hidden": "true" }, typeof given === "string" ? "" : plan.units) : null; }
  function note() {
    return make("span", { class: "notes" }, hinted && make("span", { id: hint, class: "hint" }, say(`${field.word}_hint`)), make("span", { id: fault, class: "fault" }));
  }
  function shown(/** @type {any} */ value) { return Array.isArray(value) ? value.join(", ") : typeof value === "object" ? "" : String(value); }
  function placeholder() {
    if (field.usual !== undefined) return field.usual;
    if (usual === null || usual === undefined || typeof usual === "object") return "";
    return field.kind === "length" && typeof usual === "number" ? trim(usual / plan.unit_mm, 3) : String(usual);
  }
}

/**
 * Two lengths that belong together, such as a place: a field each. The first alone waits for the second.
 * @param {{path: Path, words: [string, string], same?: boolean, edits?: (value: any) => object[]}} pair `same`: one
 * alone stands for both; `edits`: what changes, if it is more than the key
 * @param {any} plan
 * @param {Change} change
 * @returns {HTMLElement[]}
 */
export function makePair(pair, plan, change) {
  const given = valueAt(plan.data, pair.path);
  const set = pair.edits ?? ((/** @type {any} */ value) => [{ op: "set", path: pair.path, value }]);
  /** @type {HTMLElement[]} */ const fields = [0, 1].map((n) => makeField({
    path: [...pair.path, n], kind: "length", word: pair.words[n],
    edits: (value) => {
      if (value === undefined) return given === undefined ? [] : pair.edits?.(undefined) ?? [{ op: "remove", path: pair.path }];
      if (Array.isArray(given)) return [{ op: "set", path: [...pair.path, n], value }];
      const other = typed(/** @type {HTMLInputElement} */ (fields[1 - n].querySelector("input")).value, "length") ?? (pair.same ? value : undefined);
      if (other === undefined) return waits(fields[1 - n]);
      return set(n ? [other, value] : [value, other]);
    },
  }, plan, change));
  return fields;
}

/** Say that a field is needed too, and change nothing yet. @param {Element | null} field @returns {object[]} */
export function waits(field) {
  const place = field?.querySelector(".fault");
  if (place) place.textContent = say("pair_needs");
  return [];
}

/** Show faults at the fields they are about; answers what belongs to no field. @param {HTMLElement} sheet @param {{where: string, message: string}[]} faults @param {HTMLElement | null} asked */
export function showFaults(sheet, faults, asked) {
  clearFaults(sheet);
  const rest = [];
  for (const fault of faults) {
    const own = fieldAt(sheet, fault.where) ?? (faults.length === 1 ? asked : null);
    const box = own && own.isConnected ? own : null;
    const place = box && document.getElementById((box.getAttribute("aria-describedby") ?? "").split(" ")[0]);
    if (box && place) {
      for (let up = box.parentElement; up && up !== sheet; up = up.parentElement) if (up instanceof HTMLDetailsElement) up.open = true;
      box.setAttribute("aria-invalid", "true");
      place.textContent = fault.message;
      place.lang = "en";
    } else rest.push(fault);
  }
  return rest;
}

/** @param {HTMLElement} sheet */
export function clearFaults(sheet) {
  for (const box of sheet.querySelectorAll("[aria-invalid]")) box.removeAttribute("aria-invalid");
  for (const place of sheet.querySelectorAll(".fault")) {
    place.textContent = "";
    place.removeAttribute("lang");
  }
}

/** What holds fields that are made once they are looked at: how each is made. @type {WeakMap<HTMLElement, () => void>} */
const unmade = new WeakMap();

/**
 * Something that is folded away; its fields are made when it is opened.
 * @param {HTMLDetailsElement} details
 * @param {string[]} holds paths of the keys in it
 * @param {() => (Node | string | null | undefined | false)[]} inside
 */
export function foldAway(details, holds, inside) {
  details.dataset.holds = holds.join(" ");
  unmade.set(details, () => {
    unmade.delete(details);
    details.append(.../** @type {(Node | string)[]} */ (inside().filter(Boolean)));
  });
  details.addEventListener("toggle", () => details.open && unmade.get(details)?.());
  return details;
}

/** Open what is folded away; answers whether its fields were made just now. @param {HTMLDetailsElement} details */
export function unfold(details) {
  const act = unmade.get(details);
  act?.();
  details.open = true;
  return act !== undefined;
}

/** Make the fields that are folded away and hold a key. @param {HTMLElement} sheet @param {string} where */
function makeAway(sheet, where) {
  for (let found = true; found;) {
    found = false;
    for (const details of /** @type {NodeListOf<HTMLElement>} */ (sheet.querySelectorAll("details[data-holds]"))) {
      const act = unmade.get(details);
      const holds = act && /** @type {string} */ (details.dataset.holds).split(" ").some((path) => where === path || (where.startsWith(path) && /[.[]/.test(where[path.length])));
      if (!act || !holds) continue;
      act();
      found = true;
    }
  }
}

/** The field of a key, or of the nearest key above it. @param {HTMLElement} sheet @param {string} where @returns {HTMLElement | null} */
export function fieldAt(sheet, where) {
  makeAway(sheet, where);
  while (where) {
    const found = /** @type {HTMLElement | null} */ (sheet.querySelector(`[data-path="${CSS.escape(where)}"]`));
    if (found) return found;
    const below = /** @type {HTMLElement | null} */ (sheet.querySelector(`[data-path^="${CSS.escape(where)}."], [data-path^="${CSS.escape(where)}["]`));
    if (below) return below;
    where = where.replace(/(\.[^.[\]]*|\[\d+\])$/, "").replace(/^[^.[\]]*$/, "");
  }
  return null;
}
