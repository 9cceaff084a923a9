// The steps of making: layers, seams, sizes and copies, cutting, machine and thread, paper and files.

import { draw, make } from "./dom.js";
import { makeField, makePair, pathName } from "./fields.js";
import { makeFiles } from "./files.js";
import { lengthWords } from "./lengths.js";
import { roundly } from "./places.js";
import { freshName } from "./bag.js";
import { say } from "./words.js";

/** @typedef {import("./sheet.js").Kit} Kit */
/** @typedef {import("./sheet.js").StepOf} StepOf */

const BY_HAND = ["foot_kind", "throat", "tightest_turn", "guide_bar"];
const OF_HOOPS = ["hoop_margin", "hoop_room", "hoop_turning", "hooping_order", "held", "frame", "basting"];
const LETTERS = ["S", "M", "L", "XL", "XS"];

/** A small sketch from paths. @param {...string} paths */
function sketch(...paths) {
  const svg = draw("svg", { viewBox: "0 0 60 44" });
  svg.append(...paths.map((d) => draw("path", { d, class: "sketch" })));
  return svg;
}

/** @param {Kit} kit @returns {StepOf} */
export function makeLayers({ forms }) {
  function fill() {
    const path = (/** @type {string} */ layer) => ["layers", layer];
    const few = (/** @type {string} */ layer, keys = ["kind", "thickness"]) => forms.fields("LayerSpec", path(layer), keys, { kind: { word: `${layer}_kind` }, thickness: { word: `${layer}_thickness` } });
    return [
      forms.rows(...few("outer"), ...few("foam"), ...few("lining", ["kind"])),
      forms.more("layers", "LayersSpec", ["layers"], ["foam_to", "sewn_thickness", "contents"]),
      forms.away("layers cloth", say("cloth_more"), ["layers.outer.keeps_holes", "layers.outer.heat", "layers.lining"], () => [
        forms.rows(...forms.fields("LayerSpec", path("outer"), ["keeps_holes", "heat"]), ...few("lining", ["thickness"]),
          ...forms.fields("LayerSpec", path("lining"), ["keeps_holes", "heat"], { keeps_holes: { word: "lining_keeps_holes" }, heat: { word: "lining_heat" } }))]),
    ];
  }
  function picture() {
    const svg = draw("svg", { viewBox: "0 0 60 44" });
    for (const [y, h, name] of [[6, 5, "outer"], [13, 16, "foam"], [31, 4, "lining"]]) svg.append(draw("rect", { x: 4, y, width: 52, height: h, rx: 2, class: `sketch layer-${name}` }));
    return svg;
  }
  return { fill, picture };
}

/** @param {Kit} kit @returns {StepOf} */
export function makeSeams(kit) {
  const { forms } = kit;
  function fill() {
    const plan = kit.plan(), path = ["seams"], given = /** @type {any[]} */ (plan.data.seams ?? []);
    const usual = plan.seams.filter((/** @type {any} */ [name]) => !given.some((seam) => seam.name === name));
    return [
      make("p", { class: "hint" }, say("seams_hint")),
      plan.seams.length > 0 && make("ul", { class: "plain-list" }, ...plan.seams.map((/** @type {[string, number]} */ [name, length]) => make("li", {}, `${name}, ${lengthWords(length, plan.units)}`))),
      ...forms.entries({
        path, model: "SeamSpec", name: (seam) => seam.name, few: ["name", "length", "edges", "type", "width", "stitch_length", "passes"],
        keys: (seam) => forms.keysOf("SeamSpec", ["304", "504"].includes(seam.type) || seam.width !== undefined ? [] : ["width"]),
        about: (seam, _, at) => ({
          edges: { offers: [...plan.edges, "outline"] },
          type: { edits: (/** @type {any} */ value) => [...(["304", "504"].includes(value) || seam.width === undefined ? [] : [{ op: "remove", path: [...at, "width"] }]), value === undefined ? { op: "remove", path: [...at, "type"] } : { op: "set", path: [...at, "type"], value }] },
        }),
      }),
      usual.length > 0 && forms.adder(path, "seam_change", (name) => forms.added(path, { name, passes: 1 }), usual.map((/** @type {any} */ [name]) => name)),
      plan.edges.length > 0 && forms.button(say("seam_add"), () => forms.added(path, { name: freshName(plan.seams.map((/** @type {any} */ [name]) => name), "seams_one"), edges: [plan.edges[0]] }), { class: "quiet" }),
    ];
  }
  return { fill, picture: () => sketch("M6 14H54M6 30H54", "M10 22H16M20 22H26M30 22H36M40 22H46") };
}

