// Beside the panel: what one bag takes, and what to look at.

import { make } from "./dom.js";
import { has, say, sayValue } from "./words.js";

/**
 * @param {HTMLElement} numbers
 * @param {HTMLElement} findings
 * @param {HTMLElement} mind
 * @param {{place: (at: number[]) => void, field: (path: string) => void}} go
 */
export function makeBeside(numbers, findings, mind, go) {
  const list = make("dl", { class: "figures" });
  const found = make("ul", { class: "findings" });
  numbers.append(make("h2", {}, say("numbers")), list);
  const advice = make("ul", { class: "advice" });
  findings.append(make("h2", {}, say("look_at")), found);
  mind.append(make("h2", {}, say("advice")), advice);
  return {
    /** @param {import("./ask.js").Answer} plan @param {boolean} quick a quick plan leaves some figures as they were */
    show(plan, quick) {
      const told = new Set(plan.figures.map(([word]) => word));
      if (quick) {
        for (const [word, value] of plan.figures) {
          const row = list.querySelector(`[data-figure="${word}"] dd`);
          if (row) row.textContent = sayValue(value);
        }
        for (const row of list.children) row.classList.toggle("before", !told.has(row.dataset.figure));
      } else list.replaceChildren(...plan.figures.map(([word, value]) => make("div", { "data-figure": word },
        make("dt", {}, say(`fig_${word}`), has(`fig_${word}_hint`) && make("span", { class: "hint" }, ` (${say(`fig_${word}_hint`)})`)), make("dd", { lang: typeof value === "string" && "en" }, sayValue(value)))));
      advice.replaceChildren(...plan.cautions.map((line) => make("li", { class: "caution", lang: "en" }, line)), ...plan.advice.map((line) => make("li", { lang: "en" }, line)));
      found.replaceChildren(...(plan.findings.length ? plan.findings.map(one) : [make("li", { class: "all-well" }, say("nothing_to_look_at"))]));
    },
  };

  function one(/** @type {import("./ask.js").Finding} */ finding) {
    const text = `${finding.message[0].toUpperCase()}${finding.message.slice(1)}.`;
    const { at, field } = finding;
    const title = `found_${finding.code.replaceAll("-", "_")}`;
    return make("li", { class: `finding ${finding.severity}`, "data-code": finding.code },
      make("p", { class: "finding-title" }, make("strong", { class: "badge" }, say(`severity_${finding.severity}`)), " ", has(title) && make("strong", {}, say(title))),
      make("p", { lang: "en" }, text),
      finding.remedy && make("p", { class: "hint" }, say("remedy"), " ", make("span", { lang: "en" }, `${finding.remedy}.`)),
      at && make("button", { type: "button", class: "quiet", onclick: () => go.place(at) }, say("show_place")),
      !at && field && make("button", { type: "button", class: "quiet", onclick: () => go.field(field) }, say("go_to_field")));
  }
}
