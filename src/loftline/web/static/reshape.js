// The same bag in another shape: what is needed for it is taken from the panel as it is.

import { inUnits, roundly } from "./places.js";

/** @typedef {import("./sheet.js").Kit} Kit */

/** What the upper and the lower edge are called, where that is not top and bottom. */
const UPPER = /** @type {Record<string, string>} */ ({ "folded pouch": "flap edge", "flat sleeve": "back edge", "zip pouch side": "zip edge" });
const LOWER = /** @type {Record<string, string>} */ ({ "folded pouch": "front edge", "flat sleeve": "front edge" });

/** What becomes of the bag; where something does not fit the new shape, the planner says so. @param {Kit} kit @param {string} shape @returns {object[]} */
export function reshaped(kit, shape) {
  const plan = kit.plan(), old = plan.data.panel, of = kit.choices().belongs;
  const mine = /** @type {string[]} */ (of.panel[shape]), had = /** @type {string[]} */ (of.panel[old.shape] ?? []);
  const [x0, y0, x1, y1] = plan.outline_bounds, wide = x1 - x0, high = y1 - y0;
  const long = shape === "strap" || old.shape === "strap";
  const sizes = /** @type {Record<string, any>} */ ({
    width: roundly(plan, shape === "strap" ? high : wide), height: roundly(plan, high), length: roundly(plan, wide), depth: roundly(plan, Math.min(wide, high) / 4),
    body: roundly(plan, high * (shape === "flat sleeve" ? 0.5 : 0.36)), flap: roundly(plan, high * 0.28),
    points: [[0, 0], [wide, 0], [wide, high], [0, high]].map((at) => inUnits(plan, at)),
  });
  const own = of.own_folds[shape] !== undefined, folds = !own && !of.own_folds[old.shape] && mine.includes("folds");
  /** @type {object[]} */ const edits = [{ op: "set", path: ["panel", "shape"], value: shape }];
  const drop = (/** @type {(string | number)[]} */ ...path) => { edits.push({ op: "remove", path }); };
  const set = (/** @type {any} */ value, /** @type {(string | number)[]} */ ...path) => { edits.push({ op: "set", path, value }); };

  for (const key of Object.keys(old)) {
    const belongs = had.includes(key), stays = mine.includes(key) && !(long && key in sizes);
    if (belongs && (key === "folds" || key === "parts" ? !folds || !mine.includes(key) : !stays)) drop("panel", key);
  }
  if (old.corner_object !== undefined && !mine.includes("corner_radius")) drop("panel", "corner_object");
  for (const key of mine) {
    const needed = key in sizes && (old[key] === undefined || !had.includes(key) || long);
    if (needed) set(sizes[key], "panel", key);
  }
  const darts = /** @type {any[]} */ (old.darts ?? []);
  for (let i = darts.length - 1; i >= 0; i -= 1) if (darts[i].fold !== undefined || shape === "ellipse") drop("panel", "darts", i);
  pieces();
  if (!folds) designs();
  (plan.data.sizes ?? []).forEach((/** @type {any} */ size, /** @type {number} */ i) => {
    for (const key of Object.keys(size)) if (!["name", "copies"].includes(key) && !of.size[shape].includes(key)) drop("sizes", i, key);
  });
  if (plan.data.quilting?.from_edge !== undefined) { drop("quilting", "from_edge"); drop("quilting", "order"); }
  return edits;

  /** Edges have other names; what is measured from them stays where it is. */
  function pieces() {
    for (const [list, things] of /** @type {[string, any[]][]} */ ([["hardware", plan.pieces], ["keep_outs", plan.zones]])) {
      (plan.data[list] ?? []).forEach((/** @type {any} */ entry, /** @type {number} */ i) => {
        const thing = things.find((one) => one.index === i && !one.mate_of);
        if (entry.at?.from !== undefined && thing) set(inUnits(plan, thing.at), list, i, "at");
        const along = entry.at?.along;
        for (const [names, usual] of /** @type {[Record<string, string>, string][]} */ ([[UPPER, "top"], [LOWER, "bottom"]])) {
          if (along === (names[old.shape] ?? usual)) set(names[shape] ?? usual, list, i, "at", "along");
        }
        if (entry.mate !== undefined && !folds) drop(list, i, "mate");
      });
    }
  }

  /** Its parts are others: one design covers all, those of regions stay. */
  function designs() {
    const of_parts = plan.data.fills.flatMap((/** @type {any} */ fill, /** @type {number} */ i) => (plan.parts.includes(fill.part) ? [i] : [])).reverse();
    const whole = plan.data.fills.some((/** @type {any} */ fill) => fill.part === undefined || fill.part === "all");
    of_parts.forEach((/** @type {number} */ i, /** @type {number} */ n) => (n < of_parts.length - 1 || whole ? drop("fills", i) : drop("fills", i, "part")));
    plan.data.fills.forEach((/** @type {any} */ fill, /** @type {number} */ i) => {
      if (fill.match !== undefined && !of_parts.includes(i)) { drop("fills", i, "match"); drop("fills", i, "at_side_seam"); }
    });
  }
}
