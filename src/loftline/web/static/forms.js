// Fields and lists of tables by what the project file may hold, so that no key of it is out of reach.

import { make } from "./dom.js";
import { foldAway, makeField, makePair, pathName, typed, valueAt, waits } from "./fields.js";
import { has, say } from "./words.js";

/** @typedef {import("./fields.js").Path} Path */
/** @typedef {{key: string, kind: string, choices?: string[], of?: string, needed?: boolean, row?: boolean}} Row */
/** @typedef {Node | string | null | undefined | false} Child */
/**
 * @typedef {object} Desk
 * @property {() => any} plan the plan that is shown
 * @property {() => any} choices words and forms that the fields offer
 * @property {Set<string>} open what is unfolded, by key
 * @property {() => void} opened something is unfolded, or folded away again
 * @property {(edits: object[], says: string, field: HTMLElement | null) => void} change
 * @property {(...finds: string[]) => void} after what has the focus once the plan is back: the first that is there
 */
/**
 * @typedef {object} Listing
 * @property {Path} path of the list
 * @property {string} model of its tables
 * @property {string[]} few keys that are shown at once; all others stand under "more"
 * @property {(entry: any, i: number) => string} name
 * @property {(entry: any, i: number) => string} [brief] what is said beside the name
 * @property {(entry: any, i: number) => string[]} [keys] keys that such an entry may have
 * @property {(entry: any, i: number, path: Path) => Record<string, object>} [about] more about some of its fields
 * @property {(entry: any, i: number, path: Path) => Child[]} [besides] what stands below its fields
 * @property {(entry: any, i: number) => object[]} [remove] what changes when one is removed, if it is more than the list
 */

/** Keys that stand for the same: one that is given takes the others away. */
const EITHER = /** @type {Record<string, string[][]>} */ ({
  PanelSpec: [["corner_radius"], ["corner_object"]],
  SpoolSpec: [["weight"], ["tex"]],
  SeamSpec: [["length"], ["edges"]],
  QuiltingSpec: [["stitch_length"], ["stitches_per_inch"]],
  FillSpec: [["stitch_length"], ["stitches_per_inch"]],
});

/** Keys that are given together or not at all. */
const TOGETHER = /** @type {Record<string, string[][]>} */ ({
  FillSpec: [["wave_height", "wave_length"], ["entry", "exit"]],
  SwatchSpec: [["needle", "bobbin"], ["before", "after"]],
});

/** @param {string} model name of a table's model, as in the schema */
export const tableWord = (model) => model.replace(/Spec$/, "").replace(/(?<=[a-z])(?=[A-Z])/g, "_").toLowerCase();

/** The word of a key: that of its table, else the one it has everywhere. @param {string} model @param {string} key */
export function keyWord(model, key) {
  const own = `${tableWord(model)}_${key}`;
  return has(own) || has(`${own}_0`) ? own : key;
}