/** @param {Kit} kit @returns {StepOf} */
export function makeSizes(kit) {
  const { desk, forms } = kit;
  function fill() {
    const plan = kit.plan(), path = ["sizes"], given = /** @type {any[]} */ (plan.data.sizes ?? []);
    const grows = /** @type {string[]} */ (kit.choices().belongs.size[plan.usual.panel.shape] ?? []);
    const keys = ["name", "copies", ...grows];
    const asPanel = (/** @type {string} */ key) => (plan.data.panel[key] === undefined ? {} : { usual: String(plan.data.panel[key]) });
    const copies = plan.data.copies;
    return [
      (given.length === 0 || copies !== undefined) && forms.rows(makeField({ path: ["copies"], kind: "number", word: "copies" }, plan, desk.change)),
      make("p", { class: "hint" }, say("sizes_hint")),
      ...forms.entries({
        path, model: "SizeSpec", few: keys, keys: () => keys, name: (size) => size.name, brief: (size) => say("sizes_brief", { n: size.copies ?? 1 }),
        about: () => Object.fromEntries(grows.map((key) => [key, asPanel(key)])),
      }),
      forms.adder(path, "size_add", () => {
        const name = LETTERS.find((letter) => !given.some((size) => size.name === letter)) ?? freshName(given.map((size) => size.name), "size_one");
        // with sizes the bags to make are their sum
        const first = given.length === 0 && copies !== undefined;
        forms.added(path, { name, ...(first ? { copies } : {}) }, first ? [{ op: "remove", path: ["copies"] }] : []);
      }),
      forms.optional(["class"], "ClassSpec", "class", () => ({ students: 12, machines: 4 })),
    ];
  }
  return { fill, picture: () => sketch("M4 40V26H18V40Z", "M22 40V18H38V40Z", "M42 40V8H58V40Z") };
}

/** @param {Kit} kit @returns {StepOf} */
export function makeCutting(kit) {
  const { desk, forms } = kit;
  function fill() {
    const plan = kit.plan(), path = ["cutting"], there = plan.data.cutting !== undefined;
    const pockets = [...path, "pockets"], given = /** @type {any[]} */ (plan.data.cutting?.pockets ?? []);
    return [
      makeField({ path, kind: "flag", word: "cutting", edits: (value) => [value ? { op: "set", path, value: {} } : { op: "remove", path }] }, plan, desk.change),
      ...(there ? [
        forms.rows(...["outer", "foam", "lining"].flatMap((cloth) => forms.fields("ClothWidthSpec", [...path, "cloth_width"], [cloth]))),
        make("h3", {}, say("pockets")),
        ...forms.entries({ path: pockets, model: "PocketSpec", few: ["name", "width", "height", "material", "count"], name: (pocket) => pocket.name }),
        forms.adder(pockets, "pocket_add", () => forms.added(pockets, { name: freshName(given.map((p) => p.name), "pockets_one"), width: roundly(plan, 150), height: roundly(plan, 120) })),
        forms.more("cutting", "CuttingSpec", path, ["gap", "lining", "one_way"]),
      ] : []),
    ];
  }
  return { fill, picture: () => sketch("M4 8H56V36H4Z", "M10 14H30V30H10Z", "M36 14H50V24H36Z") };
}

