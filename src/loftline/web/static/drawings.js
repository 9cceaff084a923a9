// A drawing from the maker's disk: chosen, or dropped on its field.

import { fresh, make } from "./dom.js";
import { say } from "./words.js";

/** The reader takes no longer ones. */
const MOST_BYTES = 4_000_000;

/**
 * @typedef {object} DrawingField
 * @property {string} word of the catalogue, with a hint
 * @property {string[]} endings
 * @property {string} [path] of the key that names the drawing
 * @property {boolean} [unit] whether it is asked what one unit of the drawing is
 * @property {(drawing: {name: string, data: string, unit: string}, field: HTMLElement) => void} take
 */

/** @param {DrawingField} field */
export function drawingField({ word, endings, path, unit, take }) {
  const id = fresh(), fault = fresh(), hint = fresh(), unitId = fresh();
  const input = make("input", {
    type: "file", id, accept: endings.map((e) => `.${e}`).join(","), "aria-describedby": `${fault} ${hint}`, "data-path": path,
    onchange: () => { void given(input.files?.[0]); },
  });
  const units = make("select", { id: unitId, "data-key": `${word} unit`, onchange: () => last && take({ ...last, unit: units.value }, input) }, make("option", { value: "" }, say("drawing_unit_told")), ...["mm", "cm", "in"].map((u) => make("option", { value: u }, u)));
  /** @type {{name: string, data: string} | null} */ let last = null;
  const trouble = make("span", { id: fault, class: "fault" });
  const box = make("div", { class: "field drawing" }, make("label", { for: id }, say(word)), input,
    make("span", { class: "notes" }, make("span", { id: hint, class: "hint" }, say(`${word}_hint`)), trouble),
    unit && make("span", { class: "drawing-unit" }, make("label", { for: unitId }, say("drawing_unit")), units));
  box.addEventListener("dragover", (/** @type {DragEvent} */ event) => {
    if (!holdsFiles(event)) return;
    event.preventDefault();
    box.classList.add("over");
  });
  box.addEventListener("dragleave", () => box.classList.remove("over"));
  box.addEventListener("drop", (/** @type {DragEvent} */ event) => {
    box.classList.remove("over");
    if (!holdsFiles(event)) return;
    event.preventDefault();
    event.stopPropagation();
    void given(event.dataTransfer?.files[0]);
  });
  return box;

  async function given(/** @type {File | undefined} */ file) {
    if (!file) return;
    trouble.textContent = "";
    trouble.removeAttribute("lang");
    input.removeAttribute("aria-invalid");
    const ending = file.name.toLowerCase().split(".").pop() ?? "";
    const wrong = !endings.includes(ending) ? say("drawing_ending", { endings: endings.map((e) => `.${e}`).join(say("or")) })
      : file.size > MOST_BYTES ? say("drawing_long", { most: MOST_BYTES / 1e6 })
      : file.size === 0 ? say("drawing_empty") : "";
    const data = wrong ? null : await base64(file);
    if (data === null) {
      trouble.textContent = wrong || say("drawing_unread");
      input.setAttribute("aria-invalid", "true");
    } else {
      last = { name: file.name.slice(-200), data };
      take({ ...last, unit: units.value }, input);
    }
    input.value = "";
  }
}

/** What a file holds; nothing where it cannot be read. @param {File} file @returns {Promise<string | null>} */
function base64(file) {
  return new Promise((done) => {
    const reader = new FileReader();
    reader.onload = () => done(String(reader.result).replace(/^[^,]*,/, ""));
    reader.onerror = () => done(null);
    reader.readAsDataURL(file);
  });
}

const holdsFiles = (/** @type {DragEvent} */ event) => Boolean(event.dataTransfer?.types.includes("Files"));

/** A file that is dropped beside a field must not take the place of the page. @param {() => void} tell */
export function keepPage(tell) {
  for (const name of /** @type {const} */ (["dragover", "drop"])) {
    document.addEventListener(name, (event) => {
      if (!holdsFiles(event)) return;
      event.preventDefault();
      if (name === "drop") tell();
      else if (event.dataTransfer) event.dataTransfer.dropEffect = "none";
    });
  }
}