/** @param {Desk} desk */
export function makeForms(desk) {
  const button = (/** @type {string} */ text, /** @type {() => void} */ go, /** @type {object} */ attributes = {}) => make("button", { type: "button", onclick: go, ...attributes }, text);
  const rows = (/** @type {Child[]} */ ...fields) => make("div", { class: "fields" }, ...fields);
  const rowsOf = (/** @type {string} */ model) => /** @type {Row[]} */ (desk.choices().forms[model]);

  /** Keys of a table that have a field here, of those that it may have. @param {string} model @param {string[]} [but] */
  function keysOf(model, but = []) {
    return rowsOf(model).map((row) => row.key).filter((key) => !but.includes(key));
  }

  /**
   * The fields of some keys of a table.
   * @param {string} model
   * @param {Path} path
   * @param {string[]} keys
   * @param {Record<string, any>} [about] more about some of them; `{at: Node[]}` stands in place of a field
   * @returns {Child[]}
   */
  function fields(model, path, keys, about = {}) {
    return keys.flatMap((key) => {
      const row = rowsOf(model).find((r) => r.key === key);
      const own = about[key] ?? {};
      if (Array.isArray(own)) return own;
      if (!row) return [];
      const word = own.word ?? keyWord(model, key);
      const at = [...path, key];
      const edits = either(model, path, key) ?? together(model, path, key);
      if (row.kind === "pair") return makePair({ path: at, words: [`${word}_0`, `${word}_1`], edits, ...own }, desk.plan(), desk.change);
      if (row.kind === "points") return [corners(at, word, own)];
      if (row.kind === "rings") return [rings(at, word)];
      if (row.kind === "table") return [own.wanted ? optional(at, /** @type {string} */ (row.of), word, own.wanted) : group(at, /** @type {string} */ (row.of), word, own)];
      if (row.kind === "tables") return [];
      const kind = row.kind === "flag" && valueAt(desk.plan().usual, at) === null ? "yesno" : row.kind;
      return [makeField(/** @type {any} */ ({ path: at, word, kind, choices: row.choices && [...row.choices], edits, ...own }), desk.plan(), desk.change)];
    });
  }

  /** Changes to a key that stands for the same as others. @param {string} model @param {Path} path @param {string} key */
  function either(model, path, key) {
    const ways = EITHER[model];
    if (!ways?.some((way) => way.includes(key))) return undefined;
    const others = ways.flat().filter((other) => other !== key && valueAt(desk.plan().data, [...path, other]) !== undefined);
    return (/** @type {any} */ value) => (value === undefined ? [{ op: "remove", path: [...path, key] }]
      : [...others.map((other) => ({ op: "remove", path: [...path, other] })), { op: "set", path: [...path, key], value }]);
  }

  /** Changes to a key that is given together with another: the first of them waits. @param {string} model @param {Path} path @param {string} key */
  function together(model, path, key) {
    const other = TOGETHER[model]?.find((keys) => keys.includes(key))?.find((k) => k !== key);
    if (!other) return undefined;
    const at = [...path, other], there = valueAt(desk.plan().data, at) !== undefined;
    const row = /** @type {Row} */ (rowsOf(model).find((r) => r.key === other));
    const kind = /** @type {any} */ (row.kind === "pair" ? "length" : row.kind);
    return (/** @type {any} */ value) => {
      if (value === undefined) return [key, other].map((k) => ({ op: "remove", path: [...path, k] }));
      const set = { op: "set", path: [...path, key], value };
      if (there) return [set];
      const paths = row.kind === "pair" ? [[...at, 0], [...at, 1]] : [at];
      const boxes = paths.map((p) => /** @type {HTMLInputElement | null} */ (document.querySelector(`[data-path="${CSS.escape(pathName(p))}"]`)));
      const values = boxes.map((box) => box ? typed(box.value, kind) : undefined);
      const missing = boxes[values.findIndex((v) => v === undefined)];
      if (missing !== undefined) return waits(missing?.closest(".field") ?? null);
      return [set, { op: "set", path: at, value: row.kind === "pair" ? values : values[0] }];
    };
  }

  /** Something folded away under a few words. @param {string} key @param {Child} words @param {string[]} holds @param {() => Child[]} inside @param {object} [attributes] */
  function away(key, words, holds, inside, attributes = { class: "more" }) {
    const details = make("details", attributes, make("summary", { "data-key": `open ${key}` }, words));
    foldAway(details, holds, inside);
    details.addEventListener("toggle", () => {
      if (!details.isConnected || details.open === desk.open.has(key)) return;
      if (details.open) desk.open.add(key);
      else desk.open.delete(key);
      desk.opened();
    });
    if (desk.open.has(key)) details.open = true;
    return details;
  }

  /** The rest of a table's keys. @param {string} key @param {string} model @param {Path} path @param {string[]} keys @param {Record<string, any>} [about] @param {string} [words] */
  function more(key, model, path, keys, about = {}, words = say("more")) {
    if (!keys.length) return null;
    return away(key, words, keys.map((k) => pathName([...path, k])), () => laid(fields(model, path, keys, about)));
  }

  /** Fields side by side, what is wide below them. @param {Child[]} all @returns {Child[]} */
  function laid(all) {
    const wide = (/** @type {Child} */ f) => f instanceof HTMLDetailsElement || f instanceof HTMLFieldSetElement;
    return [rows(...all.filter((f) => !wide(f))), ...all.filter(wide)];
  }

  /** A table within a table. @param {Path} path @param {string} model @param {string} word @param {any} own */
  function group(path, model, word, own) {
    return more(pathName(path), model, path, own.keys ?? keysOf(model), own.about ?? {}, say(word));
  }

  /** A table that is there or not. @param {Path} path @param {string} model @param {string} word @param {() => object} wanted its keys to begin with */
  function optional(path, model, word, wanted) {
    const there = valueAt(desk.plan().data, path) !== undefined;
    const flag = makeField({ path, kind: "flag", word, edits: (value) => [value ? { op: "set", path, value: wanted() } : { op: "remove", path }] }, desk.plan(), desk.change);
    return make("div", { class: "optional" }, flag, there && rows(...fields(model, path, keysOf(model))));
  }

  /** A list of tables: add, remove, put in another order. @param {Listing} list */
  function entries(list) {
    const all = /** @type {any[]} */ (valueAt(desk.plan().data, list.path) ?? []);
    return all.map((entry, i) => oneEntry(list, entry, i, all.length));
  }

  function oneEntry(/** @type {Listing} */ list, /** @type {any} */ entry, /** @type {number} */ i, /** @type {number} */ count) {
    const key = `${pathName(list.path)} ${i}`, path = [...list.path, i], name = list.name(entry, i);
    const brief = list.brief?.(entry, i);
    const words = make("span", {}, name, brief && make("span", { class: "hint" }, ` ${brief}`));
    return away(key, words, [pathName(path)], () => {
      const about = list.about?.(entry, i, path) ?? {};
      const keys = list.keys?.(entry, i) ?? keysOf(list.model);
      const few = list.few.filter((k) => keys.includes(k));
      return [
        ...laid(fields(list.model, path, few, about)),
        more(`${key} more`, list.model, path, keys.filter((k) => !few.includes(k)), about),
        ...(list.besides?.(entry, i, path) ?? []),
        tools(list, i, count, name, list.remove?.(entry, i)),
      ];
    }, { class: "entry", "data-entry": key });
  }

  function tools(/** @type {Listing} */ list, /** @type {number} */ i, /** @type {number} */ count, /** @type {string} */ name, /** @type {object[] | undefined} */ edits) {
    const key = pathName(list.path);
    const move = (/** @type {string} */ word, /** @type {number} */ to) => to >= 0 && to < count && button(say(word), () => {
      swap(key, i, to);
      desk.after(`[data-key="${word} ${key} ${to}"]`, `[data-entry="${key} ${to}"] > summary`);
      desk.change([{ op: "move", path: [...list.path, i], value: to }], say("say_order", { name }), null);
    }, { "data-key": `${word} ${key} ${i}`, "aria-label": say(`${word}_what`, { name }) });
    return make("div", { class: "start" }, move("earlier", i - 1), move("later", i + 1),
      button(say("remove"), () => removed(list.path, i, name, edits), { "data-key": `remove ${key} ${i}`, "aria-label": say("remove_what", { name }) }));
  }

  /** Take an entry away; what is unfolded behind it stays unfolded. @param {Path} path @param {number} i @param {string} name @param {object[]} [edits] */
  function removed(path, i, name, edits = [{ op: "remove", path: [...path, i] }]) {
    const key = pathName(path);
    /** @type {[string, number][]} */ const behind = [];
    for (const one of desk.open) {
      const found = one.startsWith(`${key} `) ? /^(\d+)(.*)$/.exec(one.slice(key.length + 1)) : null;
      if (found && Number(found[1]) >= i) { desk.open.delete(one); if (Number(found[1]) > i) behind.push([found[2], Number(found[1]) - 1]); }
    }
    for (const [rest, at] of behind) desk.open.add(`${key} ${at}${rest}`);
    desk.after(`[data-entry="${key} ${i}"] > summary`, `[data-entry="${key} ${i - 1}"] > summary`, `[data-key="add ${key}"]`);
    desk.change(edits, say("say_remove", { name }), null);
  }

  /** What is unfolded changes its place too. */
  function swap(/** @type {string} */ key, /** @type {number} */ a, /** @type {number} */ b) {
    const of = (/** @type {number} */ n) => [...desk.open].filter((one) => one === `${key} ${n}` || one.startsWith(`${key} ${n} `));
    const [first, second] = [of(a), of(b)];
    for (const one of [...first, ...second]) desk.open.delete(one);
    for (const one of first) desk.open.add(one.replace(`${key} ${a}`, `${key} ${b}`));
    for (const one of second) desk.open.add(one.replace(`${key} ${b}`, `${key} ${a}`));
  }

  /** Put another entry at the end of a list, unfolded. @param {Path} path @param {any} value @param {object[]} [also] */
  function added(path, value, also = []) {
    const key = pathName(path), count = (valueAt(desk.plan().data, path) ?? []).length;
    desk.open.add(`${key} ${count}`);
    desk.after(`[data-entry="${key} ${count}"] input, [data-entry="${key} ${count}"] select`);
    desk.change([{ op: "add", path, value }, ...also], say("say_add", { name: value.name ?? say(`${path[path.length - 1]}_one`) }), null);
  }

  /** A button that adds to a list, with words to choose from before it. @param {Path} path @param {string} word @param {(choice: string) => void} go @param {string[]} [choices] @param {string} [id] */
  function adder(path, word, go, choices, id = `add-${path[path.length - 1]}-${word}`) {
    const key = `add ${pathName(path)}`;
    if (!choices) return button(say(word), () => go(""), { class: "quiet", "data-key": key });
    const box = make("select", { id }, ...choices.map((one) => make("option", { value: one }, has(`is_${one.replace(/\W+/g, "_")}`) ? say(`is_${one.replace(/\W+/g, "_")}`) : one)));
    return make("div", { class: "start" }, make("label", { for: id }, say(word)), box, button(say("add"), () => go(box.value), { "aria-label": say(word), "data-key": key }));
  }

  /**
   * A list of places, or of sizes in two numbers: a row for each.
   * @param {Path} path
   * @param {string} word
   * @param {{start?: number[][]}} [own] what the first of them are, mm
   * @returns {HTMLElement}
   */
  function corners(path, word, own = {}) {
    const plan = desk.plan(), name = pathName(path);
    const given = valueAt(plan.data, path), used = valueAt(plan.usual, path);
    if (given?.long) return make("p", { class: "hint" }, say("too_many_corners", { n: given.long }));
    const list = /** @type {any[]} */ (given ?? []);
    const words = /** @type {[string, string]} */ ([`${word}_0`, `${word}_1`]);
    const told = (/** @type {number[]} */ at) => at.map((mm) => Math.round((mm / plan.unit_mm) * 100) / 100);
    const change = (/** @type {object[]} */ edits, /** @type {number} */ to) => {
      desk.after(`[data-path="${CSS.escape(`${name}[${to}][0]`)}"]`, `[data-key="open ${name}"]`);
      desk.change(edits, say("say_set", { name: say(word).toLowerCase() }), null);
    };
    const add = (/** @type {number} */ i) => {
      const a = used?.[i], b = used?.[(i + 1) % list.length];
      if (!a) change(own.start ? [{ op: "set", path, value: own.start.map(told) }] : [], 0);
      else if (list.length < 3) change([{ op: "add", path, value: told(a) }], list.length);
      else change([{ op: i + 1 < list.length ? "insert" : "add", path: i + 1 < list.length ? [...path, i + 1] : path, value: told([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]) }], i + 1);
    };
    return away(name, say(`${word}_n`, { n: list.length }), [name], () => [
      make("ol", { class: "corners", "data-corners": name }, ...list.map((_, i) => make("li", {}, rows(...makePair({ path: [...path, i], words }, plan, desk.change)),
        make("div", { class: "start" },
          button(say("corner_add"), () => add(i), { "data-key": `add ${name}[${i}]`, "aria-label": say("corner_add_what", { n: i + 1 }) }),
          button(say("remove"), () => change([{ op: "remove", path: [...path, i] }], Math.max(0, i - 1)), { "data-key": `remove ${name}[${i}]`, "aria-label": say("corner_remove", { n: i + 1 }) }))))),
      !list.length && own.start && button(say("add"), () => add(0), { "data-key": `add ${name}` }),
    ]);
  }

  /** Lists of places, such as holes. */
  function rings(/** @type {Path} */ path, /** @type {string} */ word) {
    const plan = desk.plan(), list = /** @type {any[]} */ (valueAt(plan.data, path) ?? []), name = pathName(path);
    const [x0, y0, x1, y1] = plan.outline_bounds, at = (/** @type {number} */ fx, /** @type {number} */ fy) => [x0 + fx * (x1 - x0), y0 + fy * (y1 - y0)].map((mm) => Math.round(mm / plan.unit_mm * 10) / 10);
    return away(name, say(`${word}_n`, { n: list.length }), [name], () => [
      ...list.map((_, i) => make("div", { class: "entry" }, corners([...path, i], "points"), button(say("remove"), () => removed(path, i, say(`${word}_one`)), { "aria-label": say("remove_what", { name: `${say(`${word}_one`)} ${i + 1}` }) }))),
      button(say(`${word}_add`), () => desk.change([{ op: "add", path, value: [at(0.4, 0.45), at(0.6, 0.45), at(0.6, 0.55), at(0.4, 0.55)] }], say("say_add", { name: say(`${word}_one`) }), null), { "data-key": `add ${name}` }),
    ]);
  }

  return { button, rows, fields, keysOf, away, more, optional, entries, added, removed, adder, corners };
}
