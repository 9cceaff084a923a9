// What is handled on the panel: closures and keep-outs, by pointer and by keys.

import { draw } from "./dom.js";
import { lengthWords, written } from "./lengths.js";
import { say } from "./words.js";

const SNAP_PX = 7;
const WAIT_MS = 500;

/**
 * @param {any} panel
 * @param {{look: (edits: object[]) => void, change: (edits: object[], says: string) => Promise<void>, remove: (key: string, index: number, name: string) => void, choose: (key: string, index: number) => void}} act
 */
export function makeHandles(panel, act) {
  const guides = draw("g", { class: "guides" });
  const all = draw("g", {});
  panel.svg.append(guides, all);
  /** @type {any} */ let plan = null;
  /** @type {Map<string, any>} */ const shown = new Map();
  /** @type {any} */ let drag = null;
  /** @type {number | undefined} */ let later;

  function things() {
    return [
      ...plan.pieces.map((/** @type {any} */ p) => ({ ...p, list: "hardware", id: `hardware ${p.name}` })),
      ...plan.zones.map((/** @type {any} */ z) => ({ ...z, list: "keep_outs", id: `keep-out ${z.name}` })),
    ];
  }

  function spoken(/** @type {any} */ thing) {
    const words = { name: thing.name, kind: thing.kind ?? say("keep_outs"), left: lengthWords(thing.at[0], plan.units), below: lengthWords(thing.at[1], plan.units) };
    if (thing.mate_of && !thing.moves) return say("handle_mate", words);
    return say(thing.moves ? "handle" : "handle_still", words);
  }

  function show(/** @type {any} */ answer) {
    plan = answer;
    const seen = new Set();
    for (const thing of things()) {
      seen.add(thing.id);
      let at = shown.get(thing.id);
      if (!at) {
        const g = draw("g", { class: "handle", role: thing.moves ? "button" : "img", "data-name": thing.name });
        at = { g, thing };
        shown.set(thing.id, at);
        all.append(g);
        listen(at);
      }
      if (drag && drag.id === thing.id) at.thing = { ...thing, at: drag.at };
      else at.thing = thing;
      at.g.setAttribute("aria-label", spoken(at.thing));
      if (thing.moves) at.g.setAttribute("tabindex", "0");
      at.g.classList.toggle("still", !thing.moves);
      at.g.classList.toggle("drawn", thing.shape === "polygon");
      at.g.classList.toggle("later", thing.fitted !== undefined && thing.fitted !== "before quilting");
      at.g.classList.toggle("other-half", Boolean(thing.mate_of));
    }
    for (const [id, { g }] of shown) if (!seen.has(id)) { g.remove(); shown.delete(id); }
    place();
  }

  function place() {
    if (!plan) return;
    for (const { g, thing } of shown.values()) {
      const [x, y] = panel.toPixels(thing.at);
      const w = thing.size[0] * panel.view.scale, h = thing.size[1] * panel.view.scale;
      g.setAttribute("transform", `translate(${x.toFixed(1)},${y.toFixed(1)})`);
      const reach = [Math.max(w, 24) / 2, Math.max(h, 24) / 2];
      const catcher = draw("rect", { class: "catch", x: -reach[0], y: -reach[1], width: 2 * reach[0], height: 2 * reach[1] });
      const shape = thing.round
        ? draw("ellipse", { class: "hard", rx: w / 2, ry: h / 2 })
        : draw("rect", { class: "hard", x: -w / 2, y: -h / 2, width: w, height: h });
      const title = draw("title", {}, thing.name);
      const cross = draw("path", { class: "centre", d: "M-4 0H4M0 -4V4" });
      g.replaceChildren(title, catcher, shape, cross);
    }
    tell();
  }

  /** Distances beside what is moved. */
  function tell() {
    for (const old of guides.querySelectorAll(".distance")) old.remove();
    if (!drag) return;
    const thing = shown.get(drag.id)?.thing;
    if (!thing) return;
    const [x, y] = panel.toPixels(thing.at);
    const far = plan.pieces.find((/** @type {any} */ p) => `hardware ${p.name}` === drag.id);
    const lines = [`${lengthWords(thing.at[0], plan.units)}, ${lengthWords(thing.at[1], plan.units)}`];
    if (far && far.from_cut !== null) {
      lines.push(say("to_cut", { cut: lengthWords(far.from_cut, plan.units) }));
      if (far.from_finished !== null) lines.push(say("to_finished", { finished: lengthWords(far.from_finished, plan.units) }));
    }
    const wide = 14 + 6.6 * Math.max(...lines.map((l) => l.length));
    const room = panel.stage.getBoundingClientRect();
    const left = x + 20 + wide < room.width ? x + 20 : Math.max(28, x - 20 - wide);
    const box = draw("g", { class: "distance", transform: `translate(${left},${Math.max(44, y - 34)})` });
    box.append(draw("rect", { x: 0, y: -14, width: wide, height: 18 * lines.length + 4, rx: 4 }));
    lines.forEach((line, i) => box.append(draw("text", { x: 6, y: 18 * i }, line)));
    guides.append(box);
  }

  /** Centre lines and edges that draw a piece to them. */
  function snapped(/** @type {number[]} */ at) {
    const [x0, y0, x1, y1] = plan.outline_bounds;
    const others = things().filter((t) => t.id !== drag.id && t.moves);
    const xs = [(x0 + x1) / 2, x0 + plan.usual.panel.seam_allowance, x1 - plan.usual.panel.seam_allowance, ...others.map((t) => t.at[0])];
    const ys = [y0 + plan.usual.panel.seam_allowance, y1 - plan.usual.panel.seam_allowance, ...others.map((t) => t.at[1]),
      ...plan.folds.map((/** @type {any} */ f) => f.line[1])];
    const near = (/** @type {number} */ v, /** @type {number[]} */ of) => {
      const best = of.reduce((a, b) => (Math.abs(b - v) < Math.abs(a - v) ? b : a));
      return Math.abs(best - v) * panel.view.scale <= SNAP_PX ? best : null;
    };
    const sx = near(at[0], xs), sy = near(at[1], ys);
    for (const old of guides.querySelectorAll("line")) old.remove();
    if (sx !== null) {
      const [x] = panel.toPixels([sx, 0]);
      guides.append(draw("line", { x1: x, x2: x, y1: 0, y2: 5000 }));
    }
    if (sy !== null) {
      const [, y] = panel.toPixels([0, sy]);
      guides.append(draw("line", { x1: 0, x2: 5000, y1: y, y2: y }));
    }
    return [sx ?? round(at[0]), sy ?? round(at[1])];
  }

  const round = (/** @type {number} */ mm) => written(mm, plan.units) * plan.unit_mm;

  function edits(/** @type {any} */ thing, /** @type {number[]} */ at) {
    const value = at.map((mm) => Math.round((mm / plan.unit_mm) * 1e4) / 1e4);
    const path = thing.mate_of ? [thing.list, thing.index, "mate", "at"] : [thing.list, thing.index, "at"];
    return [{ op: "set", path, value }];
  }

  function listen(/** @type {any} */ entry) {
    const { g } = entry;
    g.addEventListener("pointerdown", (/** @type {PointerEvent} */ event) => {
      const thing = entry.thing;
      if (event.button !== 0) return;
      act.choose(thing.list, thing.index);
      if (!thing.moves) return;
      event.preventDefault();
      event.stopPropagation();
      g.setPointerCapture(event.pointerId);
      const grabbed = panel.toPanel(event.offsetX, event.offsetY);
      const box = panel.stage.getBoundingClientRect();
      const start = panel.toPanel(event.clientX - box.left, event.clientY - box.top);
      drag = { id: thing.id, at: thing.at, off: [thing.at[0] - start[0], thing.at[1] - start[1]], moved: false, grabbed };
      g.classList.add("held");
    });
    g.addEventListener("pointermove", (/** @type {PointerEvent} */ event) => {
      if (!drag || drag.id !== entry.thing.id || !g.hasPointerCapture(event.pointerId)) return;
      const box = panel.stage.getBoundingClientRect();
      const p = panel.toPanel(event.clientX - box.left, event.clientY - box.top);
      const at = snapped([p[0] + drag.off[0], p[1] + drag.off[1]]);
      if (at[0] === drag.at[0] && at[1] === drag.at[1]) return;
      drag.at = at;
      drag.moved = true;
      entry.thing = { ...entry.thing, at };
      place();
      act.look(edits(entry.thing, at));
    });
    const drop = async (/** @type {PointerEvent} */ event) => {
      if (!drag || drag.id !== entry.thing.id) return;
      const { moved, at } = drag;
      g.classList.remove("held");
      if (g.hasPointerCapture(event.pointerId)) g.releasePointerCapture(event.pointerId);
      if (moved) await act.change(edits(entry.thing, at), say("say_move", { name: entry.thing.name }));
      drag = null;
      guides.replaceChildren();
    };
    g.addEventListener("pointerup", drop);
    g.addEventListener("pointercancel", drop);
    g.addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => {
      const thing = entry.thing;
      if (!thing.moves || event.ctrlKey || event.metaKey) return;
      if (event.key === "Delete" && !thing.mate_of) {
        event.preventDefault();
        act.remove(thing.list, thing.index, thing.name);
        return;
      }
      const unit = plan.units === "in" ? 25.4 / 16 : 1;
      const step = event.shiftKey ? 10 * unit : unit;
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      if (!way) return;
      event.preventDefault();
      const at = [thing.at[0] + step * way[0], thing.at[1] + step * way[1]];
      drag = { id: thing.id, at, off: [0, 0], moved: true };
      entry.thing = { ...thing, at };
      place();
      act.look(edits(thing, at));
      window.clearTimeout(later);
      later = window.setTimeout(async () => {
        await act.change(edits(entry.thing, entry.thing.at), say("say_move", { name: thing.name }));
        drag = null;
        guides.replaceChildren();
      }, WAIT_MS);
    });
  }

  panel.onMoved(place);
  return { show, /** Give up a drag, as when the planner refuses. */ forget() { drag = null; guides.replaceChildren(); } };
}
