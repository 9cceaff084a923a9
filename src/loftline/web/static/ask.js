// Asking the planner, and reading its answers: a header in JSON, then arrays of whole numbers.

/** Something that the planner refuses, in words. */
export class Refused extends Error {
  /** @param {{where: string, message: string}[]} faults */
  constructor(faults) {
    super(faults.map((f) => f.message).join("\n"));
    this.faults = faults;
  }
}

/** The file on the disk is another one now. */
export class ChangedMeanwhile extends Error {}

/** Nobody answers. */
export class Lost extends Error {}

/**
 * @param {string} what
 * @param {object} [about]
 * @returns {Promise<Response>}
 */
async function post(what, about = {}) {
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
  if (told.changed_meanwhile) throw new ChangedMeanwhile(told.changed_meanwhile);
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
