// The job sheet: one column in the order of work, each step with its picture and its fields.

import { draw, make } from "./dom.js";
import { makeField, pathName, valueAt } from "./fields.js";
import { trim } from "./lengths.js";
import { paintSmall } from "./picture.js";
import { has, say } from "./words.js";

const SIZES = /** @type {Record<string, string[]>} */ ({
  rectangle: ["width", "height", "corner_radius"],
  ellipse: ["width", "height"],
  base: ["width", "height", "corner_radius"],
  "folded pouch": ["width", "body", "flap", "flap_inset", "corner_radius"],
  "flat sleeve": ["width", "body"],
  "boxed tote side": ["width", "height", "depth"],
  "zip pouch side": ["width", "height", "corner_radius"],
  strap: ["length", "width"],
  polygon: ["corner_radius"],
  file: [],
});
const SITS = ["inside", "above", "below"];
const FITTED = ["before quilting", "after quilting", "after lining"];
const OF_PATTERN = /** @type {Record<string, object>} */ ({
  angle: { kind: "number" }, setting: { kind: "choice", choices: ["square", "on point", "diamond", "hanging diamond", "triangle"] },
  even_ends: { kind: "flag" }, uneven: { kind: "number" }, paired: { kind: "length" }, wave_height: { kind: "length" },
  wave_length: { kind: "length" }, at_keep_outs: { kind: "choice", choices: ["cut", "bend"] }, joined: { kind: "flag" },
  echo_of: { kind: "text" }, handwriting: { kind: "choice", choices: ["plain", "loops"] }, spacing_to: { kind: "length" },
  spacing_towards: { kind: "number" }, size: { kind: "length" },
});
const PLAIN = ["angle", "setting", "joined", "handwriting", "size"];

/** @param {HTMLElement} host @param {...(Node | string | null | undefined | false)} children */
function put(host, ...children) {
  host.replaceChildren(.../** @type {(Node | string)[]} */ (children.filter(Boolean)));
}

/**
 * @param {HTMLElement} sheet
 * @param {any} act what the sheet may ask for
 * @param {(name: string) => string} colour
 */
