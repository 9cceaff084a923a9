// Putting the page together: what is asked of the planner, and who is told the answer.

import { ChangedElsewhere, ChangedMeanwhile, Lost, Refused, askFile, askPlan, askTable, endAsking } from "./ask.js";
import { makeBeside } from "./beside.js";
import { makeCorners } from "./corners.js";
import { askChanged, askCompare, showPicture } from "./dialogs.js";
import { draw, make } from "./dom.js";
import { keepPage } from "./drawings.js";
import { clearFaults, fieldAt, showFaults } from "./fields.js";
import { makeHandles } from "./handles.js";
import { stay } from "./here.js";
import { latest } from "./latest.js";
import { lengthWords } from "./lengths.js";
import { counted, within } from "./lists.js";
import { STIFF_STEPS, makePanel } from "./panel.js";
import { paintSmall, runColour } from "./picture.js";
import { designEdits, makeSheet } from "./sheet.js";
import { makeWalk } from "./walk.js";
import { whereWords } from "./where.js";
import { say, sayValue } from "./words.js";

const root = document.documentElement;
root.lang = say("lang");
const styles = getComputedStyle(root);
const colour = (/** @type {string} */ name) => styles.getPropertyValue(`--${name}`).trim();

const button = (/** @type {string} */ word, /** @type {() => void} */ go, /** @type {object} */ attributes = {}) => make("button", { type: "button", onclick: go, ...attributes }, say(word));
const undo = button("undo", () => step("undo"), { id: "undo", disabled: true });
const redo = button("redo", () => step("redo"), { id: "redo", disabled: true });
const save = button("save", () => void saveFile(), { id: "save", class: "main" });
const fileSays = make("span", { class: "file-says" });
const status = make("p", { class: "status", role: "status" });
const trouble = make("div", { class: "trouble", role: "alert" });
const title = make("h1", {}, "");
const sheetHost = make("div", { class: "steps" });
const numbers = make("section", { class: "numbers", "aria-label": say("numbers") });
const findings = make("section", { class: "look-at", "aria-label": say("look_at") });
const mind = make("section", { class: "mind", "aria-label": say("advice") });
const walkHost = make("section", { class: "walk", "aria-label": say("walk") });
const closedHost = make("div", { class: "closed-view", hidden: true, tabindex: 0, role: "group", "aria-label": say("view_closed") });
const key = make("ul", { class: "key", "aria-label": say("key") });
const turned = make("p", { class: "turned", hidden: true }, make("strong", {}, say("turned")), " ", say("turned_says"));

const panel = makePanel(colour);
const views = make("div", { class: "views", role: "radiogroup", "aria-label": say("view") });
for (const name of ["flat", "closed", "hoopings", "stiff"]) {
  views.append(make("label", { "data-view": name }, make("input", { type: "radio", name: "view", value: name, checked: name === "flat", onchange: () => void look(name) }), make("span", {}, say(`view_${name}`))));
}
const zooms = make("div", { class: "zooms" }, button("zoom_out", () => panel.zoom(0.8)), button("zoom_fit", () => panel.fit()), button("zoom_in", () => panel.zoom(1.25)));

document.body.append(
  make("header", { class: "top" }, button("skip_panel", () => panel.stage.focus(), { class: "skip" }), title, make("div", { class: "top-tools" }, fileSays, undo, redo, save)),
  make("main", {},
    make("section", { class: "sheet", "aria-label": say("sheet") }, sheetHost),
    make("section", { class: "bench", "aria-label": say("panel_view") },
      make("div", { class: "bench-top" }, views, zooms), make("div", { class: "stage-host" }, panel.stage, closedHost), turned, key, make("div", { class: "told" }, trouble, status), walkHost),
    make("div", { class: "beside", tabindex: 0, role: "group", "aria-label": say("beside") }, numbers, findings, mind)),
);

/** @type {import("./ask.js").Answer} */ let plan = /** @type {any} */ (null);
/** @type {any} */ let choices = null;
let view = "flat";

