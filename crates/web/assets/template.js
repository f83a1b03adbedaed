// Lines of the record with gaps, filled from the fields of a form: pure, the same as `look/template.rs`.
//
// `%name%` is the field `name` as it may stand between double quotes; `(?` and `?)` hold what is left out when a gap
// in it stays empty. `"%name*%"` is a list: what commas part stands between quotes of its own. Does not know what a
// line says.

/** `{text}`, or `{missing}` with the name of the first field that has to be there and is not. */
export function filled(template, fields) {
  const known = { ...fields, value: withUnit(fields), name: String(fields.name ?? "").trim() || freeName() };
  let missing;
  const gap = (piece) => piece.replace(/%([^%*]*)(\*?)%/g, (_, name, isList) => {
    const value = String(known[name] ?? "").trim();
    const parts = isList ? value.split(",").map((part) => part.trim()).filter((part) => part) : [value];
    if (parts.join("") === "") missing ??= name;
    return parts.map(escaped).join('", "');
  });
  let text = "";
  for (const piece of template.split(/(\(\?.*?\?\))/s)) {
    if (!piece.startsWith("(?")) {
      text += gap(piece);
      continue;
    }
    const before = missing;
    const inner = gap(piece.slice(2, -2));
    if (missing === before) text += inner;
    missing = before;
  }
  return missing ? { missing } : { text };
}

/** What stands before a fact, the fact, what stands after it; a bare number gets the unit of the form. */
export function joined({ before = "", is = "", after = "", unit = "" }) {
  const number = is.trim().replaceAll(",", ".").replaceAll("\u2212", "-");
  const isBare = unit !== "" && /^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)$/.test(number);
  return `${before}${isBare ? `${number} ${unit}` : is.trim()}${after}`;
}

function withUnit({ value, unit }) {
  const number = String(value ?? "").trim().replaceAll(",", ".").replaceAll("\u2212", "-");
  if (!unit) return value;
  return number === "" || /\p{L}$/u.test(number) ? number : `${number} ${unit}`;
}

function escaped(text) {
  return text.replace(/["\\]/g, "\\$&").replace(/[\u0000-\u001f\u007f-\u009f]/g, (letter) =>
    `\\u${letter.charCodeAt(0).toString(16).toUpperCase().padStart(4, "0")}`);
}

let made = 0;

/** A name that nobody else makes: the moment, a piece of chance, a number of this page. */
function freeName() {
  made += 1;
  const chance = Math.floor(Math.random() * 1296).toString(36).padStart(2, "0");
  return `n-${Date.now().toString(36)}${chance}${made.toString(36)}`;
}
