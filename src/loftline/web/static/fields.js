// Fields of the job sheet: each stands for one key of the project file.

import { fresh, make } from "./dom.js";
import { trim } from "./lengths.js";
import { has, say } from "./words.js";

/** @typedef {(string | number)[]} Path */
/**
 * @typedef {object} Field
 * @property {Path} path where its value stands in the project file
 * @property {"text" | "length" | "number" | "choice" | "flag"} kind
 * @property {string} word of the catalogue
 * @property {string[]} [choices]
 * @property {boolean} [must] a choice that is never left unset
 * @property {string[]} [offers] words that a text field offers
 * @property {(value: any) => any} [says] how a choice is shown
 */

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

/**
 * @param {Field} field
 * @param {any} plan
 * @param {(edits: object[], says: string, field: HTMLElement) => void} change
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
    change([edit], says, box);
  }

  if (field.kind === "flag") {
    box = make("input", { ...shared, type: "checkbox", checked: Boolean(given ?? usual), onchange: () => commit(box.checked) });
    return make("div", { class: "field flag" }, box, make("label", { for: id }, label), note());
  }
  if (field.kind === "choice") {
    const choices = field.choices ?? [];
    box = make("select", { ...shared, onchange: () => commit(box.value === "" ? undefined : box.value) });
    if (!field.must) box.append(make("option", { value: "" }, usual === null || usual === undefined ? say("none") : say("usual", { value: said(usual) })));
    for (const choice of choices) box.append(make("option", { value: choice }, said(choice)));
    box.value = given === undefined ? (field.must ? String(usual ?? "") : "") : String(given);
  } else {
    const list = field.offers ? fresh() : undefined;
    box = make("input", {
      ...shared, type: "text", autocomplete: "off", spellcheck: "false", list,
      inputmode: field.kind === "text" ? undefined : "text",
      value: given === undefined ? "" : shown(given),
      placeholder: placeholder(),
      onchange: () => commit(typed(box.value)),
    });
    if (field.offers) box.append();
    const offers = field.offers && make("datalist", { id: list }, ...field.offers.map((word) => make("option", { value: word })));
    return make("div", { class: `field ${field.kind}` }, make("label", { for: id }, label), make("span", { class: "box" }, box, unit()), offers, note());
  }
  return make("div", { class: `field ${field.kind}` }, make("label", { for: id }, label), make("span", { class: "box" }, box), note());

  function said(/** @type {any} */ value) { return field.says ? field.says(value) : String(value); }
  function unit() { return field.kind === "length" ? make("span", { class: "unit", "aria-hidden": "true" }, typeof given === "string" ? "" : plan.units) : null; }
  function note() {
    return make("span", { class: "notes" }, hinted && make("span", { id: hint, class: "hint" }, say(`${field.word}_hint`)), make("span", { id: fault, class: "fault" }));
  }
  function shown(/** @type {any} */ value) { return Array.isArray(value) ? value.join(", ") : typeof value === "object" ? "" : String(value); }
  function placeholder() {
    if (usual === null || usual === undefined || typeof usual === "object") return "";
    return field.kind === "length" && typeof usual === "number" ? trim(usual / plan.unit_mm, 3) : String(usual);
  }
  function typed(/** @type {string} */ text) {
    const plain = text.trim();
    if (plain === "") return undefined;
    if (field.kind === "text") return plain;
    const number = Number(plain.replace(",", "."));
    return Number.isFinite(number) ? number : plain;
  }
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
      box.setAttribute("aria-invalid", "true");
      place.textContent = fault.message;
    } else rest.push(fault);
  }
  return rest;
}

/** @param {HTMLElement} sheet */
export function clearFaults(sheet) {
  for (const box of sheet.querySelectorAll("[aria-invalid]")) box.removeAttribute("aria-invalid");
  for (const place of sheet.querySelectorAll(".fault")) place.textContent = "";
}

/** The field of a key, or of the nearest key above it. @param {HTMLElement} sheet @param {string} where @returns {HTMLElement | null} */
export function fieldAt(sheet, where) {
  while (where) {
    const found = /** @type {HTMLElement | null} */ (sheet.querySelector(`[data-path="${CSS.escape(where)}"]`));
    if (found) return found;
    const below = /** @type {HTMLElement | null} */ (sheet.querySelector(`[data-path^="${CSS.escape(where)}."], [data-path^="${CSS.escape(where)}["]`));
    if (below) return below;
    where = where.replace(/(\.[^.[\]]*|\[\d+\])$/, "").replace(/^[^.[\]]*$/, "");
  }
  return null;
}
