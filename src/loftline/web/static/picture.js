// Drawing a plan on a canvas: fabric, zones, lines as they are sewn. Millimetres, y up.

export const KIND = { line: 0, travel: 1, double: 2, tie: 3 };
export const RUN_COLOURS = ["#2d2f73", "#d7641b", "#0e6249", "#a8408e", "#2284d8", "#462102"];
const DASHES = [[], [5, 2], [7, 2, 1, 2], [9, 2, 1, 2, 1, 2]];

/** @param {number} run */
export const runColour = (run) => RUN_COLOURS[run % RUN_COLOURS.length];

/** Closed rings as one path. @param {Int32Array} points hundredths of a mm @param {Uint32Array} starts */
export function ringPath(points, starts) {
  const path = new Path2D();
  for (let i = 0; i + 1 < starts.length; i += 1) {
    for (let k = starts[i]; k < starts[i + 1]; k += 1) {
      const x = points[2 * k] / 100, y = points[2 * k + 1] / 100;
      if (k === starts[i]) path.moveTo(x, y);
      else path.lineTo(x, y);
    }
    path.closePath();
  }
  return path;
}

/**
 * One path for each run and kind of stitch.
 * @param {Int32Array} points tenths of a mm
 * @param {Uint32Array} run
 * @param {Uint8Array} kind
 * @param {number} first needle point to begin at
 * @param {number} last needle point to end at
 */
export function threadPaths(points, run, kind, first, last) {
  /** @type {Map<string, {run: number, kind: number, path: Path2D}>} */
  const found = new Map();
  let now = /** @type {{run: number, kind: number, path: Path2D} | null} */ (null);
  for (let i = first + 1; i <= last; i += 1) {
    if (run[i] !== run[i - 1]) { now = null; continue; }
    const k = kind[i] === KIND.tie ? KIND.line : kind[i];
    if (!now || now.run !== run[i] || now.kind !== k) {
      const name = `${run[i]} ${k}`;
      now = found.get(name) ?? { run: run[i], kind: k, path: new Path2D() };
      found.set(name, now);
      now.path.moveTo(points[2 * i - 2] / 10, points[2 * i - 1] / 10);
    }
    now.path.lineTo(points[2 * i] / 10, points[2 * i + 1] / 10);
  }
  return [...found.values()];
}

/** What of a plan is drawn, made once. @param {any} plan */
export function prepared(plan) {
  const a = plan.arrays;
  const has = (/** @type {string} */ name) => a[name] && a[name].length > 0;
  const ring = (/** @type {string} */ name) => (has(name) ? ringPath(a[name], a[`${name}_starts`]) : null);
  return {
    outline: ring("outline"),
    overhang: ring("overhang"),
    reach: ring("reach"),
    hard: ring("hard"),
    darts: ring("darts"),
    regions: ring("regions"),
    threads: threadPaths(a.points, a.run, a.kind, 0, a.run.length - 1),
  };
}

/**
 * @param {CanvasRenderingContext2D} pen set to millimetres
 * @param {ReturnType<typeof prepared>} drawn
 * @param {(name: string) => string} colour
 * @param {number} scale pixels in a millimetre
 */
export function paintGround(pen, drawn, colour, scale) {
  const px = 1 / scale;
  if (drawn.overhang) {
    pen.fillStyle = colour("trim");
    pen.fill(drawn.overhang, "evenodd");
    stroke(pen, drawn.overhang, colour("faint"), px, [3 * px, 3 * px]);
  }
  if (drawn.outline) {
    pen.fillStyle = colour("fabric");
    pen.fill(drawn.outline, "evenodd");
  }
  if (drawn.regions) stroke(pen, drawn.regions, colour("soft"), px, [2 * px, 3 * px]);
  if (drawn.darts) {
    pen.fillStyle = colour("trim");
    pen.fill(drawn.darts);
    stroke(pen, drawn.darts, colour("soft"), px, []);
  }
  if (drawn.reach) {
    pen.fillStyle = colour("zone");
    pen.fill(drawn.reach, "evenodd");
    stroke(pen, drawn.reach, colour("soft"), px, []);
  }
  if (drawn.hard) {
    pen.globalAlpha = 0.6;
    pen.fillStyle = colour("hard");
    pen.fill(drawn.hard);
    pen.globalAlpha = 1;
  }
  if (drawn.outline) stroke(pen, drawn.outline, colour("edge"), 1.6 * px, []);
}

/**
 * @param {CanvasRenderingContext2D} pen
 * @param {ReturnType<typeof threadPaths>} threads
 * @param {(name: string) => string} colour
 * @param {number} scale
 * @param {{quick?: boolean, faint?: boolean}} [how]
 */
export function paintThreads(pen, threads, colour, scale, how = {}) {
  const px = 1 / scale;
  const wide = how.quick ? px : Math.max(1.25 * px, Math.min(0.45, 2.4 * px));
  pen.lineJoin = "round";
  if (!how.quick) {
    for (const t of threads) {
      if (t.kind !== KIND.double) continue;
      pen.globalAlpha = 0.3;
      stroke(pen, t.path, runColour(t.run), Math.max(5 * px, 4 * wide), []);
      pen.globalAlpha = 1;
    }
  }
  for (const t of threads) {
    const tint = how.faint ? colour("faint") : runColour(t.run);
    const slender = t.kind !== KIND.line;
    const dash = how.quick ? [] : t.kind === KIND.travel ? [3, 2.4] : DASHES[Math.floor(t.run / RUN_COLOURS.length) % DASHES.length];
    stroke(pen, t.path, tint, slender ? Math.max(px, 0.66 * wide) : wide, dash.map((d) => d * px));
  }
}

/**
 * @param {CanvasRenderingContext2D} pen @param {Path2D} path @param {string} colour
 * @param {number} width @param {number[]} dash
 */
function stroke(pen, path, colour, width, dash) {
  pen.strokeStyle = colour;
  pen.lineWidth = width;
  pen.setLineDash(dash);
  pen.stroke(path);
}

/** A small picture of a plan. @param {HTMLCanvasElement} canvas @param {any} plan @param {(name: string) => string} colour */
export function paintSmall(canvas, plan, colour) {
  const ratio = window.devicePixelRatio || 1;
  const wide = canvas.clientWidth || 96, high = canvas.clientHeight || 96;
  canvas.width = Math.round(wide * ratio);
  canvas.height = Math.round(high * ratio);
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  const [x0, y0, x1, y1] = plan.outline_bounds;
  const scale = Math.min((wide - 6) / (x1 - x0), (high - 6) / (y1 - y0));
  const ox = (wide - scale * (x1 - x0)) / 2 - scale * x0, oy = (high + scale * (y1 - y0)) / 2 + scale * y0;
  pen.setTransform(ratio * scale, 0, 0, -ratio * scale, ratio * ox, ratio * oy);
  const drawn = prepared(plan);
  paintGround(pen, drawn, colour, scale);
  if (drawn.outline) { pen.save(); pen.clip(drawn.outline, "evenodd"); }
  paintThreads(pen, drawn.threads, colour, scale, { quick: true });
  if (drawn.outline) pen.restore();
  if (drawn.hard) { pen.fillStyle = colour("hard"); pen.fill(drawn.hard); }
}
