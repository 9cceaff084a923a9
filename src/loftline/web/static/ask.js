// Asking the planner, and reading its answers: a header in JSON, then arrays of whole numbers.

/** Something that the planner refuses, in words. */
export class Refused extends Error {
  /** @param {{where: string, message: string}[]} faults */
  constructor(faults) {
    super(faults.map((f) => f.message).join("\n"));
    this.faults = faults;
  }
}

/** The file on the disk is another one now, or gone. */
export class ChangedMeanwhile extends Error {
  /** @param {string} file @param {boolean} gone */
  constructor(file, gone) {
    super(file);
    this.gone = gone;
  }
}

/** Another tab has changed the bag meanwhile. */
export class ChangedElsewhere extends Error {}

/** Nobody answers. */
export class Lost extends Error {}

let ended = false;
/** From now on nothing is asked any more: nobody is there. */
export function endAsking() {
  ended = true;
}

/**
 * @param {string} what
 * @param {object} [about]
 * @returns {Promise<Response>}
 */
async function post(what, about = {}) {
  if (ended) throw new Lost();
  let answer;
  try {
    answer = await fetch(`ask/${what}`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(about),
    });
  } catch {
    throw new Lost();
  }
  if (answer.status === 204) throw new Refused([]);
  if (!(answer.headers.get("content-type") ?? "").startsWith("application/json")) {
    if (!answer.ok) throw new Lost();
    return answer;
  }
  const told = await answer.clone().json();
  if (told.faults) throw new Refused(told.faults);
  if (told.changed_elsewhere !== undefined) throw new ChangedElsewhere();
  if (told.changed_meanwhile) throw new ChangedMeanwhile(told.changed_meanwhile, told.gone);
  return answer;
}

/** @param {string} what @param {object} [about] */
export async function askPlan(what, about) {
  return read(await (await post(what, about)).arrayBuffer());
}

/** @param {string} what @param {object} [about] */
export async function askTable(what, about) {
  return (await post(what, about)).json();
}

/** @param {string} what @param {object} [about] */
export async function askFile(what, about) {
  const answer = await post(what, about);
  /** @type {string[]} */
  const says = JSON.parse(decodeURIComponent(answer.headers.get("x-file-says") ?? "[]"));
  return { blob: await answer.blob(), name: answer.headers.get("x-file-name") ?? "", says };
}

/** A sentence of the catalogue with its values, or a value as it is. @typedef {string | {say: string} & Record<string, string>} Said */
/** @typedef {{code: string, severity: string, where: string, message: string, remedy: string, at: number[] | null, names: string[], field: string | null}} Finding */
/** @typedef {{place: number[] | null, turn: number, first: number, last: number}} Hooping */
/**
 * What is told of a plan; lengths in millimetres, what a maker wrote as she wrote it.
 * @typedef {object} Answer
 * @property {string} name
 * @property {string} slug
 * @property {"mm" | "cm" | "in"} units
 * @property {number} unit_mm
 * @property {boolean} by_hand
 * @property {any} data tables of the project file
 * @property {any} usual the same with all that is not written
 * @property {number[]} bounds with what is trimmed off: left, lower, right, upper
 * @property {number[]} outline_bounds
 * @property {any[]} pieces
 * @property {any[]} zones
 * @property {{name: string, line: number[]}[]} folds
 * @property {string[]} parts
 * @property {string[]} regions
 * @property {Record<string, number[]>} places of parts
 * @property {Record<string, number[]>} region_places
 * @property {string[]} edges
 * @property {[string, number][]} seams
 * @property {[string, Said][]} figures
 * @property {string[]} cautions
 * @property {string[]} advice
 * @property {{title: string, says: string[]}[]} work
 * @property {Finding[]} findings
 * @property {[string, number, number, string][]} closed faces: name, width, height, the parts in words
 * @property {string[]} closed_notes
 * @property {boolean} strap
 * @property {[string, string][]} letters
 * @property {boolean} clean
 * @property {Hooping[]} hoopings
 * @property {{holds: number, takes: number, needle: number}} bobbin
 * @property {{cell: number, low: number[], columns: number}} stiffness
 * @property {number} revision
 * @property {boolean} unsaved
 * @property {string | null} undo
 * @property {string | null} redo
 * @property {string | null} file
 * @property {string[]} sizes
 * @property {string | null} size
 * @property {any} [choices]
 * @property {Record<string, any>} arrays
 */

const KINDS = /** @type {Record<string, any>} */ ({ i4: Int32Array, u4: Uint32Array, u1: Uint8Array });

/**
 * @param {ArrayBuffer} buffer
 * @returns {any} the header, with the arrays by their names in `arrays`
 */
export function read(buffer) {
  const length = new DataView(buffer).getUint32(4, true);
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 8, length)));
  /** @type {Record<string, any>} */
  const arrays = {};
  let at = 8 + length;
  for (const { name, type, count } of header.arrays) {
    const Kind = KINDS[type.replace(/^[<|]/, "")];
    arrays[name] = new Kind(buffer, at, count);
    at += Math.ceil((count * Kind.BYTES_PER_ELEMENT) / 4) * 4;
  }
  return { ...header, arrays };
}
