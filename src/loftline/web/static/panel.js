// The panel to scale: canvas for what is sewn, rulers, zoom and pan.

import { draw, make } from "./dom.js";
import { lengthWords } from "./lengths.js";
import { KIND, paintGround, paintThreads, prepared, runColour, threadPaths } from "./picture.js";
import { say } from "./words.js";

/** Needle points in a square centimetre from which each step of the hatching begins; a panel is
 * stiff from the fourth, and weakened from the fifth. */
export const STIFF_STEPS = [1, 5, 10, 20, 50];
const stiffLevel = (/** @type {number} */ count) => STIFF_STEPS.filter((least) => count >= least).length;

const RULER = 24;
const SETTLED_MS = 200;

/** @param {(name: string) => string} colour */
export function makePanel(colour) {
  const canvas = /** @type {HTMLCanvasElement} */ (make("canvas", { role: "img" }));
  const over = /** @type {HTMLCanvasElement} */ (make("canvas", { "aria-hidden": "true", class: "over" }));
  const svg = /** @type {SVGSVGElement} */ (draw("svg", { class: "handles" }));
  const hint = make("p", { class: "unseen", id: "panel-hint" }, say("panel_hint"));
  const stage = /** @type {HTMLElement} */ (
    make("div", { class: "stage", tabindex: 0, role: "group", "aria-label": say("panel_view"), "aria-describedby": "panel-hint" }, canvas, over, svg, hint)
  );
  const view = { scale: 1, x: 0, y: 0, fitted: true };
  /** @type {import("./ask.js").Answer} */ let plan = /** @type {any} */ (null);
  /** @type {ReturnType<typeof prepared> | null} */ let drawn = null;
  /** @type {number | undefined} */ let timer;
  let wide = 0, high = 0, ratio = 1;
  let mode = "flat";
  /** @type {{upto: number, legs: boolean} | null} */ let walk = null;
  /** @type {{at: number[], since: number} | null} */ let ring = null;
  /** @type {(() => void)[]} */ const moved = [];

  function fit() {
    if (!plan) return;
    const [x0, y0, x1, y1] = plan.bounds;
    const room = 16;
    view.scale = Math.max(0.01, Math.min((wide - RULER - 2 * room) / (x1 - x0), (high - RULER - 2 * room) / (y1 - y0)));
    view.x = RULER + (wide - RULER - view.scale * (x1 - x0)) / 2 - view.scale * x0;
    view.y = RULER + (high - RULER + view.scale * (y1 - y0)) / 2 + view.scale * y0;
    view.fitted = true;
  }

  const toPixels = (/** @type {number[]} */ [x, y]) => [view.x + view.scale * x, view.y - view.scale * y];
  const toPanel = (/** @type {number} */ px, /** @type {number} */ py) => [(px - view.x) / view.scale, (view.y - py) / view.scale];

  function pen(/** @type {HTMLCanvasElement} */ of, clear = true) {
    const p = /** @type {CanvasRenderingContext2D} */ (of.getContext("2d"));
    p.setTransform(ratio, 0, 0, ratio, 0, 0);
    if (clear) p.clearRect(0, 0, wide, high);
    p.setTransform(ratio * view.scale, 0, 0, -ratio * view.scale, ratio * view.x, ratio * view.y);
    return p;
  }

  /** Stitches beyond which the sew-through is drawn in the thinnest lines, so that no frame is missed. */
  const many = () => plan.arrays.run.length > 20000;

  /** @param {boolean} quick lines as thin as can be, while something moves */
  function paint(quick = false) {
    if (!plan || !drawn || !wide) return;
    const p = pen(canvas);
    paintGround(p, drawn, colour, view.scale);
    if (mode === "stiff") stiffness(p);
    else if (mode === "hoopings") hoopings(p);
    else paintThreads(p, drawn.threads, colour, view.scale, { quick: quick || (walk !== null && many()), faint: walk !== null });
    folds(p);
    if (walk === null && mode === "flat") {
      names(p);
      starts(p);
    }
    rulers(p);
    if (walk) paintWalk();
    else pen(over);
    mark();
    for (const tell of moved) tell();
  }

  function settle() {
    window.clearTimeout(timer);
    timer = window.setTimeout(() => paint(), SETTLED_MS);
  }

  function folds(/** @type {CanvasRenderingContext2D} */ p) {
    const px = 1 / view.scale;
    p.strokeStyle = colour("edge");
    p.lineWidth = px;
    p.setLineDash([8 * px, 3 * px, 2 * px, 3 * px]);
    for (const fold of plan.folds) {
      const [x0, y0, x1, y1] = fold.line;
      p.beginPath();
      p.moveTo(x0, y0);
      p.lineTo(x1, y1);
      p.stroke();
    }
    p.setLineDash([]);
  }

  /** What parts and regions are called. */
  function names(/** @type {CanvasRenderingContext2D} */ p) {
    // a region may have the handle of its middle there
    const all = [...(plan.parts.length > 1 ? Object.entries(plan.places) : []).map(([name, at]) => ({ name, at, down: 0 })), ...Object.entries(plan.region_places).map(([name, at]) => ({ name, at, down: 16 }))];
    p.save();
    p.setTransform(ratio, 0, 0, ratio, 0, 0);
    p.font = "italic 12px Georgia, serif";
    p.textAlign = "center";
    p.textBaseline = "middle";
    for (const { name, at, down } of all) {
      const [x, top] = toPixels(at), y = top + down, half = p.measureText(name).width / 2 + 5;
      p.globalAlpha = 0.85;
      p.fillStyle = colour("fabric");
      p.fillRect(x - half, y - 9, 2 * half, 18);
      p.globalAlpha = 1;
      p.fillStyle = "#5d574f";
      p.fillText(name, x, y + 0.5);
    }
    p.restore();
  }

  /** Where runs start, with their numbers. */
  function starts(/** @type {CanvasRenderingContext2D} */ p) {
    const { run, points } = plan.arrays;
    p.save();
    p.setTransform(ratio, 0, 0, ratio, 0, 0);
    p.font = "600 11px system-ui, sans-serif";
    p.textAlign = "center";
    p.textBaseline = "middle";
    /** @type {number[][]} */ const taken = [];
    for (let i = 0; i < run.length; i += 1) {
      if (i && run[i] === run[i - 1]) continue;
      const [x, y] = toPixels([points[2 * i] / 10, points[2 * i + 1] / 10]);
      if (taken.some(([a, b]) => Math.hypot(a - x, b - y) < 18)) continue;
      taken.push([x, y]);
      p.beginPath();
      p.arc(x, y, 9, 0, 2 * Math.PI);
      p.fillStyle = colour("paper");
      p.fill();
      p.lineWidth = 2;
      p.strokeStyle = runColour(run[i]);
      p.stroke();
      p.fillStyle = colour("ink");
      p.fillText(String(run[i] + 1), x, y + 0.5);
    }
    p.restore();
  }

  /** How close needle points lie, by hatching: each step twice as close as the one before. */
  function stiffness(/** @type {CanvasRenderingContext2D} */ p) {
    const { cell, low, columns } = plan.stiffness;
    const counts = plan.arrays.stiffness;
    const px = 1 / view.scale;
    p.save();
    if (drawn?.outline) p.clip(drawn.outline, "evenodd");
    p.strokeStyle = runColour(0);
    p.setLineDash([]);
    p.lineWidth = 1.2 * px;
    p.beginPath();
    for (let i = 0; i < counts.length; i += 1) {
      const level = stiffLevel(counts[i]);
      if (!level) continue;
      const x = low[0] + cell * (i % columns), y = low[1] + cell * Math.floor(i / columns);
      const step = cell / 2 ** (Math.min(level, 4) - 1);
      for (let k = 0; k < cell - 0.01; k += step) {
        p.moveTo(x, y + k);
        p.lineTo(x + cell, y + k);
        if (level < 5) continue;
        p.moveTo(x + k, y);
        p.lineTo(x + k, y + cell);
      }
    }
    p.stroke();
    p.restore();
    if (drawn?.outline) {
      p.strokeStyle = colour("edge");
      p.lineWidth = 1.6 * px;
      p.stroke(drawn.outline);
    }
  }

  /** Where the hoop lies, one colour and number for each placing. */
  function hoopings(/** @type {CanvasRenderingContext2D} */ p) {
    const a = plan.arrays, px = 1 / view.scale;
    plan.hoopings.forEach((/** @type {any} */ hooping, /** @type {number} */ i) => {
      const threads = threadPaths(a.points, a.run, a.kind, hooping.first, hooping.last).map((t) => ({ ...t, run: i }));
      paintThreads(p, threads, colour, view.scale);
    });
    p.save();
    plan.hoopings.forEach((/** @type {any} */ hooping, /** @type {number} */ i) => {
      if (!hooping.place) return;
      const [x0, y0, x1, y1] = hooping.place;
      p.strokeStyle = runColour(i);
      p.lineWidth = 2 * px;
      p.setLineDash([10 * px, 4 * px]);
      p.strokeRect(x0, y0, x1 - x0, y1 - y0);
    });
    p.setLineDash([]);
    p.setTransform(ratio, 0, 0, ratio, 0, 0);
    p.font = "600 14px system-ui, sans-serif";
    p.textAlign = "center";
    p.textBaseline = "middle";
    plan.hoopings.forEach((/** @type {any} */ hooping, /** @type {number} */ i) => {
      if (!hooping.place) return;
      const [x0, y0, x1, y1] = hooping.place;
      const [x, y] = toPixels([(x0 + x1) / 2, (y0 + y1) / 2]);
      p.beginPath();
      p.arc(x, y, 15, 0, 2 * Math.PI);
      p.fillStyle = colour("paper");
      p.fill();
      p.lineWidth = 3;
      p.strokeStyle = runColour(i);
      p.stroke();
      p.fillStyle = colour("ink");
      p.fillText(String(i + 1), x, y + 0.5);
    });
    p.restore();
  }

  function rulers(/** @type {CanvasRenderingContext2D} */ p) {
    p.save();
    p.setTransform(ratio, 0, 0, ratio, 0, 0);
    p.fillStyle = colour("paper");
    p.fillRect(0, 0, wide, RULER);
    p.fillRect(0, 0, RULER, high);
    p.strokeStyle = colour("rule");
    p.fillStyle = colour("soft");
    p.lineWidth = 1;
    p.font = "10px system-ui, sans-serif";
    p.beginPath();
    p.moveTo(RULER + 0.5, high);
    p.lineTo(RULER + 0.5, RULER + 0.5);
    p.lineTo(wide, RULER + 0.5);
    const unit = plan.unit_mm;
    const steps = plan.units === "in" ? [0.25, 0.5, 1, 2, 4, 8, 16] : plan.units === "cm" ? [0.5, 1, 2, 5, 10, 20, 50] : [5, 10, 20, 50, 100, 200, 500];
    const step = steps.find((s) => s * unit * view.scale >= 44) ?? steps[steps.length - 1];
    const fine = step * unit * view.scale;
    p.textAlign = "center";
    p.textBaseline = "alphabetic";
    for (let n = Math.ceil((RULER - view.x) / fine); view.x + n * fine < wide; n += 1) {
      const x = Math.round(view.x + n * fine) + 0.5;
      p.moveTo(x, RULER - 6);
      p.lineTo(x, RULER);
      if (x > RULER + 24) p.fillText(String(Math.round(n * step * 100) / 100), x, RULER - 9);
    }
    for (let n = Math.ceil((view.y - high) / fine); view.y - n * fine > RULER; n += 1) {
      const y = Math.round(view.y - n * fine) + 0.5;
      p.moveTo(RULER - 6, y);
      p.lineTo(RULER, y);
      p.save();
      p.translate(RULER - 9, y);
      p.rotate(-Math.PI / 2);
      p.fillText(String(Math.round(n * step * 100) / 100), 0, 0);
      p.restore();
    }
    p.stroke();
    p.textAlign = "left";
    p.fillText(plan.units, 4, 15);
    p.restore();
  }

  /** @type {{first: number, last: number} | null} */ let walked = null;

  /** The walk up to where it is; only what is new is drawn when it goes forward. */
  function paintWalk(forward = false) {
    if (!walk) return;
    const a = plan.arrays;
    const from = forward && walked && walked.last <= walk.upto ? walked.last : 0;
    const p = pen(over, from === 0);
    if (walk.upto > from) {
      paintThreads(p, threadPaths(a.points, a.run, a.kind, from, walk.upto), colour, view.scale, { quick: many() });
    }
    walked = { first: 0, last: walk.upto };
  }

  /** The ring that shows a place. */
  function mark() {
    const old = svg.querySelector(".ring");
    if (old) old.remove();
    if (!ring) return;
    const [x, y] = toPixels(ring.at);
    svg.append(draw("circle", { class: "ring", cx: x, cy: y, r: 14 }));
  }

  function zoom(/** @type {number} */ by, cx = wide / 2, cy = high / 2) {
    const [x, y] = toPanel(cx, cy);
    view.scale = Math.min(60, Math.max(0.05, view.scale * by));
    view.x = cx - view.scale * x;
    view.y = cy + view.scale * y;
    view.fitted = false;
    paint(true);
    settle();
  }

  function pan(/** @type {number} */ dx, /** @type {number} */ dy) {
    view.x += dx;
    view.y += dy;
    view.fitted = false;
    paint(true);
    settle();
  }

  stage.addEventListener("wheel", (event) => {
    event.preventDefault();
    const box = stage.getBoundingClientRect();
    if (event.shiftKey) pan(-event.deltaY, 0);
    else zoom(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0015)), event.clientX - box.left, event.clientY - box.top);
  }, { passive: false });

  /** @type {Map<number, number[]>} */ const fingers = new Map();
  stage.addEventListener("pointerdown", (event) => {
    if (/** @type {Element} */ (event.target).closest(".handle")) return;
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    stage.setPointerCapture(event.pointerId);
  });
  stage.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const now = [event.clientX, event.clientY];
    const others = [...fingers.entries()].filter(([id]) => id !== event.pointerId);
    if (others.length) {
      const [, other] = others[0];
      const was = Math.hypot(before[0] - other[0], before[1] - other[1]);
      const is = Math.hypot(now[0] - other[0], now[1] - other[1]);
      const box = stage.getBoundingClientRect();
      if (was > 10) zoom(is / was, (now[0] + other[0]) / 2 - box.left, (now[1] + other[1]) / 2 - box.top);
    } else pan(now[0] - before[0], now[1] - before[1]);
    fingers.set(event.pointerId, now);
  });
  for (const name of ["pointerup", "pointercancel"]) stage.addEventListener(name, (event) => fingers.delete(/** @type {PointerEvent} */ (event).pointerId));

  stage.addEventListener("keydown", (event) => {
    if (event.target !== stage || event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.shiftKey ? 120 : 40;
    const keys = /** @type {Record<string, () => void>} */ ({
      "+": () => zoom(1.25), "=": () => zoom(1.25), "-": () => zoom(0.8),
      0: () => { fit(); paint(); },
      ArrowLeft: () => pan(step, 0), ArrowRight: () => pan(-step, 0), ArrowUp: () => pan(0, step), ArrowDown: () => pan(0, -step),
    });
    if (keys[event.key]) { event.preventDefault(); keys[event.key](); }
  });

  new ResizeObserver(() => {
    const box = stage.getBoundingClientRect();
    ratio = window.devicePixelRatio || 1;
    wide = Math.max(1, Math.floor(box.width));
    high = Math.max(1, Math.floor(box.height));
    for (const c of [canvas, over]) {
      c.width = Math.round(wide * ratio);
      c.height = Math.round(high * ratio);
    }
    svg.setAttribute("viewBox", `0 0 ${wide} ${high}`);
    if (view.fitted) fit();
    paint();
  }).observe(stage);

  return {
    stage, svg, toPixels, toPanel, view,
    zoom: (/** @type {number} */ by) => zoom(by),
    fit() { fit(); paint(); },
    /** @param {import("./ask.js").Answer} answer @param {boolean} quick */
    show(answer, quick) {
      const first = plan === null;
      const other = plan && plan.bounds.join() !== answer.bounds.join();
      plan = answer;
      drawn = prepared(answer);
      if (first || (other && view.fitted && !quick)) fit();
      const [x0, y0, x1, y1] = plan.outline_bounds;
      canvas.setAttribute("aria-label", say("panel_says", {
        name: plan.name, width: lengthWords(x1 - x0, plan.units), height: lengthWords(y1 - y0, plan.units),
        lines: plan.arrays.leg_kind.filter((/** @type {number} */ k) => k === KIND.line).length,
      }));
      walked = null;
      paint(quick);
      if (quick) settle();
    },
    paint,
    /** @param {string} which */
    look(which) { mode = which; paint(); },
    /** Show the sewing order up to a needle point; `null` shows all. @param {number | null} upto */
    walkTo(upto) {
      const begun = walk !== null;
      walk = upto === null ? null : { upto, legs: true };
      if (begun && walk) paintWalk(true);
      else { walked = null; paint(); }
    },
    /** @param {number[] | null} at a place to mark with a ring */
    point(at) {
      ring = at ? { at, since: 0 } : null;
      if (at) {
        const [x, y] = toPixels(at);
        if (x < RULER + 20 || y < RULER + 20 || x > wide - 20 || y > high - 20) {
          view.x += wide / 2 - x;
          view.y += high / 2 - y;
          view.fitted = false;
          paint();
          return;
        }
      }
      mark();
    },
    /** @param {() => void} tell called after each change of the view */
    onMoved(tell) { moved.push(tell); },
  };
}
