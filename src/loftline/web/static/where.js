// Where a fault lies, in the words of the job sheet: the step, and the name of the entry.

import { make } from "./dom.js";
import { say } from "./words.js";

const STEPS = /** @type {Record<string, string[]>} */ ({
  bag: ["name", "units", "panel"], layers: ["layers"], closures: ["hardware", "keep_outs"], quilting: ["fills", "regions", "quilting", "costs"],
  seams: ["seams"], sizes: ["sizes", "copies", "class"], cutting: ["cutting"], machine: ["machine", "thread", "swatch"], paper: ["sheets"],
});

/**
 * @param {string} where a path of keys, such as `hardware[0].at`
 * @param {string} message what is said, which may name the entry itself
 * @param {any} data the tables of the project
 * @returns {Node | null} to stand before what is said; nothing where the path is none of the project file
 */
export function whereWords(where, message, data) {
  const [top, index] = /^([a-z_]+)(?:\[(\d+)\])?/.exec(where)?.slice(1) ?? [];
  const step = Object.keys(STEPS).find((one) => STEPS[one].includes(top));
  if (!step) return where ? make("span", { lang: "en" }, `${where}: `) : null;
  const name = data?.[top]?.[Number(index)]?.name ?? Number(index) + 1;
  const entry = index === undefined || message.includes(`"${name}"`) ? "" : `, ${name}`;
  return make("span", {}, `${say(`step_${step}`)}${entry}: `);
}