/** @param {Kit} kit @returns {StepOf} */
export function makeMachine(kit) {
  const { desk, forms } = kit;
  function fill() {
    const plan = kit.plan(), path = ["machine"], byHand = plan.usual.machine.guided === "hand";
    const own = (/** @type {string} */ key) => plan.data.machine?.[key] !== undefined;
    // what belongs to the other way of sewing goes with it
    const guided = (/** @type {string} */ value) => [{ op: "set", path: [...path, "guided"], value },
      ...(value === "machine" ? ["foot_kind", "throat"].filter(own).map((key) => ({ op: "remove", path: [...path, key] })) : [])];
    const few = [...(byHand ? ["foot_kind", "throat"] : []), "stitches_per_minute"];
    const rest = forms.keysOf("MachineSpec", ["guided", "hoop", "hoops", "formats", ...few]).filter((key) => own(key) || (byHand ? !OF_HOOPS.includes(key) : !BY_HAND.includes(key)));
    const spool = (/** @type {string} */ name, keys = ["weight", "metres"]) => forms.fields("SpoolSpec", ["thread", name], keys, Object.fromEntries(keys.map((key) => [key, { word: `${name}_${key}` }])));
    const spools = ["needle", "bobbin", "sewing"];
    return [
      forms.rows(makeField({ path: [...path, "guided"], kind: "choice", word: "guided", choices: ["machine", "hand"], must: true, edits: guided }, plan, desk.change),
        ...(byHand ? [] : own("hoops") ? [] : makePair({ path: [...path, "hoop"], words: ["hoop_width", "hoop_height"], same: true }, plan, desk.change)),
        ...forms.fields("MachineSpec", path, few)),
      ...(byHand && !own("hoops") ? [] : hoops()),
      forms.more("machine", "MachineSpec", path, rest, { foot: { word: "foot", wanted: () => Object.fromEntries(["left", "right", "front", "back"].map((side) => [side, roundly(plan, side === "back" ? 20 : 12)])) } }),
      make("h3", {}, say("thread")),
      forms.rows(...spool("needle"), ...spool("bobbin")),
      forms.away("thread", say("more"), [...spools.map((name) => `thread.${name}`), "thread.needle_share", "thread.waste"], () => [
        forms.rows(...spool("sewing"), ...spools.flatMap((name) => spool(name, ["tex", "price"])), ...forms.fields("ThreadSpec", ["thread"], ["needle_share", "waste"]))]),
      forms.more("swatch", "SwatchSpec", ["swatch"], forms.keysOf("SwatchSpec"), {}, say("swatch")),
    ];
  }

  /** The hoops that she owns, where there is more than one. */
  function hoops() {
    const plan = kit.plan(), path = ["machine", "hoops"], one = plan.data.machine?.hoop;
    if (plan.data.machine?.hoops !== undefined) return [forms.corners(path, "hoops")];
    return [one && forms.button(say("hoops_add"), () => {
      desk.open.add(pathName(path));
      desk.after('[data-path="machine.hoops[1][0]"]');
      const other = [[130, 180], [180, 300]].map((size) => size.map((mm) => roundly(plan, mm))).find((size) => size.join(" x ") !== [one].flat().join(" x "));
      desk.change([{ op: "remove", path: ["machine", "hoop"] }, { op: "set", path, value: [one, other] }], say("say_set", { name: say("hoops").toLowerCase() }), null);
    }, { class: "quiet" })];
  }
  return { fill, picture: () => sketch("M6 38H54V32H42V8H14V20H22V14H34V32H6Z", "M18 20V30") };
}

/** @param {Kit} kit @returns {StepOf} */
export function makePaper(kit) {
  const { act, forms } = kit;
  const files = makeFiles(act);
  function fill() {
    const plan = kit.plan();
    return [
      forms.rows(...forms.fields("SheetsSpec", ["sheets"], ["paper"], { paper: { must: true } })),
      forms.more("sheets", "SheetsSpec", ["sheets"], ["include"], { include: { all: true } }, say("sheets")),
      ...files(plan, kit.choices().formats),
      forms.more("formats", "MachineSpec", ["machine"], ["formats"], {}, say("formats_more")),
      forms.button(say("show_sheet"), act.sheet, { class: "quiet" }),
      plan.work.length > 0 && forms.away("work", say("work"), [], () => [make("ol", {}, ...plan.work.map((/** @type {any} */ s) => make("li", { lang: "en" }, make("strong", {}, s.title), " ", s.says.join(" "))))]),
    ];
  }
  return { fill, picture: () => sketch("M12 4H40L48 12V40H12Z", "M18 16H42M18 23H42M18 30H34") };
}
