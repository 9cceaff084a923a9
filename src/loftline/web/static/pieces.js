// The step of closures and keep-outs.

import { draw, make } from "./dom.js";
import { choiceWords } from "./fields.js";
import { trim } from "./lengths.js";
import { inUnits, roundly } from "./places.js";
import { freshName, renamed } from "./bag.js";
import { say } from "./words.js";

/** @typedef {import("./sheet.js").Kit} Kit */

/** Bags whose upper part comes down on another: there a closure has its other half. */
const CLOSE_ON_THEMSELVES = ["folded pouch", "flat sleeve"];

/** The middle of something of the list `key`, as it lies now, mm. @param {Kit} kit @param {string} key @param {number} i */
export function placeOf(kit, key, i) {
  const plan = kit.plan(), [x0, y0, x1, y1] = plan.outline_bounds;
  const all = key === "hardware" ? plan.pieces : key === "keep_outs" ? plan.zones : [];
  const found = all.find((/** @type {any} */ thing) => thing.index === i && !thing.mate_of);
  const at = plan.usual[key]?.[i]?.at;
  return found?.at ?? (Array.isArray(at) ? at : [(x0 + x1) / 2, (y0 + y1) / 2]);
}

/** Keys of a drawn zone by its shape, its shape itself left out. @param {Kit} kit @param {string} model @param {any} zone */
export function zoneKeys(kit, model, zone) {
  const mine = kit.choices().belongs.drawn_zone[zone.shape] ?? [];
  const all = new Set(Object.values(/** @type {Record<string, string[]>} */ (kit.choices().belongs.drawn_zone)).flat());
  return kit.forms.keysOf(model, ["shape"]).filter((key) => mine.includes(key) || !all.has(key));
}

/** A drawn zone to begin with. @param {Kit} kit @param {string} name @param {string} shape @param {number[]} at mm */
export function freshZone(kit, name, shape, at) {
  const plan = kit.plan(), [x, y] = at;
  const sizes = shape === "circle" ? { at: inUnits(plan, at), diameter: roundly(plan, 40) }
    : shape === "rectangle" ? { at: inUnits(plan, at), width: roundly(plan, 50), height: roundly(plan, 20) }
    : { points: [[x - 30, y - 20], [x + 30, y - 20], [x + 30, y + 20], [x - 30, y + 20]].map((corner) => inUnits(plan, corner)) };
  return { name, shape, ...sizes };
}

