// The step of quilting: regions, a design for each part, and how it is sewn.

import { make } from "./dom.js";
import { drawingField } from "./drawings.js";
import { makeField, pathName } from "./fields.js";
import { trim } from "./lengths.js";
import { paintSmall } from "./picture.js";
import { inUnits, roundly } from "./places.js";
import { freshName, renamed } from "./bag.js";
import { freshZone, placeOf, zoneKeys } from "./pieces.js";
import { say } from "./words.js";

/** @typedef {import("./sheet.js").Kit} Kit */

const PLAIN = ["angle", "setting", "joined", "handwriting", "size"];

/** @param {Kit} kit */
export function makeQuilting(kit) {
  const { act, desk, forms, places } = kit;

  function fill() {
    const plan = kit.plan();
    const free = [...plan.parts, ...plan.regions].filter((p) => !plan.data.fills.some((/** @type {any} */ f) => f.part === p));
    const order = (plan.data.quilting ?? {}).order ?? plan.usual.quilting.order;
    const edges = [...plan.edges, ...plan.folds.map((/** @type {any} */ f) => f.name)];
    const from = (/** @type {string} */ value) => [
      { op: "set", path: ["quilting", "order"], value },
      ...(value === "from an edge" && !plan.data.quilting?.from_edge ? [{ op: "set", path: ["quilting", "from_edge"], value: edges[0] }] : []),
      ...(value !== "from an edge" && plan.data.quilting?.from_edge ? [{ op: "remove", path: ["quilting", "from_edge"] }] : []),
    ];
    const few = ["stitch_length", "edge", "order", ...(order === "from an edge" ? ["from_edge"] : []), "sewn_from"];
    const about = { edge: { must: true }, order: { must: true, edits: from }, from_edge: { kind: "choice", choices: edges, must: true }, sewn_from: { must: true } };
    const rest = forms.keysOf("QuiltingSpec", ["from_edge", ...few]);
    return [
      ...plan.data.fills.map((/** @type {any} */ one, /** @type {number} */ i) => design(one, i)),
      free.length > 0 && plan.parts.length + plan.regions.length > 0 && forms.button(say("add_design"), () => addDesign(free[0]), { class: "quiet", "data-key": "add fills" }),
      forms.button(say("compare"), act.compare, { class: "quiet" }),
      make("h3", {}, say("regions")), make("p", { class: "hint" }, say("regions_hint")),
      ...regions(),
      forms.adder(["regions"], "region_add", addRegion, ["rectangle", "circle", "polygon"]),
      make("h3", {}, say("quilting")),
      forms.rows(...forms.fields("QuiltingSpec", ["quilting"], few, about)),
      forms.more("quilting", "QuiltingSpec", ["quilting"], rest),
      forms.more("costs", "CostsSpec", ["costs"], forms.keysOf("CostsSpec"), {}, say("costs")),
    ];
  }

  function regions() {
    const plan = kit.plan();
    return forms.entries({
      path: ["regions"], model: "RegionSpec", few: ["name", "diameter", "width", "height", "points", "at", "border"], name: (region) => region.name,
      keys: (region) => zoneKeys(kit, "RegionSpec", region),
      about: (region, i, path) => ({
        name: { edits: renamed(kit, [...path, "name"], region.name) },
        at: region.shape === "polygon" ? [] : places.place([...path, "at"], region.at, { here: () => placeOf(kit, "regions", i) }),
      }),
      remove: (region, i) => {
        const of = plan.data.fills.map((/** @type {any} */ f, /** @type {number} */ k) => (f.part === region.name ? k : -1)).filter((/** @type {number} */ k) => k >= 0).reverse();
        const all = of.length === plan.data.fills.length;
        return [...of.map((/** @type {number} */ k) => ({ op: "remove", path: all && k === 0 ? ["fills", 0, "part"] : ["fills", k] })), { op: "remove", path: ["regions", i] }];
      },
    });
  }

  /** A region comes with a design of its own. */
  function addRegion(/** @type {string} */ shape) {
    const plan = kit.plan(), [x0, y0, x1, y1] = plan.outline_bounds;
    const name = freshName([...plan.regions, ...plan.parts], "regions_one");
    const spacing = plan.data.fills[0].spacing ?? roundly(plan, 12);
    forms.added(["regions"], freshZone(kit, name, shape, [(x0 + x1) / 2, y0 + 0.5 * (y1 - y0)]), [{ op: "add", path: ["fills"], value: { part: name, pattern: "grid", spacing } }]);
  }

  /** Changes that give parts between folds of her own their names, so that a design can be for them. @param {string[]} parts */
  function naming(parts) {
    const plan = kit.plan(), mine = kit.choices().belongs.panel[plan.usual.panel.shape] ?? [];
    if (!mine.includes("parts") || plan.data.panel.drawn?.parts) return [];
    const named = (plan.data.panel.parts ?? []).map((/** @type {any} */ one) => one.name);
    return parts.filter((part) => plan.places[part] && !named.includes(part)).map((part) => ({ op: "add", path: ["panel", "parts"], value: { name: part, at: inUnits(plan, plan.places[part]) } }));
  }

  function addDesign(/** @type {string} */ part) {
    const plan = kit.plan();
    // what covered all of it covers the rest, part by part
    const all = plan.data.fills.findIndex((/** @type {any} */ f) => f.part === undefined || f.part === "all");
    const edits = [];
    if (all >= 0 && plan.parts.includes(part)) {
      const [first, ...others] = plan.parts;
      edits.push(...naming(plan.parts), { op: "set", path: ["fills", all, "part"], value: first });
      for (const other of others) edits.push({ op: "add", path: ["fills"], value: { ...plan.data.fills[all], part: other } });
    } else edits.push(...naming([part]), { op: "add", path: ["fills"], value: { part, pattern: "channel", angle: 45, spacing: roundly(plan, 12) } });
    desk.change(edits, say("say_design"), null);
  }

  function design(/** @type {any} */ one, /** @type {number} */ i) {
    const plan = kit.plan(), path = ["fills", i], used = plan.usual.fills[i];
    const { few, rest } = fillKeys(kit, one);
    const names = [...plan.pieces.filter((/** @type {any} */ p) => !p.mate_of).map((/** @type {any} */ p) => p.name), ...plan.zones.map((/** @type {any} */ z) => z.name), ...plan.regions];
    const parts = ["all", ...plan.parts, ...plan.regions];
    const long = (/** @type {any} */ value) => (Array.isArray(value) && value.length === 1 ? value[0] : value);
    const about = {
      part: parts.length > 1 ? { word: "design_part", kind: "choice", choices: parts, must: true, edits: (/** @type {string} */ value) => [...naming([value]), { op: "set", path: [...path, "part"], value }] } : [],
      angle: {
        kind: one.pattern === "grid" ? "numbers" : "number", word: one.pattern === "grid" ? "angles" : "angle",
        edits: (/** @type {any} */ value) => [...(value !== undefined && one.setting !== undefined ? [{ op: "remove", path: [...path, "setting"] }] : []), value === undefined ? { op: "remove", path: [...path, "angle"] } : { op: "set", path: [...path, "angle"], value: long(value) }],
      },
      setting: { edits: (/** @type {any} */ value) => [...(value !== undefined && one.angle !== undefined ? [{ op: "remove", path: [...path, "angle"] }] : []), value === undefined ? { op: "remove", path: [...path, "setting"] } : { op: "set", path: [...path, "setting"], value }] },
      motif: { kind: "choice", choices: kit.choices().motifs, must: true },
      echo_of: { kind: "choice", choices: names },
      start_at: places.place([...path, "start_at"], one.start_at, { unset: true, word: "start_at", line: true, here: () => middle() }),
    };
    return make("fieldset", { class: "entry design", "data-entry": `fills ${i}` },
      make("legend", {}, plan.data.fills.length > 1 ? `${say("design_n", { n: i + 1 })}: ${used.part}` : say("designs")),
      pictures(one, i),
      forms.rows(...forms.fields("FillSpec", path, few, about),
        one.pattern === "motif" && drawingField({ word: "drawing_motif", endings: ["svg"], take: (drawing, at) => act.drawing(drawing, { edits: [], path: [...path, "motif"] }, at) }),
        one.pattern === "meander" && makeField({ path: ["seed"], kind: "number", word: "seed" }, plan, desk.change)),
      forms.more(`fills ${i}`, "FillSpec", path, rest, about),
      plan.data.fills.length > 1 && forms.button(say("remove"), () => forms.removed(["fills"], i, say("design_n", { n: i + 1 })), { "aria-label": say("remove_what", { name: say("design_n", { n: i + 1 }) }) }));
  }

  function middle() {
    const [x0, y0, x1, y1] = kit.plan().outline_bounds;
    return [(x0 + x1) / 2, (y0 + y1) / 2];
  }

  /** Small pictures of the maker's own panel, one for each design. */
  function pictures(/** @type {any} */ one, /** @type {number} */ i) {
    const group = make("div", { class: "designs", role: "radiogroup", "aria-label": say("designs"), "data-path": pathName(["fills", i, "pattern"]) });
    for (const pattern of Object.keys(kit.choices().patterns)) {
      const canvas = make("canvas", { class: "small" });
      const input = make("input", { type: "radio", name: `pattern-${i}`, value: pattern, checked: pattern === one.pattern, onchange: () => desk.change(designEdits(kit.plan(), i, pattern, kit.choices()), say("say_design"), null) });
      group.append(make("label", { class: "design-choice" }, input, canvas, make("span", {}, pattern)));
      act.small(canvas, designEdits(kit.plan(), i, pattern, kit.choices()), `${i} ${pattern}`);
    }
    return group;
  }

  function picture() {
    const small = make("canvas", { class: "small" });
    queueMicrotask(() => paintSmall(small, kit.plan(), kit.colour));
    return small;
  }

  return { fill, picture };
}

