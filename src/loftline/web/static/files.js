// What is taken along: kinds of files, of which sizes, by itself or in one zip.

import { make } from "./dom.js";
import { say } from "./words.js";

/** @typedef {{formats: string[], project: boolean, sizes: boolean, zip: boolean}} Wanted */

/** @param {{download: (wanted: Wanted) => void}} act */
export function makeFiles(act) {
  /** @type {Set<string> | null} */ let chosen = null;
  let project = false, sizes = false;

  /** @param {any} plan @param {string[]} formats @returns {HTMLElement[]} */
  return function show(plan, formats) {
    chosen ??= new Set([...plan.usual.machine.formats, "svg"]);
    const kinds = chosen;
    const go = make("button", { type: "button", class: "main", id: "download", onclick: () => act.download({ formats: [...kinds], project, sizes: several(), zip: zipped() }) });
    const several = () => sizes && plan.sizes.length > 0;
    const zipped = () => several() || kinds.size + Number(project) > 1;
    const word = () => { go.textContent = say(zipped() ? "download" : "download_one"); };
    const boxes = formats.map((ext) => tick(`format-${ext}`, `file_${ext}`, kinds.has(ext), (on) => { if (on) kinds.add(ext); else kinds.delete(ext); }, ext));
    const own = tick("format-project", "file_project", project, (on) => { project = on; });
    const all = [...boxes, own].map((row) => /** @type {HTMLInputElement} */ (row.querySelector("input")));
    const every = (/** @type {boolean} */ on) => () => { for (const box of all) if (box.checked !== on) box.click(); };

    function tick(/** @type {string} */ id, /** @type {string} */ label, /** @type {boolean} */ checked, /** @type {(on: boolean) => void} */ set, value = "") {
      const box = make("input", { type: "checkbox", id, value, checked, onchange: () => { set(box.checked); word(); } });
      return make("div", { class: "field flag" }, box, make("label", { for: id }, say(label)));
    }
    function which(/** @type {boolean} */ all_, /** @type {string} */ text) {
      const id = `sizes-${all_ ? "all" : "one"}`;
      const box = make("input", { type: "radio", name: "sizes-along", id, checked: sizes === all_, onchange: () => { sizes = all_; word(); } });
      return make("div", { class: "field flag" }, box, make("label", { for: id }, text));
    }

    word();
    return [
      make("fieldset", { class: "plain" }, make("legend", {}, say("files")), ...boxes, own,
        make("div", { class: "start" }, make("button", { type: "button", class: "quiet", onclick: every(true) }, say("files_all")), make("button", { type: "button", class: "quiet", onclick: every(false) }, say("files_none")))),
      ...(plan.sizes.length ? [make("fieldset", { class: "plain" }, make("legend", {}, say("files_sizes")), which(false, say("files_size", { size: plan.size })), which(true, say("files_every_size", { sizes: plan.sizes.join(", ") })))] : []),
      make("div", { class: "start" }, go),
    ];
  };
}
