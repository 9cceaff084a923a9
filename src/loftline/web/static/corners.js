// Corners, ends and places of what is unfolded on the job sheet: handled on the panel, by pointer and by keys.

import { draw } from "./dom.js";
import { pathName, valueAt } from "./fields.js";
import { lengthWords, written } from "./lengths.js";
import { say } from "./words.js";

/** @typedef {{path: (string | number)[], at: number[], name: string, key: string, removable: boolean}} Corner */

const WAIT_MS = 500;

/** Lists whose entries have places, and the keys of these. @type {[string[], string[]][]} */
const PLACED = [
  [["regions"], ["at"]],
  [["panel", "folds"], ["from", "to"]],
  [["panel", "parts"], ["at"]],
  [["fills"], ["start_at", "entry", "exit"]],
];
/** Lists whose entries have corners. */
const CORNERED = [["regions"], ["keep_outs"], ["panel", "darts"], ["panel", "holes"]];

/**
 * @param {any} panel
 * @param {{look: (edits: object[]) => void, change: (edits: object[], says: string) => Promise<void>, open: () => Set<string>}} act
 */
export function makeCorners(panel, act) {
  const all = draw("g", { class: "corner-handles" });
  panel.svg.append(all);
  /** @type {any} */ let plan = null;
  /** @type {Map<string, {g: any, corner: Corner}>} */ const shown = new Map();
  /** @type {{key: string, at: number[], off: number[], moved: boolean} | null} */ let drag = null;
  /** @type {number | undefined} */ let later;

  /** Where something lies in mm, if the file says it in two numbers and the size that is shown leaves it there. @param {(string | number)[]} path */
  function placed(path) {
    const given = valueAt(plan.data, path), used = valueAt(plan.usual, path);
    if (!Array.isArray(given) || !Array.isArray(used) || given.length !== 2 || typeof used[0] !== "number") return null;
    const same = given.every((one, n) => typeof one !== "number" || Math.abs(one * plan.unit_mm - used[n]) < 0.01);
    return same ? used : null;
  }

  /** @returns {Corner[]} */
  function corners() {
    const open = act.open();
    /** @type {Corner[]} */ const found = [];
    const add = (/** @type {(string | number)[]} */ path, /** @type {string} */ name, removable = false) => {
      const at = placed(path);
      if (at) found.push({ path, at, name, key: pathName(path), removable });
    };
    const ring = (/** @type {(string | number)[]} */ path, /** @type {string} */ name) => {
      const points = valueAt(plan.data, path);
      if (Array.isArray(points)) points.forEach((_, k) => add([...path, k], say("corner_of", { name, n: k + 1 }), points.length > 3));
    };
    const each = (/** @type {string[]} */ list, /** @type {(path: (string | number)[], name: string) => void} */ act_) => {
      const entries = valueAt(plan.data, list);
      if (Array.isArray(entries)) entries.forEach((entry, i) => open.has(`${pathName(list)} ${i}`) && act_([...list, i], entry.name ?? `${say(`${list[list.length - 1]}_one`)} ${i + 1}`));
    };
    for (const [list, keys] of PLACED) each(list, (path, name) => { for (const key of keys) add([...path, key], say(`corner_${key}`, { name })); });
    for (const list of CORNERED) each(list, (path, name) => ring(list[1] === "holes" ? path : [...path, "points"], name));
    if (open.has("panel.points")) ring(["panel", "points"], say("points"));
    if (open.has("panel.holes")) (plan.data.panel.holes ?? []).forEach((/** @type {any} */ _, /** @type {number} */ i) => ring(["panel", "holes", i], `${say("holes_one")} ${i + 1}`));
    return found;
  }

  function show(/** @type {any} */ answer) {
    plan = answer;
    refresh();
  }

  function refresh() {
    if (!plan) return;
    const seen = new Set();
    for (const corner of corners()) {
      seen.add(corner.key);
      let one = shown.get(corner.key);
      if (!one) {
        const g = draw("g", { class: "corner-handle", role: "button", tabindex: "0", "data-corner": corner.key });
        one = { g, corner };
        shown.set(corner.key, one);
        all.append(g);
        listen(one);
      }
      one.corner = drag?.key === corner.key ? { ...corner, at: drag.at } : corner;
      const [x, y] = one.corner.at;
      one.g.setAttribute("aria-label", say(corner.removable ? "corner_handle_removable" : "corner_handle", { name: corner.name, left: lengthWords(x, plan.units), below: lengthWords(y, plan.units) }));
    }
    for (const [key, { g }] of shown) if (!seen.has(key)) { g.remove(); shown.delete(key); }
    place();
  }

  function place() {
    for (const { g, corner } of shown.values()) {
      const [x, y] = panel.toPixels(corner.at);
      g.setAttribute("transform", `translate(${x.toFixed(1)},${y.toFixed(1)})`);
      if (!g.firstChild) g.append(draw("rect", { class: "catch", x: -12, y: -12, width: 24, height: 24 }), draw("rect", { class: "knob", x: -5, y: -5, width: 10, height: 10 }));
    }
  }

  const edits = (/** @type {Corner} */ corner, /** @type {number[]} */ at) => [{ op: "set", path: corner.path, value: at.map((mm) => Math.round((mm / plan.unit_mm) * 1e4) / 1e4) }];
  const round = (/** @type {number} */ mm) => written(mm, plan.units) * plan.unit_mm;

  function move(/** @type {{g: any, corner: Corner}} */ one, /** @type {number[]} */ at) {
    one.corner = { ...one.corner, at };
    place();
    act.look(edits(one.corner, at));
  }

  async function let_go(/** @type {{g: any, corner: Corner}} */ one) {
    const { corner } = one;
    await act.change(edits(corner, corner.at), say("say_move", { name: corner.name }));
    drag = null;
    refresh();
  }

  function listen(/** @type {{g: any, corner: Corner}} */ one) {
    const { g } = one;
    const where = (/** @type {PointerEvent} */ event) => {
      const box = panel.stage.getBoundingClientRect();
      return panel.toPanel(event.clientX - box.left, event.clientY - box.top);
    };
    g.addEventListener("pointerdown", (/** @type {PointerEvent} */ event) => {
      if (event.button !== 0) return;
      event.preventDefault();
      event.stopPropagation();
      g.focus({ preventScroll: true });
      g.setPointerCapture(event.pointerId);
      const [x, y] = where(event), { at, key } = one.corner;
      drag = { key, at, off: [at[0] - x, at[1] - y], moved: false };
      g.classList.add("held");
    });
    g.addEventListener("pointermove", (/** @type {PointerEvent} */ event) => {
      if (!drag || drag.key !== one.corner.key || !g.hasPointerCapture(event.pointerId)) return;
      const [x, y] = where(event);
      const at = [round(x + drag.off[0]), round(y + drag.off[1])];
      if (at[0] === drag.at[0] && at[1] === drag.at[1]) return;
      drag.at = at;
      drag.moved = true;
      move(one, at);
    });
    const drop = async (/** @type {PointerEvent} */ event) => {
      if (!drag || drag.key !== one.corner.key) return;
      g.classList.remove("held");
      if (g.hasPointerCapture(event.pointerId)) g.releasePointerCapture(event.pointerId);
      if (drag.moved) await let_go(one);
      drag = null;
    };
    g.addEventListener("pointerup", drop);
    g.addEventListener("pointercancel", drop);
    g.addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => {
      const { corner } = one;
      if (event.ctrlKey || event.metaKey) return;
      if (event.key === "Delete" && corner.removable) {
        event.preventDefault();
        void act.change([{ op: "remove", path: corner.path }], say("say_remove", { name: corner.name }));
        return;
      }
      const unit = plan.units === "in" ? 25.4 / 16 : 1, step = event.shiftKey ? 10 * unit : unit;
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      if (!way) return;
      event.preventDefault();
      const at = [corner.at[0] + step * way[0], corner.at[1] + step * way[1]];
      drag = { key: corner.key, at, off: [0, 0], moved: true };
      move(one, at);
      window.clearTimeout(later);
      later = window.setTimeout(() => void let_go(one), WAIT_MS);
    });
  }

  panel.onMoved(place);
  return { show, refresh, /** Give up a drag, as when the planner refuses. */ forget() { drag = null; refresh(); } };
}