/** Keys of a design, those that are shown at once and the rest. @param {Kit} kit @param {any} one */
function fillKeys(kit, one) {
  const of = /** @type {Record<string, string[]>} */ (kit.choices().belongs.fill);
  const every = new Set(Object.values(of).flat()), mine = of[one.pattern] ?? [];
  const keys = kit.forms.keysOf("FillSpec", ["pattern", ...(one.pattern === "motif" ? ["spacing"] : [])]).filter((key) => !every.has(key) || mine.includes(key));
  const apart = kit.plan().closed.length ? keys : keys.filter((key) => !["match", "at_side_seam"].includes(key) || one[key] !== undefined);
  const few = ["part", "motif", "spacing", ...PLAIN].filter((key) => apart.includes(key) && !(key === "angle" && one.setting !== undefined));
  return { few, rest: apart.filter((key) => !few.includes(key)) };
}

/** What changes when a fill takes another design: its keys are those of the new one. @param {any} plan @param {number} i @param {string} pattern @param {any} choices */
export function designEdits(plan, i, pattern, choices) {
  const fill = plan.data.fills[i];
  if (fill.pattern === pattern) return [];
  const all = new Set(Object.values(/** @type {Record<string, string[]>} */ (choices.patterns)).flat());
  const kept = Object.fromEntries(Object.entries(fill).filter(([key]) => !all.has(key) || (choices.patterns[pattern].includes(key) && key === "angle" && !Array.isArray(fill.angle))));
  const value = /** @type {any} */ ({ ...kept, pattern });
  if (pattern === "motif") {
    value.motif = choices.motifs.includes("orange peel") ? "orange peel" : choices.motifs[0];
    delete value.spacing;
    delete value.angle;
  }
  if (fill.pattern === "motif" && fill.spacing === undefined) value.spacing = Number(trim((plan.units === "in" ? 0.5 : 12 / plan.unit_mm), 3));
  if (pattern === "meander" || (value.match === "spacing" && !["channel", "grid"].includes(pattern))) delete value.match;
  if (!value.match || pattern !== "channel") delete value.at_side_seam;
  return [{ op: "set", path: ["fills", i], value }];
}