const sheet = makeSheet(sheetHost, {
  change: (/** @type {object[]} */ edits, /** @type {string} */ says, /** @type {HTMLElement | null} */ field) => void change(edits, says, field),
  fresh: (/** @type {string} */ shape) => void ask("fresh", { shape, says: say("say_new") }),
  size: (/** @type {string} */ size) => void ask("size", { size }),
  opened: () => corners.refresh(),
  download: (/** @type {import("./files.js").Wanted} */ wanted) => void download(wanted),
  drawing: (/** @type {{name: string, data: string, unit: string}} */ drawing, /** @type {object} */ place, /** @type {HTMLElement} */ field) => void giveDrawing(drawing, place, field),
  sheet: () => void showSheet(),
  compare: () => askCompare(choices, {
    compare: (patterns) => askPlan("compare", { patterns }),
    take: takeDesign,
    fail,
  }, colour),
  small,
}, colour);
const dragged = {
  look: (/** @type {object[]} */ edits) => { busy(true); looks.ask({ edits }); },
  change: async (/** @type {object[]} */ edits, /** @type {string} */ says) => { await looks.settle(); await change(edits, says, null); },
};
const corners = makeCorners(panel, { ...dragged, open: () => sheet.open });
const handles = makeHandles(panel, {
  ...dragged,
  remove: async (list, i, name) => {
    await change([{ op: "remove", path: [list, i] }], say("say_remove", { name }), null);
    if (document.activeElement === document.body) panel.stage.focus({ preventScroll: true });
  },
  choose: (list, i) => sheet.reveal(list, i),
});
const beside = makeBeside(numbers, findings, mind, {
  place: (at) => { void look("flat"); panel.point(at); panel.stage.focus({ preventScroll: true }); panel.stage.scrollIntoView({ block: "nearest" }); },
  field: (path) => {
    const field = fieldAt(sheetHost, path);
    if (!field) return;
    for (let up = field.parentElement; up; up = up.parentElement) if (up instanceof HTMLDetailsElement) up.open = true;
    const input = /** @type {HTMLElement} */ (field.matches("input, select") ? field : field.querySelector("input:checked, input, select") ?? field);
    input.focus();
    input.scrollIntoView({ block: "center" });
  },
});
const walk = makeWalk(walkHost, panel);

const looks = latest(
  (/** @type {object} */ question) => askPlan("look", question),
  (answer) => { show(answer, true); trouble.replaceChildren(); },
  (error) => fail(error),
);

function busy(/** @type {boolean} */ is) {
  root.dataset.state = is ? "busy" : "idle";
}

/** Take over an answer. @param {import("./ask.js").Answer} answer @param {boolean} quick */
function show(answer, quick) {
  plan = answer;
  panel.show(answer, quick);
  handles.show(answer);
  corners.show(answer);
  beside.show(answer, quick);
  if (quick) return;
  choices = answer.choices ?? choices;
  sheet.show({ ...answer, choices });
  walk.show(answer);
  keys();
  title.textContent = answer.name;
  document.title = say("title", { name: answer.name });
  file(answer);
  root.dataset.revision = String(Number(root.dataset.revision ?? 0) + 1);
  // what the bag is now may have no such view
  if ((view === "closed" && !plan.closed.length) || (view === "hoopings" && plan.hoopings.length < 2)) void look("flat");
  else if (view === "closed") void look("closed");
}

function file(/** @type {any} */ state) {
  undo.disabled = state.undo === null;
  redo.disabled = state.redo === null;
  undo.title = state.undo ? say("undo_what", { what: state.undo }) : "";
  redo.title = state.redo ? say("redo_what", { what: state.redo }) : "";
  root.dataset.unsaved = String(state.unsaved);
  fileSays.textContent = state.file === null ? say("no_file") : state.unsaved ? say("not_saved") : say("all_saved", { file: state.file });
}

