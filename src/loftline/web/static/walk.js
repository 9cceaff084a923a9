// The sew-through: the sewing order line by line, in words and on the panel.

import { make } from "./dom.js";
import { lengthWords, threadWords } from "./lengths.js";
import { KIND } from "./picture.js";
import { say } from "./words.js";

const LEG_MS = 700;
const STILL_MS = 1200;

/** @param {HTMLElement} host @param {any} panel */
export function makeWalk(host, panel) {
  /** @type {import("./ask.js").Answer} */ let plan = /** @type {any} */ (null);
  let at = 0;
  /** @type {number | null} */ let frame = null;
  /** @type {number | undefined} */ let timer;
  let going = false;
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  const button = (/** @type {string} */ word, /** @type {() => void} */ go) => make("button", { type: "button", onclick: go }, say(word));
  const back = button("walk_back", () => { stop(); to(at - 1); });
  const next = button("walk_next", () => { stop(); to(at + 1); });
  const go = button("walk_go", () => (going ? stop() : start()));
  const end = button("walk_end", () => { stop(); to(0); });
  const slider = make("input", { type: "range", min: 0, max: 0, value: 0, "aria-label": say("walk_slider"), oninput: () => { stop(); to(Number(slider.value)); } });
  const says = make("p", { class: "walk-says", "aria-live": "polite" });
  const thread = make("p", { class: "hint" });
  const bar = make("meter", { min: 0, max: 1, value: 1, "aria-label": say("walk_bar") });
  const bobbin = make("div", { class: "bobbin" }, bar, thread);
  host.append(make("h2", {}, say("walk")), make("div", { class: "walk-row" }, back, next, go, end, slider), says, bobbin);

  const legs = () => plan.arrays.leg_last.length;

  function start() {
    if (!plan || !legs()) return;
    if (at >= legs()) to(0);
    going = true;
    // a reader of screens would be read every line over the one before
    says.setAttribute("aria-live", "off");
    go.textContent = say("walk_stop");
    if (still.matches) {
      const step = () => { if (!going || at >= legs()) return stop(); to(at + 1); timer = window.setTimeout(step, STILL_MS); };
      step();
      return;
    }
    let since = performance.now();
    const from = plan.arrays.leg_first, last = plan.arrays.leg_last;
    to(at);
    tell(at);
    const run = (/** @type {number} */ now) => {
      if (!going) return;
      if (at >= legs()) return stop();
      const share = Math.min(1, (now - since) / Math.min(LEG_MS, 60 + 12 * (last[at] - from[at])));
      panel.walkTo(Math.round(from[at] + share * (last[at] - from[at])));
      if (share >= 1) {
        to(at + 1);
        if (at < legs()) tell(at);
        since = now;
      }
      frame = window.requestAnimationFrame(run);
    };
    frame = window.requestAnimationFrame(run);
  }

  function stop() {
    going = false;
    says.setAttribute("aria-live", "polite");
    go.textContent = say("walk_go");
    window.clearTimeout(timer);
    if (frame !== null) window.cancelAnimationFrame(frame);
    frame = null;
  }

  /** Up to a line; 0 shows all. @param {number} n */
  function to(n) {
    if (!plan) return;
    at = Math.max(0, Math.min(legs(), n));
    slider.value = String(at);
    back.disabled = at === 0;
    next.disabled = at === legs();
    end.disabled = at === 0 && !going;
    const a = plan.arrays;
    if (at === 0) {
      panel.point(null);
      panel.walkTo(going ? a.leg_first[0] ?? 0 : null);
      const count = lines(legs());
      says.textContent = legs() ? say("walk_begin", { count, runs: runs() }) : say("walk_none");
      host.classList.add("resting");
      return;
    }
    panel.walkTo(a.leg_last[at - 1]);
    tell(at - 1);
  }

  /** Say what a line is, and where it starts. @param {number} i from 0 */
  function tell(i) {
    const a = plan.arrays, first = a.leg_first[i];
    host.classList.remove("resting");
    panel.point([a.points[2 * first] / 10, a.points[2 * first + 1] / 10]);
    const kind = a.leg_kind[i];
    const words = { n: lines(i + 1), count: lines(legs()), run: a.run[a.leg_last[i]] + 1, length: lengthWords(a.leg_length[i] / 100, plan.units), stitches: a.leg_last[i] - first };
    const what = say({ [KIND.line]: "walk_line", [KIND.travel]: "walk_travel", [KIND.double]: "walk_double" }[/** @type {number} */ (kind)] ?? "walk_other", words);
    const turn = plan.by_hand ? say(plan.usual.quilting.sewn_from === "back" ? "walk_turn_back" : "walk_turn", { side: say(`side_${a.leg_left[i]}`) }) : say("walk_start");
    says.textContent = `${what} ${turn}`;
    const share = a.leg_so_far[i] / 1e6;
    const used = share * plan.bobbin.takes, holds = plan.bobbin.holds || 1;
    const left = (((holds - used) % holds) + holds) % holds;
    bar.value = left / holds;
    thread.textContent = say("walk_thread", { needle: threadWords(share * plan.bobbin.needle, plan.units), left: threadWords(left, plan.units), full: threadWords(holds, plan.units) });
  }

  /** Quilting lines among the first legs. @param {number} upto */
  function lines(upto) {
    let count = 0;
    for (let i = 0; i < upto; i += 1) if (plan.arrays.leg_kind[i] === KIND.line) count += 1;
    return count;
  }
  function runs() {
    const n = plan.arrays.run.length ? plan.arrays.run[plan.arrays.run.length - 1] + 1 : 0;
    return n === 1 ? say("runs_one") : say("runs_many", { n });
  }

  return {
    /** @param {import("./ask.js").Answer} answer */
    show(answer) {
      plan = answer;
      stop();
      slider.max = String(legs());
      to(0);
    },
  };
}
