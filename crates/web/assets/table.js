// A table pasted from a spreadsheet or a message, as shorthand lines of the record: pure.
//
// Columns are found by their heads; without known heads the order `name, from, to, size, colour, length` (wires) or
// `name, kind, at, behind` (devices) is taken. What cannot be read is said line by line, the rest is used. Does not
// judge what the lines say: the record's reader does.

/** Sections a table can be pasted into, and their columns in the usual order. */
export const COLUMNS = {
  wires: ["name", "from", "to", "size", "colour", "length"],
  devices: ["name", "kind", "label", "at", "behind"],
};
const HEADS = {
  name: ["name", "id", "no", "no.", "wire", "device", "cable"],
  from: ["from", "a", "start"],
  to: ["to", "b", "end"],
  size: ["size", "section", "gauge", "mm2", "mm²", "awg", "cross-section"],
  colour: ["colour", "color"],
  length: ["length", "m", "metres", "long"],
  kind: ["kind", "type", "what"],
  label: ["label", "called"],
  at: ["at", "where", "place"],
  behind: ["behind"],
};
const NAME = /^[a-z0-9_/-]{1,60}$/;
/** Most lines of one table. */
export const MOST_ROWS = 500;

/** The cells of a pasted table: tabs, semicolons, bars, or commas outside quotes, whichever the text has most. */
export function cells(text) {
  const lines = text.split(/\r?\n/).filter((line) => line.trim() !== "" && !/^[\s|:-]+$/.test(line));
  const marks = ["\t", ";", "|", ","];
  const counted = marks.map((mark) => lines.filter((line) => line.includes(mark)).length);
  const mark = marks[counted.indexOf(Math.max(...counted))];
  return lines.map((line) => split(mark === "|" ? line.replace(/^\s*\||\|\s*$/g, "") : line, mark));
}

function split(line, mark) {
  const out = [""];
  let quoted = false;
  for (const letter of line) {
    if (letter === '"') quoted = !quoted;
    else if (letter === mark && !quoted) out.push("");
    else out[out.length - 1] += letter;
  }
  return out.map((cell) => cell.trim());
}

/** `{lines, troubles}`: shorthand lines for `section`, and `{row, what}` for what cannot be one. */
export function linesFrom(text, section) {
  const rows = cells(text);
  const { columns, first } = columnsOf(rows, section);
  const lines = [];
  const troubles = [];
  rows.slice(first).forEach((row, place) => {
    const fields = Object.fromEntries(columns.map((column, at) => [column, row[at] ?? ""]).filter(([column]) => column));
    const said = place >= MOST_ROWS ? { what: `only ${MOST_ROWS} lines are taken at once` } : line(fields, section);
    if (said.line) lines.push(said.line);
    else troubles.push({ row: place + first + 1, what: said.what });
  });
  return { lines, troubles };
}

function columnsOf(rows, section) {
  const head = (rows[0] ?? []).map((cell) => cell.toLowerCase());
  const found = head.map((cell) => COLUMNS[section].find((column) => HEADS[column].includes(cell)));
  const enough = found.filter(Boolean).length >= 2;
  return enough ? { columns: found, first: 1 } : { columns: COLUMNS[section], first: 0 };
}

function line(fields, section) {
  const name = plainName(fields.name ?? "");
  if (!NAME.test(name)) return { what: "no name in the first column" };
  return section === "wires" ? wire(name, fields) : device(name, fields);
}

function plainName(text) {
  return text.toLowerCase().replace(/[\s.]+/g, "-");
}

function wire(name, fields) {
  if (!fields.from || !fields.to) return { what: `${name}: from where to where? write "unknown" for an end nobody has seen` };
  const size = withUnit(fields.size, "mm2");
  const length = withUnit(fields.length, "m");
  const pieces = [`${fields.from} to ${fields.to}`, size, fields.colour, length].filter(Boolean).map(noComma);
  return { line: `${name} = ${quoted(pieces.join(", "))}` };
}

function device(name, fields) {
  if (!fields.kind) return { what: `${name}: what kind is it?` };
  const parts = ["kind", "label", "at", "behind"].filter((part) => fields[part]).map((part) => `${part} = ${quoted(fields[part])}`);
  return { line: `${name} = { ${parts.join(", ")} }` };
}

function withUnit(text, unit) {
  return /^\d+([.,]\d+)?$/.test(text ?? "") ? `${text.replace(",", ".")} ${unit}` : text;
}

function noComma(text) {
  return text.replace(/,(?=\d)/g, ".").replace(/,/g, " ");
}

function quoted(text) {
  return `"${text.replace(/[\\"]/g, "\\$&")}"`;
}