/** @type {Promise<unknown>} */ let turn = Promise.resolve();
/** Of what the planner held when it last answered. @type {number | undefined} */ let revision;
/** Changes are made one after the other, each to what the one before it left. @param {(revision: number | undefined) => Promise<any>} act */
function inTurn(act) {
  const next = turn.then(() => act(revision)).then((answer) => {
    revision = answer?.revision ?? revision;
    return answer;
  });
  turn = next.catch(() => {});
  return next;
}
/** What another tab does to the same bag is shown here too. */
const tabs = new BroadcastChannel("loftline");
tabs.onmessage = () => { if (plan) void inTurn(again); };

/** Lists that a change on its way makes longer, shorter or orders anew: what the page shows of them is counted no more. @type {Set<(string | number)[]>} */
const counting = new Set();

/** @param {string} what @param {any} about @param {HTMLElement | null} [field] */
async function ask(what, about, field = null) {
  const lists = what === "change" ? counted(/** @type {import("./lists.js").Edit[]} */ (about.edits)) : what === "begin" || what === "size" ? [] : [[]];
  for (const list of lists) counting.add(list);
  busy(true);
  try {
    const answer = await inTurn((known) => askPlan(what, { ...about, revision: known }));
    if (what !== "begin") tabs.postMessage(null);
    trouble.replaceChildren();
    clearFaults(sheetHost);
    show(answer, false);
    tellFigures();
    return true;
  } catch (error) {
    fail(error, field);
    return false;
  } finally {
    for (const list of lists) counting.delete(list);
    busy(false);
  }
}

function tellFigures() {
  const figure = (/** @type {string} */ name) => sayValue(plan.figures.find(([word]) => word === name)?.[1] ?? "");
  const runs = figure("runs"), cuts = figure("cuts");
  status.textContent = say("planned", {
    stitches: figure("stitches"),
    runs: runs === "1" ? say("runs_one") : say("runs_many", { n: runs }),
    cuts: cuts === "0" ? say("cuts_none") : cuts === "1" ? say("cuts_one") : say("cuts_many", { n: cuts }),
  });
}

/** @param {object[]} edits @param {string} says @param {HTMLElement | null} field */
async function change(edits, says, field) {
  if (!edits.length) return;
  if (within(/** @type {import("./lists.js").Edit[]} */ (edits), counting)) { status.textContent = say("too_quick"); return; }
  const done = await ask("change", { edits, says }, field);
  if (!done && !field) { forget(); void inTurn(again); }
}

function forget() {
  handles.forget();
  corners.forget();
}

/** Show again what the planner holds, as after a change that it refused. */
async function again() {
  const said = [...trouble.childNodes];
  busy(true);
  try {
    const answer = await askPlan("begin");
    show(answer, false);
    trouble.replaceChildren(...said);
    return answer;
  } catch (error) {
    fail(error);
  } finally {
    busy(false);
  }
}

async function step(/** @type {string} */ which) {
  if (await ask(which, {})) status.textContent = say(which === "undo" ? "undone" : "redone");
}

/** @param {unknown} error @param {HTMLElement | null} [field] */
function fail(error, field = null) {
  busy(false);
  if (error instanceof ChangedElsewhere) {
    trouble.replaceChildren(make("strong", {}, say("elsewhere")));
    forget();
    void inTurn(again);
    return;
  }
  if (error instanceof Refused) {
    // without a field that asked, the sheet is made anew, and what stands in it would be lost
    const rest = field ? showFaults(sheetHost, error.faults, field) : error.faults;
    trouble.replaceChildren(...(rest.length ? [make("strong", {}, say("trouble")), make("ul", {}, ...rest.map((f) => make("li", {}, whereWords(f.where, f.message, plan?.data), make("span", { lang: "en" }, f.message))))] : []));
  } else {
    trouble.replaceChildren(make("strong", {}, say(error instanceof Lost ? lostWord() : "own_mistake")));
    if (!(error instanceof Lost)) console.error(error);
  }
}