export function makeSheet(sheet, act, colour) {
  /** @type {any} */ let plan = null;
  /** @type {any} */ let choices = null;
  /** @type {Set<string>} */ const open = new Set();
  const steps = ["bag", "layers", "closures", "quilting", "machine", "paper"].map((name, i) => {
    const picture = make("span", { class: "step-picture", "aria-hidden": "true" });
    const body = make("div", { class: "step-body" });
    const section = make("section", { class: "step", id: `step-${name}`, "aria-labelledby": `title-${name}` },
      make("h2", { id: `title-${name}` }, make("span", { class: "step-number", "aria-hidden": "true" }, String(i + 1)), say(`step_${name}`)), picture, body);
    sheet.append(section);
    return { name, picture, body };
  });
  const [bag, layers, closures, quilting, machine, paper] = steps;
  /** @type {{body: string, key: string}[]} */ let before = [];

  const field = (/** @type {any} */ f) => makeField({ ...f, word: f.word ?? f.path[f.path.length - 1] }, plan, act.change);
  const rows = (/** @type {any[]} */ ...fields) => make("div", { class: "fields" }, ...fields.filter(Boolean).map((f) => (f instanceof Node ? f : field(f))));

  function more(/** @type {string} */ key, /** @type {any[]} */ ...fields) {
    const details = make("details", { class: "more" }, make("summary", {}, say("more")), rows(...fields));
    details.open = open.has(key) || fields.some((f) => f && f.path && valueAt(plan.data, f.path) !== undefined && open.has(`${key} seen`));
    details.addEventListener("toggle", () => (details.open ? open.add(key) : open.delete(key)));
    return details;
  }

  function button(/** @type {string} */ text, /** @type {() => void} */ go, /** @type {object} */ attributes = {}) {
    return make("button", { type: "button", onclick: go, ...attributes }, text);
  }

  function fillBag() {
    const shape = plan.usual.panel.shape;
    const shapes = make("select", { id: "new-shape" }, ...choices.shapes.map((/** @type {string} */ s) => make("option", { value: s }, s)));
    shapes.value = choices.shapes.includes(shape) ? shape : "rectangle";
    const darts = (plan.data.panel.darts ?? []).map((/** @type {any} */ dart, /** @type {number} */ i) => dartBox(dart, i));
    const canBox = ["folded pouch", "flat sleeve"].includes(shape);
    put(bag.body,
      rows(
        { path: ["name"], kind: "text" },
        { path: ["copies"], kind: "number" },
        plan.sizes.length > 0 && sizePicker(),
      ),
      make("p", { class: "shape" }, `${say("shape")}: `, make("strong", {}, shape)),
      rows(...(SIZES[shape] ?? []).map((key) => ({ path: ["panel", key], kind: "length" }))),
      make("p", { class: "hint" }, say("lengths_hint", { unit: plan.units })),
      plan.folds.length > 0 && make("p", { class: "hint" }, say("folds", { names: plan.folds.map((/** @type {any} */ f) => f.name).join(", ") })),
      rows({ path: ["panel", "seam_allowance"], kind: "length" }, { path: ["panel", "overhang"], kind: "length" }),
      darts.length > 0 && make("h3", {}, say("darts")), ...darts,
      canBox && !darts.length && button(say("add_dart"), () => act.change(["left", "right"].map((side) => ({ op: "add", path: ["panel", "darts"], value: { fold: "lower fold", side, depth: trimmed(40) } })), say("say_add", { name: say("darts").toLowerCase() }), null)),
      more("bag", { path: ["units"], kind: "choice", choices: ["mm", "cm", "in"], must: true }, { path: ["panel", "run_off"], kind: "length" }),
      make("div", { class: "start" }, make("label", { for: "new-shape" }, say("new_shape")), shapes, button(say("new_shape_go"), () => act.fresh(shapes.value)), make("span", { class: "hint" }, say("new_shape_hint"))),
    );
    bag.picture.replaceChildren(outline());
  }

  const trimmed = (/** @type {number} */ mm) => (plan.units === "in" ? Math.round((mm / 25.4) * 8) / 8 : mm / plan.unit_mm);

  function sizePicker() {
    const box = make("select", { id: "size-shown", onchange: () => act.size(box.value) }, ...plan.sizes.map((/** @type {string} */ s) => make("option", { value: s }, s)));
    box.value = plan.size;
    return make("div", { class: "field choice" }, make("label", { for: "size-shown" }, say("size_shown")), make("span", { class: "box" }, box));
  }

  function dartBox(/** @type {any} */ dart, /** @type {number} */ i) {
    const keys = Object.keys(dart).filter((k) => k !== "name" && typeof dart[k] !== "object" && has(`dart_${k}`));
    const name = dart.name ?? `${say("darts")} ${i + 1}`;
    return make("fieldset", { class: "entry" }, make("legend", {}, name),
      rows(...keys.map((k) => ({ path: ["panel", "darts", i, k], word: `dart_${k}`, kind: typeof dart[k] === "number" ? "length" : "text" }))),
      button(say("remove"), () => act.remove(["panel", "darts"], i, name), { "aria-label": say("remove_what", { name }) }));
  }

  function outline() {
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

  function fillLayers() {
    put(layers.body,
      rows(
        { path: ["layers", "outer", "kind"], word: "outer_kind", kind: "text" }, { path: ["layers", "outer", "thickness"], word: "outer_thickness", kind: "length" },
        { path: ["layers", "foam", "kind"], word: "foam_kind", kind: "text" }, { path: ["layers", "foam", "thickness"], word: "foam_thickness", kind: "length" },
        { path: ["layers", "lining", "kind"], word: "lining_kind", kind: "text" },
      ),
      more("layers", { path: ["layers", "foam_to"], kind: "choice", choices: ["overhang", "outline", "seam line"], says: (/** @type {string} */ v) => (v === "overhang" ? say("overhang").toLowerCase() : v) },
        { path: ["layers", "sewn_thickness"], kind: "length" }, { path: ["layers", "contents"], kind: "length" }),
    );
    const svg = draw("svg", { viewBox: "0 0 60 44" });
    for (const [y, h, name] of [[6, 5, "outer"], [13, 16, "foam"], [31, 4, "lining"]]) svg.append(draw("rect", { x: 4, y, width: 52, height: h, rx: 2, class: `sketch layer-${name}` }));
    layers.picture.replaceChildren(svg);
  }

  function fillClosures() {
    const pieces = (plan.data.hardware ?? []).map((/** @type {any} */ entry, /** @type {number} */ i) => pieceBox(entry, i));
    const zones = (plan.data.keep_outs ?? []).map((/** @type {any} */ entry, /** @type {number} */ i) => zoneBox(entry, i));
    const kind = make("select", { id: "new-kind" }, ...choices.kinds.map((/** @type {string} */ k) => make("option", { value: k }, k)));
    const shape = make("select", { id: "new-zone" }, ...["rectangle", "circle"].map((k) => make("option", { value: k }, say(`shape_${k}`))));
    put(closures.body,
      make("h3", {}, say("closures")), ...pieces,
      make("div", { class: "start" }, make("label", { for: "new-kind" }, say("add_hardware")), kind, button(say("add"), () => addPiece(kind.value), { "aria-label": say("add_hardware") })),
      make("h3", {}, say("keep_outs")), make("p", { class: "hint" }, say("keep_outs_hint")), ...zones,
      make("div", { class: "start" }, make("label", { for: "new-zone" }, say("add_keep_out")), shape, button(say("add"), () => addZone(shape.value), { "aria-label": say("add_keep_out") })),
    );
    const svg = draw("svg", { viewBox: "0 0 60 44" });
    svg.append(draw("circle", { cx: 18, cy: 22, r: 14, class: "sketch zone-sketch" }), draw("circle", { cx: 18, cy: 22, r: 8, class: "sketch solid" }), draw("rect", { x: 38, y: 14, width: 18, height: 16, class: "sketch solid" }));
    closures.picture.replaceChildren(svg);
  }

  const middle = () => {
    const [x0, y0, x1, y1] = plan.outline_bounds;
    // a little above the middle of the panel's last part: a flap is where closures begin
    return plan.parts.length > 1 ? [(x0 + x1) / 2, y1 - 0.12 * (y1 - y0)] : [(x0 + x1) / 2, (y0 + y1) / 2];
  };
  const told = (/** @type {number[]} */ at) => at.map((mm) => Math.round((mm / plan.unit_mm) * 100) / 100);

  function addPiece(/** @type {string} */ kind) {
    const names = plan.pieces.map((/** @type {any} */ p) => p.name);
    let n = 1;
    while (names.includes(`${kind} ${n}`)) n += 1;
    const value = /** @type {any} */ ({ name: `${kind} ${n}`, kind, at: told(middle()) });
    if (plan.folds.length && /magnet|snap|stud|lock/.test(kind)) value.mate = true;
    act.change([{ op: "add", path: ["hardware"], value }], say("say_add", { name: value.name }), null);
  }

  function addZone(/** @type {string} */ shape) {
    const n = (plan.data.keep_outs ?? []).length + 1;
    const [x0, y0, x1, y1] = plan.outline_bounds;
    const value = /** @type {any} */ ({ name: `keep-out ${n}`, shape, at: told([(x0 + x1) / 2, y0 + 0.25 * (y1 - y0)]), clearance: trimmed(3) });
    Object.assign(value, shape === "circle" ? { diameter: trimmed(30) } : { width: trimmed(50), height: trimmed(20) });
    act.change([{ op: "add", path: ["keep_outs"], value }], say("say_add", { name: value.name }), null);
  }

  function place(/** @type {any} */ entry, /** @type {any[]} */ path) {
    if (Array.isArray(entry.at)) return [{ path: [...path, "at", 0], word: "place_x", kind: "length" }, { path: [...path, "at", 1], word: "place_y", kind: "length" }];
    if (entry.at && entry.at.from !== undefined) return [make("p", { class: "hint" }, say("at_edge", { edge: [entry.at.from].flat().join(", ") })), ...(Array.isArray(entry.at.distance) ? [] : [{ path: [...path, "at", "distance"], word: "dart_length", kind: "length" }])];
    return [make("p", { class: "hint" }, say("at_row"))];
  }

  function entryBox(/** @type {string} */ list, /** @type {number} */ i, /** @type {string} */ name, /** @type {any[]} */ ...parts) {
    const key = `${list} ${i}`;
    const details = make("details", { class: "entry", "data-entry": key }, make("summary", {}, name), ...parts,
      button(say("remove"), () => act.remove([list], i, name), { "aria-label": say("remove_what", { name }) }));
    details.open = open.has(key);
    details.addEventListener("toggle", () => (details.open ? open.add(key) : open.delete(key)));
    return details;
  }

  function pieceBox(/** @type {any} */ entry, /** @type {number} */ i) {
    const path = ["hardware", i];
    const used = plan.usual.hardware[i];
    const round = used.width === null && (used.diameter !== null || entry.width === undefined);
    const piece = plan.pieces.find((/** @type {any} */ p) => p.index === i && !p.mate_of);
    return entryBox("hardware", i, used.name,
      rows(
        { path: [...path, "name"], kind: "text" }, { path: [...path, "kind"], kind: "text", offers: choices.kinds },
        ...(round ? [{ path: [...path, "diameter"], kind: "length" }] : [{ path: [...path, "width"], kind: "length" }, { path: [...path, "height"], kind: "length" }]),
        ...place(entry, path),
        typeof entry.mate !== "object" && { path: [...path, "mate"], kind: "flag" },
        { path: [...path, "sits"], kind: "choice", choices: SITS, says: (/** @type {string} */ v) => v },
        { path: [...path, "fitted"], kind: "choice", choices: FITTED },
        { path: [...path, "clearance"], kind: "length" },
      ),
      piece && piece.face_up && make("p", { class: "hint" }, say("face", { face: piece.face_up })));
  }

  function zoneBox(/** @type {any} */ entry, /** @type {number} */ i) {
    const path = ["keep_outs", i];
    const sizes = entry.shape === "circle" ? ["diameter"] : entry.shape === "rectangle" ? ["width", "height"] : [];
    return entryBox("keep_outs", i, plan.usual.keep_outs[i].name,
      rows({ path: [...path, "name"], kind: "text" }, ...sizes.map((key) => ({ path: [...path, key], kind: "length" })),
        ...(entry.shape === "polygon" ? [] : place(entry, path)), { path: [...path, "clearance"], kind: "length" }));
  }

  function fillQuilting() {
    const fills = plan.data.fills.map((/** @type {any} */ fill, /** @type {number} */ i) => fillBox(fill, i));
    const free = [...plan.parts, ...plan.regions].filter((p) => !plan.data.fills.some((/** @type {any} */ f) => f.part === p));
    put(quilting.body,
      ...fills,
      free.length > 0 && plan.parts.length > 0 && button(say("add_design"), () => addDesign(free[0]), { class: "quiet" }),
      rows({ path: ["quilting", "stitch_length"], kind: "length" }, { path: ["quilting", "edge"], kind: "choice", choices: ["overhang", "seam allowance", "none"], must: true, says: (/** @type {string} */ v) => ({ overhang: "beyond the cut edge", none: "nowhere along the edge" }[v] ?? `in the ${v}`) },
        { path: ["quilting", "order"], kind: "choice", choices: choices.orders, must: true },
        (plan.usual.quilting.order === "from an edge" || plan.data.quilting?.from_edge) && { path: ["quilting", "from_edge"], kind: "text" }),
      button(say("compare"), act.compare, { class: "quiet" }),
    );
    const small = make("canvas", { class: "small" });
    quilting.picture.replaceChildren(small);
    queueMicrotask(() => paintSmall(small, plan, colour));
  }

  function addDesign(/** @type {string} */ part) {
    // what covered all of it covers the rest, part by part
    const all = plan.data.fills.findIndex((/** @type {any} */ f) => f.part === undefined || f.part === "all");
    const edits = [];
    if (all >= 0 && plan.parts.length) {
      const [first, ...others] = plan.parts;
      edits.push({ op: "set", path: ["fills", all, "part"], value: first });
      for (const other of others) edits.push({ op: "add", path: ["fills"], value: { ...plan.data.fills[all], part: other } });
    } else edits.push({ op: "add", path: ["fills"], value: { part, pattern: "channel", angle: 45, spacing: trimmed(12) } });
    act.change(edits, say("say_design"), null);
  }

  function fillBox(/** @type {any} */ fill, /** @type {number} */ i) {
    const path = ["fills", i];
    const used = plan.usual.fills[i];
    const keys = choices.patterns[fill.pattern] ?? [];
    const known = keys.filter((/** @type {string} */ k) => OF_PATTERN[k]);
    const one = (/** @type {string} */ k) => ({ path: [...path, k], ...OF_PATTERN[k] });
    const spaced = fill.pattern !== "motif";
    const angled = fill.pattern === "grid" && (fill.setting !== undefined || Array.isArray(fill.angle));
    return make("fieldset", { class: "entry design", "data-entry": `fills ${i}` },
      make("legend", {}, plan.data.fills.length > 1 ? `${say("design_n", { n: i + 1 })}: ${used.part}` : say("designs")),
      pictures(fill, i),
      rows(
        plan.parts.length > 0 && { path: [...path, "part"], word: "design_part", kind: "choice", choices: ["all", ...plan.parts, ...plan.regions], must: true },
        spaced && { path: [...path, "spacing"], kind: "length" },
        ...known.filter((/** @type {string} */ k) => PLAIN.includes(k) && !(k === "angle" && angled)).map(one),
        fill.pattern === "motif" && { path: [...path, "motif"], kind: "choice", choices: choices.motifs, must: true },
        fill.pattern === "meander" && { path: ["seed"], kind: "number" },
      ),
      more(`fills ${i}`, ...known.filter((/** @type {string} */ k) => !PLAIN.includes(k)).map(one),
        plan.closed.length > 0 && { path: [...path, "match"], kind: "choice", choices: ["closed", "spacing"], says: (/** @type {string} */ v) => (v === "closed" ? "drawn on the closed bag" : "by a little more or less spacing") }),
      plan.data.fills.length > 1 && button(say("remove"), () => act.remove(["fills"], i, say("design_n", { n: i + 1 })), { "aria-label": say("remove_what", { name: say("design_n", { n: i + 1 }) }) }));
  }

  /** Small pictures of the maker's own panel, one for each design. */
  function pictures(/** @type {any} */ fill, /** @type {number} */ i) {
    const group = make("div", { class: "designs", role: "radiogroup", "aria-label": say("designs"), "data-path": pathName(["fills", i, "pattern"]) });
    for (const pattern of Object.keys(choices.patterns)) {
      const canvas = make("canvas", { class: "small" });
      const input = make("input", { type: "radio", name: `pattern-${i}`, value: pattern, checked: pattern === fill.pattern, onchange: () => act.change(designEdits(plan, i, pattern, choices), say("say_design"), null) });
      group.append(make("label", { class: "design-choice" }, input, canvas, make("span", {}, pattern)));
      act.small(canvas, designEdits(plan, i, pattern, choices), `${i} ${pattern}`);
    }
    return group;
  }

  function fillMachine() {
    const byHand = plan.usual.machine.guided === "hand";
    put(machine.body,
      rows(
        { path: ["machine", "guided"], kind: "choice", choices: ["machine", "hand"], must: true, says: (/** @type {string} */ v) => say(`guided_${v}`) },
        ...(byHand
          ? [{ path: ["machine", "foot_kind"], kind: "choice", choices: ["walking foot", "free-motion foot"] }, { path: ["machine", "throat"], kind: "length" }]
          : hoopFields()),
        { path: ["machine", "stitches_per_minute"], kind: "number" },
        { path: ["thread", "needle", "weight"], word: "needle_weight", kind: "text" }, { path: ["thread", "bobbin", "weight"], word: "bobbin_weight", kind: "text" },
        { path: ["thread", "needle", "metres"], word: "needle_metres", kind: "number" }, { path: ["thread", "bobbin", "metres"], word: "bobbin_metres", kind: "number" },
      ),
      more("machine", { path: ["machine", "longest_stitch"], kind: "length" }, { path: ["machine", "at_cuts"], kind: "choice", choices: ["trim", "stop"] }, { path: ["thread", "waste"], kind: "number" }),
    );
    const svg = draw("svg", { viewBox: "0 0 60 44" });
    svg.append(draw("path", { d: "M6 38H54V32H42V8H14V20H22V14H34V32H6Z", class: "sketch" }), draw("path", { d: "M18 20V30", class: "sketch" }));
    machine.picture.replaceChildren(svg);
  }

  /** Both sides of the hoop belong to one key. */
  function hoopFields() {
    const hoop = plan.data.machine?.hoop;
    const box = (/** @type {number} */ n) => {
      const word = n ? "hoop_height" : "hoop_width";
      const f = makeField({ path: ["machine", "hoop", n], kind: "length", word }, plan, (edits, says, at) => {
        const value = /** @type {any} */ (edits[0]).value;
        if (value === undefined) act.change([{ op: "remove", path: ["machine", "hoop"] }], says, at);
        else if (hoop) act.change(edits, says, at);
        else act.change([{ op: "set", path: ["machine", "hoop"], value: [value, value] }], says, at);
      });
      return f;
    };
    return [box(0), box(1)];
  }

  function fillPaper() {
    const chosen = new Set(open.has("formats chosen") ? [...open].filter((k) => k.startsWith("format ")).map((k) => k.slice(7)) : [...plan.usual.machine.formats, "svg"]);
    const boxes = choices.formats.map((/** @type {string} */ ext) => {
      const id = `format-${ext}`;
      const box = make("input", { type: "checkbox", id, value: ext, checked: chosen.has(ext), onchange: () => { open.add("formats chosen"); for (const f of chosen) open.add(`format ${f}`); box.checked ? open.add(`format ${ext}`) : open.delete(`format ${ext}`); box.checked ? chosen.add(ext) : chosen.delete(ext); } });
      return make("div", { class: "field flag" }, box, make("label", { for: id }, say(`file_${ext}`)));
    });
    put(paper.body,
      make("fieldset", { class: "plain" }, make("legend", {}, say("files")), plan.sizes.length > 0 && make("p", { class: "hint" }, say("files_size", { size: plan.size })), ...boxes),
      make("div", { class: "start" }, button(say("download"), () => act.download([...chosen]), { class: "main", id: "download" }), button(say("show_sheet"), act.sheet, { class: "quiet" })),
      plan.work.length > 0 && listed("work", make("ol", {}, ...plan.work.map((/** @type {any} */ s) => make("li", {}, make("strong", {}, s.title), " ", s.says.join(" "))))),
    );
    const svg = draw("svg", { viewBox: "0 0 60 44" });
    svg.append(draw("path", { d: "M12 4H40L48 12V40H12Z", class: "sketch" }), draw("path", { d: "M18 16H42M18 23H42M18 30H34", class: "sketch" }));
    paper.picture.replaceChildren(svg);
  }

  function listed(/** @type {string} */ word, /** @type {Node} */ list) {
    const details = make("details", { class: "more" }, make("summary", {}, say(word)), list);
    details.open = open.has(word);
    details.addEventListener("toggle", () => (details.open ? open.add(word) : open.delete(word)));
    return details;
  }

  /** Fields anew from the plan, the one in use left as it is. */
  function show(/** @type {any} */ answer) {
    plan = answer;
    choices ??= answer.choices;
    const used = /** @type {HTMLElement | null} */ (document.activeElement);
    const inside = used && sheet.contains(used) ? used : null;
    const path = inside?.getAttribute("data-path"), id = inside?.id, group = /** @type {any} */ (inside)?.name, words = inside?.getAttribute("aria-label") ?? inside?.textContent;
    const selection = inside instanceof HTMLInputElement && inside.type === "text" ? [inside.selectionStart, inside.selectionEnd] : null;
    for (const fill of [fillBag, fillLayers, fillClosures, fillQuilting, fillMachine, fillPaper]) fill();
    if (!inside || inside.isConnected) return;
    const again = /** @type {any} */ (
      (path && sheet.querySelector(`[data-path="${CSS.escape(path)}"]`)) || (group && sheet.querySelector(`input[name="${CSS.escape(group)}"]:checked`)) ||
      (id && !/^e\d+$/.test(id) && document.getElementById(id)) || [...sheet.querySelectorAll("button, summary")].find((b) => (b.getAttribute("aria-label") ?? b.textContent) === words));
    again?.focus({ preventScroll: true });
    if (selection && again instanceof HTMLInputElement && again.type === "text") again.setSelectionRange(selection[0], selection[1]);
  }

  return {
    show,
    /** Open an entry of the sheet and bring it into view. @param {string} list @param {number} index */
    reveal(list, index) {
      const entry = /** @type {any} */ (sheet.querySelector(`[data-entry="${list} ${index}"]`));
      if (!entry) return;
      for (const other of sheet.querySelectorAll("[data-entry].chosen")) other.classList.remove("chosen");
      if ("open" in entry) { entry.open = true; open.add(`${list} ${index}`); }
      entry.classList.add("chosen");
      entry.scrollIntoView({ block: "nearest" });
    },
  };
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
