// What is asked or shown in front of the page.

import { make } from "./dom.js";
import { paintSmall } from "./picture.js";
import { say, sayValue } from "./words.js";

/** @param {string} title @param {(Node | string)[]} body @param {(Node | string)[]} [buttons] */
export function openDialog(title, body, buttons = []) {
  const dialog = make("dialog", { "aria-label": title });
  const close = make("button", { type: "button", class: "quiet", onclick: () => dialog.close() }, say("close"));
  dialog.append(make("h2", {}, title), make("div", { class: "dialog-body" }, ...body), make("div", { class: "dialog-foot" }, ...buttons, close));
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}

/** The file was changed meanwhile, or is gone. @param {string} file @param {boolean} gone @param {{over: () => void, take: () => void}} act */
export function askChanged(file, gone, act) {
  const button = (/** @type {string} */ word, /** @type {() => void} */ go) => make("button", { type: "button", onclick: () => { dialog.close(); go(); } }, say(word));
  const dialog = gone
    ? openDialog(say("gone_title"), [make("p", {}, say("gone_says", { file }))], [button("gone_again", act.over)])
    : openDialog(say("changed_title"), [make("p", {}, say("changed_says", { file }))], [button("changed_over", act.over), button("changed_take", act.take)]);
  // what Enter does unread must lose nothing
  dialog.querySelector(".quiet").focus();
}

/** A drawing as a picture. @param {string} title @param {Blob} blob @param {string} alt */
export function showPicture(title, blob, alt) {
  const address = URL.createObjectURL(blob);
  const dialog = openDialog(title, [make("img", { src: address, alt, class: "sheet-picture" })]);
  dialog.classList.add("wide");
  dialog.addEventListener("close", () => URL.revokeObjectURL(address));
}

/**
 * Designs to choose, then side by side.
 * @param {any} choices
 * @param {{compare: (patterns: string[]) => Promise<any>, take: (pattern: string) => void, fail: (error: unknown) => void}} act
 * @param {(name: string) => string} colour
 */
export function askCompare(choices, act, colour) {
  const boxes = [...Object.keys(choices.patterns).filter((p) => p !== "motif"), ...choices.motifs].map((pattern, i) => {
    const box = make("input", { type: "checkbox", value: pattern, id: `compare-${i}` });
    return { box, row: make("div", { class: "field flag" }, box, make("label", { for: `compare-${i}` }, pattern)) };
  });
  const trouble = make("p", { class: "fault", role: "alert" });
  const samples = make("div", { class: "samples" });
  const go = make("button", { type: "button", class: "main", onclick: run }, say("compare_go"));
  const dialog = openDialog(say("compare_title"), [make("p", { class: "hint" }, say("compare_pick")), make("div", { class: "pick" }, ...boxes.map((b) => b.row)), make("div", { class: "start" }, go), trouble, samples]);
  dialog.classList.add("wide");

  async function run() {
    const patterns = boxes.filter((b) => b.box.checked).map((b) => b.box.value);
    const fits = patterns.length > 0 && patterns.length <= 5;
    trouble.textContent = say(fits ? "working" : patterns.length ? "compare_many" : "compare_none");
    if (!fits) return;
    try {
      const answer = await act.compare(patterns);
      trouble.textContent = "";
      samples.replaceChildren(...answer.samples.map((/** @type {any} */ s, /** @type {number} */ i) => card(s, i, answer)));
    } catch (error) {
      trouble.textContent = error instanceof Error && error.message ? error.message : say("lost");
    }
  }

  function card(/** @type {any} */ sample, /** @type {number} */ i, /** @type {any} */ answer) {
    const name = !sample.yours ? sample.name : sample.name === "as in the file" ? say("compare_yours") : `${sample.name}: ${say("compare_yours")}`;
    const canvas = make("canvas", { class: "sample-picture", role: "img", "aria-label": name });
    /** @type {Record<string, any>} */ const arrays = {};
    for (const [name, value] of Object.entries(answer.arrays)) if (name.endsWith(`_${i}`)) arrays[name.slice(0, -`_${i}`.length)] = value;
    queueMicrotask(() => paintSmall(canvas, { outline_bounds: sample.outline_bounds, arrays }, colour));
    const shown = ["stitches", "runs", "cuts", "turns", "needle_thread", "time", "widest_gap"];
    const pattern = sample.name.split(",")[0];
    return make("section", { class: "sample" }, canvas, make("h3", {}, name),
      make("dl", { class: "figures" }, ...sample.figures.filter((/** @type {any} */ [word]) => shown.includes(word)).map((/** @type {any} */ [word, value]) => make("div", {}, make("dt", {}, say(`fig_${word}`)), make("dd", { lang: typeof value === "string" && "en" }, sayValue(value))))),
      !sample.yours && make("button", { type: "button", onclick: () => { dialog.close(); act.take(pattern); } }, say("compare_take")));
  }
}