const lostWord = () => (root.dataset.unsaved === "true" && plan?.undo !== null ? "lost_unsaved" : "lost");

/** What the planner says, with a capital and a full stop. */
const sentence = (/** @type {string} */ text) => `${text[0].toUpperCase()}${text.slice(1)}${/[.?!]$/.test(text) ? "" : "."}`;

async function saveFile(over = false) {
  busy(true);
  try {
    const state = await inTurn((known) => askTable("save", { over, revision: known }));
    tabs.postMessage(null);
    trouble.replaceChildren();
    file(state);
    status.textContent = say("saved_in", { file: state.file });
  } catch (error) {
    if (error instanceof ChangedMeanwhile) askChanged(error.message, error.gone, { over: () => void saveFile(true), take: () => void ask("load", { says: say("say_load") }) });
    else fail(error);
  } finally {
    busy(false);
  }
}

/** @param {{name: string, data: string, unit: string}} drawing @param {object} place a new bag, or a key @param {HTMLElement} field */
async function giveDrawing(drawing, place, field) {
  busy(true);
  try {
    const answer = await inTurn((known) => askPlan("drawing", { ...drawing, ...place, says: say("say_drawing"), revision: known }));
    tabs.postMessage(null);
    trouble.replaceChildren();
    clearFaults(sheetHost);
    show(answer, false);
    status.textContent = say("drawing_given", { file: answer.given });
  } catch (error) {
    if (!(error instanceof Refused)) { fail(error); return; }
    // whatever key a fault is about, it was this field that asked
    const told = document.getElementById((field.getAttribute("aria-describedby") ?? "").split(" ")[0]);
    if (told) {
      const unit = error.faults.some((f) => f.where.endsWith("drawn.unit"));
      told.textContent = unit ? say("drawing_no_unit") : error.faults.map((f) => sentence(f.message)).join(" ");
      told.lang = unit ? root.lang : "en";
    }
    field.setAttribute("aria-invalid", "true");
  } finally {
    busy(false);
  }
}

/** @param {import("./files.js").Wanted} wanted */
async function download(wanted) {
  if (!wanted.formats.length && !wanted.project) { status.textContent = say("choose_file"); return; }
  busy(true);
  try {
    const { blob, name, says } = await askFile("files", wanted);
    const address = URL.createObjectURL(blob);
    make("a", { href: address, download: name }).click();
    window.setTimeout(() => URL.revokeObjectURL(address), 10_000);
    status.textContent = [say("downloaded", { file: name }), ...says.map(sentence)].join(" ");
  } catch (error) {
    fail(error);
  } finally {
    busy(false);
  }
}

async function showSheet() {
  try {
    showPicture(say("sheet_title"), (await askFile("sheet", {})).blob, say("sheet_title"));
  } catch (error) {
    fail(error);
  }
}

async function look(/** @type {string} */ name) {
  view = name;
  for (const input of views.querySelectorAll("input")) /** @type {HTMLInputElement} */ (input).checked = /** @type {HTMLInputElement} */ (input).value === name;
  const closed = name === "closed";
  closedHost.hidden = !closed;
  panel.stage.classList.toggle("away", closed);
  panel.stage.inert = closed;
  zooms.classList.toggle("away", closed);
  if (!closed) panel.look(name);
  keys();
  if (!closed) { closedHost.replaceChildren(); return; }
  try {
    const shown = plan, faces = [];
    for (const [i, face] of shown.closed.entries()) {
      const { blob } = await askFile("sheet", { face: i });
      if (!blob.size) return; // the bag was changed meanwhile, and its new plan will be shown
      faces.push(closedFace(shown, face, URL.createObjectURL(blob)));
    }
    if (shown !== plan || view !== "closed") return;
    closedHost.replaceChildren(make("p", { class: "hint" }, say("closed_says")), make("div", { class: "faces" }, ...faces),
      ...shown.closed_notes.map((/** @type {string} */ note) => make("p", { class: "hint", lang: "en" }, note)));
  } catch (error) {
    fail(error);
  }
}

