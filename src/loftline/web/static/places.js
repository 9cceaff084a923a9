// Where something lies: measured from the panel's lower left, from edges, in a row; and its other half.

import { make } from "./dom.js";
import { choiceWords, isLong, makeField, makePair, pathName } from "./fields.js";
import { say } from "./words.js";

/** @typedef {import("./fields.js").Path} Path */
/** @typedef {import("./forms.js").Desk} Desk */

const UPRIGHT = ["left", "right"];

/** Lengths in the unit of the file, from mm. @param {any} plan @param {number[]} mm */
export const inUnits = (plan, mm) => mm.map((one) => Math.round((one / plan.unit_mm) * 100) / 100);

/** A round length in the unit of the file. @param {any} plan @param {number} mm */
export const roundly = (plan, mm) => (plan.units === "in" ? Math.round((mm / 25.4) * 8) / 8 : Math.round((mm / plan.unit_mm) * 10) / 10);

/**
 * @param {Desk} desk
 * @param {ReturnType<typeof import("./forms.js").makeForms>} forms
 */
export function makePlaces(desk, forms) {
  /** A choice between ways to say something; it stands for a key itself. @param {Path} path @param {string} word @param {string} now @param {string[]} all @param {(way: string) => any} value `undefined` takes the key away */
  function ways(path, word, now, all, value) {
    const id = `way-${pathName(path)}`;
    const box = make("select", { id, "data-path": pathName(path), "aria-describedby": `${id}-fault`, onchange: () => {
      const found = value(box.value);
      desk.change([found === undefined ? { op: "remove", path } : { op: "set", path, value: found }], say("say_set", { name: say(word).toLowerCase() }), box);
    } }, ...all.map((way) => make("option", { value: way }, choiceWords(word, way))));
    box.value = now;
    return make("div", { class: `field choice${isLong(box) ? " wide" : ""}` }, make("label", { for: id }, say(word)), make("span", { class: "box" }, box), make("span", { class: "notes" }, make("span", { id: `${id}-fault`, class: "fault" })));
  }

  const edge = (/** @type {Path} */ path, /** @type {string} */ word) => makeField({ path, word, kind: "choice", choices: [...desk.plan().edges], must: true }, desk.plan(), desk.change);
  const length = (/** @type {Path} */ path, /** @type {string} */ word) => makeField({ path, word, kind: "length" }, desk.plan(), desk.change);
  const usualEdge = () => ["flap edge", "top"].find((name) => desk.plan().edges.includes(name)) ?? desk.plan().edges[0];

  /** Two edges that meet, where their names tell. */
  function corner() {
    const edges = /** @type {string[]} */ (desk.plan().edges);
    const side = edges.find((name) => UPRIGHT.includes(name)) ?? edges[1] ?? edges[0];
    return [edges.find((name) => name === usualEdge() && name !== side) ?? edges.find((name) => !UPRIGHT.includes(name) && name !== side) ?? edges[0], side];
  }

  /**
   * The fields of a place.
   * @param {Path} path
   * @param {any} at what the file says
   * @param {{row?: boolean, unset?: boolean, line?: boolean, word?: string, here: () => number[]}} how `row`: a row of pieces
   * may lie there; `unset`: it need not be given; `line`: an edge or fold alone is enough; `here`: where it lies now, mm
   */
  function place(path, at, how) {
    const plan = desk.plan(), some = plan.edges.length > 0;
    const now = at === undefined || at === "centre" ? "unset" : typeof at === "string" ? "line" : Array.isArray(at) ? "measures" : at.along !== undefined ? "row" : Array.isArray(at.from) ? "edges" : "edge";
    const all = [how.unset && "unset", "measures", how.line && some && "line", some && "edge", plan.edges.length > 1 && "edges", how.row && some && "row"].filter(Boolean);
    const start = /** @type {Record<string, () => any>} */ ({
      unset: () => undefined,
      measures: () => inUnits(plan, how.here()),
      line: () => usualEdge(),
      edge: () => ({ from: usualEdge(), distance: roundly(plan, 30) }),
      edges: () => ({ from: corner(), distance: [roundly(plan, 30), roundly(plan, 30)] }),
      row: () => ({ along: usualEdge(), distance: roundly(plan, 15), count: 3 }),
    });
    return [ways(path, how.word ?? "at", now, /** @type {string[]} */ (all), (way) => start[way]()), ...inside()];

    function inside() {
      switch (now) {
        case "measures": return makePair({ path, words: ["place_x", "place_y"] }, plan, desk.change);
        case "line": return [makeField({ path, word: "at_line", kind: "choice", choices: [...plan.edges, ...plan.folds.map((/** @type {any} */ f) => f.name)], must: true }, plan, desk.change)];
        case "edge": return [edge([...path, "from"], "at_from"), length([...path, "distance"], "at_distance")];
        case "edges": return [0, 1].flatMap((n) => [edge([...path, "from", n], `at_from_${n}`), length([...path, "distance", n], `at_distance_${n}`)]);
        case "row": return [edge([...path, "along"], "at_along"), length([...path, "distance"], "at_distance"), length([...path, "every"], "at_every"),
          makeField({ path: [...path, "count"], word: "at_count", kind: "number" }, plan, desk.change)];
        default: return [];
      }
    }
  }

  /** Whether a closure has an other half, and what is different about it. @param {Path} path @param {any} mate @param {() => number[]} here */
  function otherHalf(path, mate, here) {
    const apart = typeof mate === "object";
    const first = ways(path, "mate", mate === true ? "yes" : apart ? "apart" : "no", ["no", "yes", "apart"], (way) => ({ no: undefined, yes: true, apart: {} }[way]));
    if (!apart) return [first];
    const [on] = forms.fields("MateSpec", path, ["on"], { on: { kind: "choice", choices: [...desk.plan().parts] } });
    return [first, make("fieldset", { class: "entry" }, make("legend", {}, say("mate_apart")),
      forms.rows(...forms.fields("MateSpec", path, ["sits", "fitted"]), mate.at === undefined && on, ...place([...path, "at"], mate.at, { unset: true, here })))];
  }

  return { place, otherHalf, ways };
}
