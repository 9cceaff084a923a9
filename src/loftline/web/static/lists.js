// Which lists a change counts anew, and whether another change is about what stands in them.

/** @typedef {(string | number)[]} Path */
/** @typedef {{op: string, path: Path}} Edit */

/** The lists in which entries get other numbers. @param {Edit[]} edits @returns {Path[]} */
export const counted = (edits) => edits.flatMap(({ op, path }) => (
  op === "add" ? [path] : op !== "set" && typeof path[path.length - 1] === "number" ? [path.slice(0, -1)] : []));

/** Whether one of the edits is about a list, or about something in it. @param {Edit[]} edits @param {Iterable<Path>} lists */
export const within = (edits, lists) => [...lists].some((list) => edits.some(({ path }) => list.every((key, i) => path[i] === key)));