/** One face of the closed bag, with its words below. @param {any} shown the plan @param {[string, number, number, string]} face @param {string} address */
function closedFace(shown, [name, wide, high, parts], address) {
  const words = say("closed_face", { face: say(`${shown.strap ? "folded" : "closed"}_${name}`), width: lengthWords(wide, shown.units), height: lengthWords(high, shown.units) });
  return make("figure", { class: wide > 2.5 * high && "long" },
    make("img", { src: address, alt: say("closed_alt", { face: words }), onload: () => URL.revokeObjectURL(address) }),
    make("figcaption", {}, words, " ", make("span", { lang: "en" }, parts)));
}

/** The key that explains the picture, with what is in it. */
function keys() {
  if (!plan) return;
  for (const label of views.querySelectorAll("label")) label.hidden = (label.dataset.view === "closed" && !plan.closed.length) || (label.dataset.view === "hoopings" && plan.hoopings.length < 2);
  const sign = (/** @type {Node[]} */ ...shapes) => draw("svg", { viewBox: "0 0 34 14", "aria-hidden": "true" }, ...shapes);
  const line = (/** @type {object} */ look_) => draw("line", { x1: 2, y1: 7, x2: 32, y2: 7, ...look_ });
  const hatch = (/** @type {number} */ level) => {
    const step = 12 / 2 ** (Math.min(level, 4) - 1), shapes = [];
    for (let k = 1; k <= 13; k += step) shapes.push(draw("line", { x1: 1, x2: 33, y1: k, y2: k, stroke: runColour(0) }));
    if (level > 4) for (let k = 1; k <= 33; k += step) shapes.push(draw("line", { x1: k, x2: k, y1: 1, y2: 13, stroke: runColour(0) }));
    return shapes;
  };
  const has = (/** @type {number} */ kind) => plan.arrays.leg_kind.includes(kind);
  const letter = (/** @type {string} */ text) => sign(draw("text", { x: 17, y: 11, "text-anchor": "middle", class: "key-letter" }, text));
  const other = [
    has(1) && [sign(line({ stroke: runColour(0), "stroke-width": 1.4, "stroke-dasharray": "3 2.4" })), say("key_travel")],
    has(2) && [sign(line({ stroke: runColour(0), "stroke-width": 8, "stroke-opacity": 0.3 }), line({ stroke: runColour(0), "stroke-width": 2 })), say("key_double")],
    has(4) && [sign(draw("path", { d: "M11 7H23M17 1V13", stroke: runColour(0), "stroke-width": 1.4 })), say("key_registration")],
    has(5) && [sign(line({ stroke: runColour(0), "stroke-width": 1.4 })), say("key_basting")],
  ];
  const rows = view === "closed"
    ? [[sign(line({ stroke: runColour(0), "stroke-width": 2 })), say("key_shows")],
        plan.letters.length && [sign(draw("circle", { cx: 17, cy: 7, r: 6, class: "key-hidden" })), say("key_hidden")],
        ...plan.letters.map((/** @type {[string, string]} */ [sign_, name]) => [letter(sign_), name])]
    : view === "hoopings"
    ? [[sign(draw("rect", { x: 2, y: 2, width: 30, height: 10, fill: "none", stroke: runColour(0), "stroke-width": 2, "stroke-dasharray": "6 3" })), say("key_hoopings")], [sign(line({ stroke: runColour(0), "stroke-width": 2 })), say("key_line_hooped")], ...other]
    : view === "stiff"
    ? STIFF_STEPS.map((least, i) => [sign(...hatch(i + 1)), say(`key_stiff_${i + 1}`, { least, most: STIFF_STEPS[i + 1] ?? "" })])
    : [
        [sign(line({ stroke: runColour(0), "stroke-width": 2 })), say("key_line")],
        ...other,
        [sign(draw("circle", { cx: 17, cy: 7, r: 6, fill: "var(--paper)", stroke: runColour(0), "stroke-width": 2 })), say("key_start")],
        plan.folds.length && [sign(line({ class: "key-fold" })), say("key_fold")],
        plan.arrays.reach.length && [sign(draw("circle", { cx: 17, cy: 7, r: 6, class: "key-zone" }), draw("circle", { cx: 17, cy: 7, r: 3, class: "key-hard" })), say("key_zone")],
        plan.usual.panel.overhang > 0 && [sign(draw("rect", { x: 2, y: 2, width: 30, height: 10, class: "key-trim" })), say("key_trim")],
      ];
  turned.hidden = view === "closed" || plan.usual.quilting.sewn_from !== "back";
  key.replaceChildren(.../** @type {any[]} */ (rows).filter(Boolean).map(([s, words]) => make("li", {}, s, words)));
}

