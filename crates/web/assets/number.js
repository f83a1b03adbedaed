// What the keys of the number pad do to a reading: pure, from one state to the next.
//
// A reading is digits, a sign and a unit. Does not know which units there are, nor any page.

/** Most digits of a reading; meters show six. */
export const MOST_DIGITS = 7;

/** The state with nothing typed in. `unit` is the one to begin with. */
export function blank(unit = "") {
  return { digits: "", negative: false, unit };
}

/** Reads what stands in a field, as far as it is a number with one of `units`; else blank. */
export function readBack(text, units) {
  const match = /^\s*([-\u2212])?\s*(\d*(?:[.,]\d*)?)\s*(.*?)\s*$/u.exec(text);
  const [, sign, digits, unit] = match ?? [];
  if (!match || digits === "" || (unit !== "" && !units.includes(unit))) return blank(units[0]);
  return { digits: digits.replace(",", "."), negative: Boolean(sign), unit: unit || units[0] };
}

/** What a key does. Keys: a digit, ".", "sign", "back", "clear", or `unit:V`. */
export function press(state, key) {
  if (/^\d$/.test(key)) return withDigit(state, key);
  if (key === ".") return withPoint(state);
  if (key === "sign") return { ...state, negative: !state.negative };
  if (key === "back") return { ...state, digits: state.digits.slice(0, -1) };
  if (key === "clear") return blank(state.unit);
  if (key.startsWith("unit:")) return { ...state, unit: key.slice("unit:".length) };
  return state;
}

function withDigit(state, digit) {
  if (state.digits.replace(".", "").length >= MOST_DIGITS) return state;
  return { ...state, digits: state.digits === "0" ? digit : state.digits + digit };
}

function withPoint(state) {
  if (state.digits.includes(".")) return state;
  return { ...state, digits: `${state.digits || "0"}.` };
}

/** The reading as it goes into the record: `-12.4 V`; empty while there is no digit. */
export function reading({ digits, negative, unit }) {
  const number = digits.replace(/\.$/, "");
  if (number === "") return "";
  const sign = negative && Number(number) !== 0 ? "-" : "";
  return unit ? `${sign}${number} ${unit}` : `${sign}${number}`;
}

/** The key of the pad that a key of a keyboard stands for, or nothing. */
export function keyFor(typed) {
  if (/^\d$/.test(typed) || typed === ".") return typed;
  return { ",": ".", "-": "sign", Backspace: "back", Delete: "clear" }[typed];
}