/** @param {Kit} kit */
export function makePieces(kit) {
  const { desk, forms, places } = kit;

  function fill() {
    const plan = kit.plan(), choices = kit.choices();
    return [
      make("h3", {}, say("closures")), ...pieces(),
      forms.adder(["hardware"], "add_hardware", addPiece, choices.kinds, "new-kind"),
      make("h3", {}, say("keep_outs")), make("p", { class: "hint" }, say("keep_outs_hint")),
      ...forms.entries({
        path: ["keep_outs"], model: "KeepOutSpec", few: ["name", "diameter", "width", "height", "points", "at", "clearance"],
        name: (_, i) => plan.usual.keep_outs[i].name, keys: (zone) => zoneKeys(kit, "KeepOutSpec", zone),
        about: (zone, i, path) => ({
          name: { edits: renamed(kit, [...path, "name"], plan.usual.keep_outs[i].name) },
          at: zone.shape === "polygon" ? [] : places.place([...path, "at"], zone.at, { here: () => placeOf(kit, "keep_outs", i) }),
        }),
      }),
      forms.adder(["keep_outs"], "add_keep_out", addZone, ["rectangle", "circle", "polygon"], "new-zone"),
    ];
  }

  function pieces() {
    const plan = kit.plan();
    return forms.entries({
      path: ["hardware"], model: "HardwareSpec", few: ["name", "kind", "diameter", "width", "height", "at", "mate"],
      name: (_, i) => plan.usual.hardware[i].name,
      brief: (entry, i) => (entry.kind !== plan.usual.hardware[i].name ? entry.kind : ""),
      keys: (_, i) => forms.keysOf("HardwareSpec", round(i) ? ["width", "height"] : ["diameter"]),
      about: (entry, i, path) => ({
        name: { edits: renamed(kit, [...path, "name"], plan.usual.hardware[i].name) },
        kind: { kind: "text", offers: kit.choices().kinds },
        sits: asUsual(entry, i, "sits"), fitted: asUsual(entry, i, "fitted"),
        diameter: usualSize(i, 0), width: usualSize(i, 0), height: usualSize(i, 1),
        at: places.place([...path, "at"], entry.at, { row: true, here: () => placeOf(kit, "hardware", i) }),
        mate: plan.folds.length || entry.mate ? places.otherHalf([...path, "mate"], entry.mate, () => mateOf(i)) : [],
      }),
      besides: (_, i, path) => {
        const piece = pieceOf(i);
        return [form(i, path), piece?.face_up && make("p", { class: "hint" }, say("face", { face: piece.face_up }))];
      },
    });
  }

  /** Where the other half lies, mm. */
  function mateOf(/** @type {number} */ i) {
    return kit.plan().pieces.find((/** @type {any} */ p) => p.index === i && p.mate_of)?.at ?? placeOf(kit, "hardware", i);
  }

  const pieceOf = (/** @type {number} */ i) => kit.plan().pieces.find((/** @type {any} */ p) => p.index === i && !p.mate_of);

  function round(/** @type {number} */ i) {
    const entry = kit.plan().data.hardware[i];
    return entry.width === undefined && (entry.diameter !== undefined || (pieceOf(i)?.round ?? true));
  }

  /** What its kind brings along, where the file does not say it. @param {any} entry @param {number} i @param {"sits" | "fitted"} key */
  const asUsual = (entry, i, key) => (entry[key] === undefined && pieceOf(i) ? { usual: choiceWords(key, pieceOf(i)[key]) } : {});

  /** The size that its kind brings along, in words. */
  function usualSize(/** @type {number} */ i, /** @type {number} */ side) {
    const size = pieceOf(i)?.size[side];
    return size === undefined ? {} : { usual: trim(size / kit.plan().unit_mm, kit.plan().units === "mm" ? 1 : 2) };
  }

  /** A round piece or one with corners: other keys belong to each. */
  function form(/** @type {number} */ i, /** @type {any[]} */ path) {
    const plan = kit.plan(), [wide, high] = pieceOf(i)?.size ?? [30, 20], id = `form-${i}`;
    const set = (/** @type {string} */ key, /** @type {number} */ mm) => ({ op: "set", path: [...path, key], value: roundly(plan, mm) });
    const drop = (/** @type {string} */ key) => ({ op: "remove", path: [...path, key] });
    const box = make("select", { id, onchange: () => {
      const edits = box.value === "circle" ? [drop("width"), drop("height"), set("diameter", wide)] : [drop("diameter"), set("width", wide), set("height", high)];
      desk.change(edits, say("say_set", { name: say("form").toLowerCase() }), box);
    } }, make("option", { value: "circle" }, say("is_circle")), make("option", { value: "rectangle" }, say("is_rectangle")));
    box.value = round(i) ? "circle" : "rectangle";
    return forms.rows(make("div", { class: "field choice" }, make("label", { for: id }, say("form")), make("span", { class: "box" }, box)));
  }

  function addPiece(/** @type {string} */ kind) {
    const plan = kit.plan(), names = plan.pieces.map((/** @type {any} */ p) => p.name);
    let n = 1;
    while (names.includes(`${kind} ${n}`)) n += 1;
    const [x0, y0, x1, y1] = plan.outline_bounds;
    // a little below the top: a flap is where closures begin
    const at = plan.parts.length > 1 ? [(x0 + x1) / 2, y1 - 0.12 * (y1 - y0)] : [(x0 + x1) / 2, (y0 + y1) / 2];
    const value = /** @type {any} */ ({ name: `${kind} ${n}`, kind, at: inUnits(plan, at) });
    if (CLOSE_ON_THEMSELVES.includes(plan.usual.panel.shape) && /magnet|snap|stud|lock/.test(kind)) value.mate = true;
    forms.added(["hardware"], value);
  }

  function addZone(/** @type {string} */ shape) {
    const plan = kit.plan(), [x0, y0, x1, y1] = plan.outline_bounds;
    const name = freshName(plan.zones.map((/** @type {any} */ z) => z.name), "keep_outs_one");
    forms.added(["keep_outs"], { ...freshZone(kit, name, shape, [(x0 + x1) / 2, y0 + 0.25 * (y1 - y0)]), clearance: roundly(plan, 3) });
  }

  function picture() {
    const svg = draw("svg", { viewBox: "0 0 60 44" });
    svg.append(draw("circle", { cx: 18, cy: 22, r: 14, class: "sketch zone-sketch" }), draw("circle", { cx: 18, cy: 22, r: 8, class: "sketch solid" }), draw("rect", { x: 38, y: 14, width: 18, height: 16, class: "sketch solid" }));
    return svg;
  }

  return { fill, picture };
}
