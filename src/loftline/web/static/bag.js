// The first step of the job sheet: shape, sizes, folds, parts, darts.

import { draw, make } from "./dom.js";
import { drawingField } from "./drawings.js";
import { choiceWords, makeField } from "./fields.js";
import { inUnits, roundly } from "./places.js";
import { reshaped } from "./reshape.js";
import { say } from "./words.js";

/** @typedef {import("./sheet.js").Kit} Kit */

/** A name that is not taken yet. @param {string[]} taken @param {string} word */
export function freshName(taken, word) {
  let n = 1;
  while (taken.includes(`${say(word)} ${n}`)) n += 1;
  return `${say(word)} ${n}`;
}

/** Changes that give something another name, also where a design covers it or goes round it. @param {Kit} kit @param {import("./fields.js").Path} path @param {string} old */
export function renamed(kit, path, old) {
  return (/** @type {any} */ value) => {
    const fills = /** @type {any[]} */ (kit.plan().data.fills);
    const set = value === undefined ? { op: "remove", path } : { op: "set", path, value };
    return [set, ...(value === undefined ? [] : fills.flatMap((fill, i) => ["part", "echo_of"].filter((key) => fill[key] === old).map((key) => ({ op: "set", path: ["fills", i, key], value }))))];
  };
}

/** @param {Kit} kit */
export function makeBag(kit) {
  const { act, desk, forms } = kit;

  /** Keys of the panel's shape. */
  const ofShape = () => /** @type {string[]} */ (kit.choices().belongs.panel[kit.plan().usual.panel.shape] ?? []);

  function fill() {
    const plan = kit.plan(), choices = kit.choices(), shape = plan.usual.panel.shape;
    const mine = ofShape();
    const shapes = make("select", { id: "new-shape" }, ...choices.shapes.map((/** @type {string} */ s) => make("option", { value: s }, choiceWords("shape", s))));
    shapes.value = choices.shapes.includes(shape) ? shape : "rectangle";
    const kept = forms.keysOf("PanelSpec").filter((key) => mine.includes(key) && !["shape", "folds", "parts", "points", "holes", "drawn"].includes(key));
    const rare = ["run_off", ...(mine.includes("corner_radius") ? ["corner_object"] : []), ...(plan.folds.length ? ["fold_room"] : [])];
    const own = plan.sizes.length > 0 && (plan.data.sizes ?? []).find((/** @type {any} */ s) => s.name.trim() === plan.size);
    return [
      forms.rows(makeField({ path: ["name"], kind: "text", word: "name" }, plan, desk.change), plan.sizes.length > 0 && sizePicker()),
      forms.rows(...forms.fields("PanelSpec", ["panel"], ["shape"], { shape: { must: true, far: true, word: "shape", choices: choices.shapes, edits: (/** @type {string} */ value) => reshaped(kit, value) } })),
      forms.rows(...forms.fields("PanelSpec", ["panel"], kept),
        shape === "file" && drawingField({ word: "drawing_other", endings: ["svg", "dxf"], path: "panel.file", take: (drawing, at) => act.drawing(drawing, { edits: [], path: ["panel", "file"] }, at) })),
      ...forms.fields("PanelSpec", ["panel"], ["points", "holes", "drawn"].filter((key) => mine.includes(key))),
      make("p", { class: "hint" }, say("lengths_hint", { unit: plan.units })),
      own && Object.keys(own).some((key) => kept.includes(key)) && make("p", { class: "hint" }, say("size_own", { size: plan.size })),
      forms.rows(...forms.fields("PanelSpec", ["panel"], ["seam_allowance", "overhang"])),
      ...folds(), ...(mine.includes("parts") ? parts() : []), ...darts(),
      forms.away("bag", say("more"), ["units", ...rare.map((key) => `panel.${key}`)], () => [forms.rows(
        makeField({ path: ["units"], kind: "choice", word: "units", far: true, choices: ["mm", "cm", "in"], must: true, edits: (value) => [{ op: "units", path: ["units"], value }] }, kit.plan(), desk.change),
        ...forms.fields("PanelSpec", ["panel"], rare))]),
      make("div", { class: "start" }, make("label", { for: "new-shape" }, say("new_shape")), shapes, forms.button(say("new_shape_go"), () => act.fresh(shapes.value)), make("span", { class: "hint" }, say("new_shape_hint"))),
      drawingField({ word: "drawing_panel", endings: ["svg", "dxf"], unit: true, take: (drawing, at) => act.drawing(drawing, { fresh: true }, at) }),
    ];
  }

  function sizePicker() {
    const plan = kit.plan();
    const box = make("select", { id: "size-shown", onchange: () => act.size(box.value) }, ...plan.sizes.map((/** @type {string} */ s) => make("option", { value: s }, s)));
    box.value = plan.size;
    return make("div", { class: "field choice" }, make("label", { for: "size-shown" }, say("size_shown")), make("span", { class: "box" }, box));
  }

  /** Folds of the shape, about which something may be said, or folds of her own. */
  function folds() {
    const plan = kit.plan(), given = /** @type {any[]} */ (plan.data.panel.folds ?? []);
    const own = /** @type {string[]} */ (kit.choices().belongs.own_folds[plan.usual.panel.shape] ?? []);
    const free = own.filter((name) => !given.some((fold) => fold.name === name));
    const path = ["panel", "folds"];
    const [x0, y0, x1, y1] = plan.outline_bounds, middle = (y0 + y1) / 2;
    const list = forms.entries({
      path, model: "FoldSpec", name: (fold) => fold.name, few: own.length ? ["closed_to", "gap", "crease", "bends"] : ["name", "from", "to", "crease"],
      keys: () => forms.keysOf("FoldSpec", own.length ? ["name", "from", "to"] : []),
      remove: (_, i) => [{ op: "remove", path: [...path, i] }, ...(given.length === 1 && !own.length ? withoutParts() : [])],
    });
    return [
      make("h3", {}, say("folds")),
      plan.folds.length > 0 && make("p", { class: "hint" }, plan.folds.map((/** @type {any} */ f) => f.name).join(", ")),
      ...list,
      own.length
        ? free.length > 0 && forms.adder(path, "fold_about", (name) => forms.added(path, { name, crease: true }), free)
        : forms.adder(path, "fold_add", () => forms.added(path, { name: freshName(given.map((f) => f.name), "folds_one"), from: inUnits(plan, [x0, middle]), to: inUnits(plan, [x1, middle]) })),
    ];
  }

  /** Without folds there are no parts, and one design covers all. */
  function withoutParts() {
    const plan = kit.plan(), names = (plan.data.panel.parts ?? []).map((/** @type {any} */ part) => part.name);
    const of = plan.data.fills.flatMap((/** @type {any} */ fill, /** @type {number} */ i) => (names.includes(fill.part) ? [i] : []));
    return [...(names.length ? [{ op: "remove", path: ["panel", "parts"] }] : []),
      ...of.reverse().map((/** @type {number} */ i) => ({ op: "remove", path: i === of[of.length - 1] ? ["fills", i, "part"] : ["fills", i] }))];
  }

  function parts() {
    const plan = kit.plan(), path = ["panel", "parts"], given = /** @type {any[]} */ (plan.data.panel.parts ?? []);
    const free = Object.keys(plan.places).find((name) => !given.some((part) => part.name === name));
    if ((!plan.folds.length || plan.data.panel.drawn?.parts) && !given.length) return [];
    return [
      make("h3", {}, say("parts")), make("p", { class: "hint" }, say("parts_hint")),
      ...forms.entries({ path, model: "PartSpec", few: ["name", "at"], name: (part) => part.name, about: (part, _, at) => ({ name: { edits: renamed(kit, [...at, "name"], part.name) } }) }),
      free !== undefined && forms.adder(path, "part_add", () => forms.added(path, { name: free, at: inUnits(plan, plan.places[free]) })),
    ];
  }

  function darts() {
    const plan = kit.plan(), path = ["panel", "darts"], given = /** @type {any[]} */ (plan.data.panel.darts ?? []);
    const ways = /** @type {Record<string, string[]>} */ (kit.choices().belongs.dart);
    const wayOf = (/** @type {any} */ dart) => Object.keys(ways).find((way) => dart[way] !== undefined) ?? "points";
    const folds_ = plan.folds.map((/** @type {any} */ f) => f.name);
    const [x0, y0, x1] = plan.outline_bounds, middle = (x0 + x1) / 2;
    const corners = ["lower left", "lower right", "upper left", "upper right"].filter((corner) => !given.some((dart) => dart.corner === corner));
    const level = (/** @type {any} */ fold) => Math.abs(fold.line[3] - fold.line[1]) <= Math.abs(fold.line[2] - fold.line[0]);
    /** @type {{fold: string, side: string}[]} */ const ends = plan.folds.flatMap((/** @type {any} */ fold) => (level(fold) ? ["left", "right"] : ["lower", "upper"])
      .filter((side) => !given.some((dart) => dart.fold === fold.name && dart.side === side)).map((side) => ({ fold: fold.name, side })));
    const kinds = [ends.length > 0 && "boxed", corners.length > 0 && "corner", "wedge"].filter(Boolean);
    const start = /** @type {Record<string, () => void>} */ ({
      boxed: () => {
        const [first, ...others] = ends.filter((end) => end.fold === ends[0].fold).map((end) => ({ ...end, depth: roundly(plan, 40) }));
        forms.added(path, first, others.map((value) => ({ op: "add", path, value })));
      },
      corner: () => forms.added(path, { corner: corners[0], unit: roundly(plan, 15) }),
      wedge: () => forms.added(path, { points: [[middle - 8, y0], [middle + 8, y0], [middle, y0 + 30]].map((at) => inUnits(plan, at)) }),
    });
    return [
      make("h3", {}, say("darts")),
      ...forms.entries({
        path, model: "DartSpec", few: ["corner", "fold", "side", "unit", "depth", "points"],
        name: (dart, i) => dart.name ?? `${say("darts_one")} ${i + 1}`,
        brief: (dart) => [dart.corner, dart.fold, dart.side].filter(Boolean).join(", "),
        keys: (dart) => ["name", wayOf(dart), ...ways[wayOf(dart)]],
        about: (dart) => ({ fold: { kind: "choice", choices: [...folds_], must: true }, corner: { must: true }, side: { must: true }, depth: dart.fold === undefined ? { word: "dart_depth_corner" } : {} }),
      }),
      forms.adder(path, "dart_add", (kind) => start[kind](), /** @type {string[]} */ (kinds)),
    ];
  }

  /** The outline with its folds, small. */
  function picture() {
    const plan = kit.plan();
    const [x0, y0, x1, y1] = plan.outline_bounds;
    const svg = draw("svg", { viewBox: `${x0 - 10} ${-y1 - 10} ${x1 - x0 + 20} ${y1 - y0 + 20}` });
    const points = plan.arrays.outline, starts = plan.arrays.outline_starts;
    let d = "";
    for (let i = 0; i + 1 < starts.length; i += 1) {
      for (let k = starts[i]; k < starts[i + 1]; k += 1) d += `${k === starts[i] ? "M" : "L"}${points[2 * k] / 100} ${-points[2 * k + 1] / 100}`;
      d += "Z";
    }
    svg.append(draw("path", { d, class: "sketch", "fill-rule": "evenodd" }));
    for (const f of plan.folds) svg.append(draw("line", { x1: f.line[0], y1: -f.line[1], x2: f.line[2], y2: -f.line[3], class: "sketch fold-line" }));
    return svg;
  }

  return { fill, picture };
}
