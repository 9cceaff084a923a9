// Millimetres in the maker's unit, for showing.

/** @param {number} mm @param {string} units */
export function lengthWords(mm, units) {
  if (units === "in") return `${trim(mm / 25.4, 2)} in`;
  if (units === "cm") return `${trim(mm / 10, 1)} cm`;
  return `${trim(mm, mm < 10 ? 1 : 0)} mm`;
}

/** A length of thread. @param {number} mm @param {string} units */
export function threadWords(mm, units) {
  if (units === "in") return mm >= 914.4 ? `${trim(mm / 914.4, 1)} yd` : `${trim(mm / 25.4, 1)} in`;
  return mm >= 1000 ? `${trim(mm / 1000, 1)} m` : `${trim(mm, 0)} mm`;
}

/** @param {number} value @param {number} places */
export function trim(value, places) {
  return String(Number(value.toFixed(places)));
}

/** A place as it is written into the file: to half a millimetre, or a sixteenth of an inch. @param {number} mm @param {string} units */
export function written(mm, units) {
  if (units === "in") return Math.round((mm / 25.4) * 16) / 16;
  if (units === "cm") return Math.round(mm * 2) / 20;
  return Math.round(mm * 2) / 2;
}