/** @typedef {{edits: object[], canvas: HTMLCanvasElement, name: string}} Small */
/** @type {Map<string, Small>} */ const wanted = new Map();
/** @type {WeakMap<Element, Small>} */ const unseen = new WeakMap();
let drawing = false;
const eye = new IntersectionObserver((entries) => {
  for (const { target, isIntersecting } of entries) {
    const one = unseen.get(target);
    if (!isIntersecting || !one) continue;
    eye.unobserve(target);
    wanted.set(one.name, one);
  }
  if (wanted.size && !drawing) { drawing = true; window.setTimeout(drawSmall, 350); }
});
/** Small pictures, once they come into view, one after the other, when nothing else is asked. @param {HTMLCanvasElement} canvas @param {object[]} edits @param {string} name */
function small(canvas, edits, name) {
  unseen.set(canvas, { edits, canvas, name });
  eye.observe(canvas);
}
/** @type {Map<string, {data: string, answer: any}>} */ const kept = new Map();
async function drawSmall() {
  const next = wanted.entries().next();
  if (next.done) { drawing = false; return; }
  if (root.dataset.state === "busy") { window.setTimeout(drawSmall, 200); return; }
  const [name, { edits, canvas }] = next.value;
  wanted.delete(name);
  // the design that it was for may be gone by now
  if (!canvas.isConnected) { window.setTimeout(drawSmall, 0); return; }
  const data = JSON.stringify([plan.data.panel, plan.data.hardware, plan.data.keep_outs, plan.data.fills, plan.size, edits]);
  try {
    const held = kept.get(name);
    const answer = held && held.data === data ? held.answer : await askPlan("design", { edits });
    kept.set(name, { data, answer });
    if (canvas.isConnected) paintSmall(canvas, answer, colour);
  } catch {
    canvas.closest("label")?.classList.add("cannot");
  }
  window.setTimeout(drawSmall, 0);
}

function takeDesign(/** @type {string} */ pattern) {
  const own = Object.keys(choices.patterns).includes(pattern);
  const edits = plan.data.fills.flatMap((/** @type {any} */ _, /** @type {number} */ i) => {
    if (own) return designEdits(plan, i, pattern, choices);
    const [edit] = designEdits(plan, i, "motif", choices);
    return [{ op: "set", path: ["fills", i], value: { ...(edit ? edit.value : plan.data.fills[i]), motif: pattern } }];
  });
  void change(edits, say("say_design"), null);
}

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey)) return;
  const typing = event.target instanceof HTMLInputElement && event.target.type === "text";
  const pressed = event.key.toLowerCase();
  if (pressed === "s") { event.preventDefault(); void saveFile(); }
  if (typing) return;
  if (pressed === "z") { event.preventDefault(); void step(event.shiftKey ? "redo" : "undo"); }
  if (pressed === "y") { event.preventDefault(); void step("redo"); }
});

window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => panel.paint());

keepPage(() => { status.textContent = say("drawing_beside"); });
stay(() => { endAsking(); fail(new Lost()); });
busy(true);
void ask("begin", {});
