// A table pasted from a spreadsheet or a message, as shorthand lines of the record: pure.
//
// Columns are found by their heads; without known heads the order `name, from, to, size, colour, length` (wires) or
// `name, kind, label, at, behind` (devices) is taken. Of a wire every further cell becomes a piece of its line; what a
// device has no place for is said. Nothing is left out silently. Does not judge what the lines say: the record's reader
// does.

/** Sections a table can be pasted into, and their columns in the usual order. */
export const COLUMNS = {
  wires: ["name", "from", "to", "size", "colour", "length"],
  devices: ["name", "kind", "label", "at", "behind"],
};
/** Columns that are known by their heads only. */
const FURTHER = { wires: ["core", "insulation", "behind"], devices: [] };
const HEADS = {
  name: ["name", "id", "no", "no.", "wire", "device", "cable"],
  from: ["from", "a", "start"],
  to: ["to", "b", "end"],
  size: ["size", "section", "gauge", "mm2", "mm²", "awg", "cross-section"],
  colour: ["colour", "color"],
  length: ["length", "m", "metres", "long"],
  core: ["core", "strands", "conductor"],
  insulation: ["insulation", "print", "print on it", "temperature"],
  kind: ["kind", "type", "what"],
  label: ["label", "called"],
  at: ["at", "where", "place"],
  behind: ["behind", "runs behind"],
};
/** What a number without a unit is, where the head does not say. */
const UNITS = { size: "mm2", length: "m", insulation: "C" };
/** Units that heads are, or name in brackets; a gauge may be any. */
const HEAD_UNITS = new Map([["mm2", "mm2"], ["mm²", "mm2"], ["awg", "AWG"], ["gauge", ""], ["m", "m"], ["cm", "cm"], ["mm", "mm"],
  ["ft", "ft"], ["c", "C"], ["°c", "C"]]);
const NAME = /^[a-z0-9_/-]{1,60}$/;
/** Most lines of one table. */
export const MOST_ROWS = 500;

/** The cells of a pasted table: tabs, semicolons, bars, or commas outside quotes, whichever the text has most. */
export function cells(text) {
  return rowsOf(text).map((row) => row.cells);
}

/** The same with the number that each line has in the text. */
function rowsOf(text) {
  const lines = text.split(/\r?\n/).map((line, place) => ({ number: place + 1, line }))
    .filter(({ line }) => line.trim() !== "" && !/^[\s|:-]+$/.test(line));
  const marks = ["\t", ";", "|", ","];
  const counted = marks.map((mark) => lines.filter(({ line }) => line.includes(mark)).length);
  const mark = marks[counted.indexOf(Math.max(...counted))];
  return lines.map(({ number, line }) => ({ number, cells: split(mark === "|" ? line.replace(/^\s*\||\|\s*$/g, "") : line, mark) }));
}

/** A cell is quoted when it begins with a quote; anywhere else a quote is an inch, or a quote. */
function split(line, mark) {
  const out = [""];
  let quoted = false;
  for (let place = 0; place < line.length; place += 1) {
    const letter = line[place];
    const cell = out.length - 1;
    if (quoted && letter === '"' && line[place + 1] === '"') {
      out[cell] += '"';
      place += 1;
    } else if (quoted && letter === '"') quoted = false;
    else if (!quoted && letter === '"' && out[cell].trim() === "") quoted = true;
    else if (letter === mark && !quoted) out.push("");
    else out[cell] += letter;
  }
  return out.map((cell) => cell.trim());
}

/** `{lines, troubles}`: shorthand lines for `section`, and `{row, what}` for what cannot be one. */
export function linesFrom(text, section) {
  const rows = rowsOf(text);
  const { columns, first } = columnsOf(rows, section);
  const lines = [];
  const troubles = [];
  rows.slice(first).forEach(({ number, cells: row }, place) => {
    const said = place >= MOST_ROWS ? { what: `only ${MOST_ROWS} lines are taken at once` } : line(fieldsOf(row, columns), section);
    if (said.line) lines.push(said.line);
    else troubles.push({ row: number, what: said.what });
  });
  return { lines, troubles };
}

/** The cells of known columns by name; all others that hold something are `more`. */
function fieldsOf(row, columns) {
  const fields = { more: [] };
  row.forEach((cell, at) => {
    const { column, unit } = columns[at] ?? {};
    if (column) fields[column] = withUnit(cell, unit);
    else if (cell) fields.more.push(cell);
  });
  return fields;
}

function columnsOf(rows, section) {
  const known = [...COLUMNS[section], ...FURTHER[section]];
  const heads = (rows[0]?.cells ?? []).map((cell) => headOf(cell, known));
  // Of two heads for one column the one that is called so has it, else the first.
  const found = heads.map((head, at) => {
    const alike = heads.filter(({ column }) => column && column === head.column);
    return head === (alike.find(({ word, column }) => word === column) ?? alike[0]) ? heads[at] : {};
  });
  if (found.filter(({ column }) => column).length >= 2) return { columns: found, first: 1 };
  return { columns: COLUMNS[section].map((column) => ({ column, unit: UNITS[column] })), first: 0 };
}

/** What a head says: `Length (ft)` is the column `length` in feet. */
function headOf(cell, known) {
  const [, word, inside] = /^(.*?)\s*(?:[([]\s*(.*?)\s*[)\]])?$/.exec(cell.toLowerCase().replace(/\s+/g, " ").trim()) ?? [];
  const column = known.find((one) => HEADS[one].includes(word));
  if (!UNITS[column]) return { word, column };
  const named = inside || (HEAD_UNITS.has(word) ? word : undefined);
  // A unit that is not known makes no number of another: the record's reader asks for it.
  return { word, column, unit: named === undefined ? UNITS[column] : HEAD_UNITS.get(named) ?? "" };
}

function line(fields, section) {
  const name = plainName(fields.name ?? "");
  if (name === "") return { what: "no name" };
  if (!NAME.test(name)) return { what: `\`${fields.name}\` is no name: letters, digits, hyphens, 60 at most` };
  return section === "wires" ? wire(name, fields) : device(name, fields);
}

function plainName(text) {
  return text.toLowerCase().replace(/[\s.]+/g, "-");
}

function wire(name, fields) {
  if (!fields.from || !fields.to) return { what: `${name}: from where to where? write "unknown" for an end nobody has seen` };
  const behind = fields.behind && (/^behind\s/i.test(fields.behind) ? fields.behind : `behind ${fields.behind}`);
  const { size, colour, length, core, insulation } = fields;
  // Several things in one cell are several pieces.
  const more = fields.more.flatMap((cell) => cell.split(/,(?!\d)/));
  const pieces = [`${fields.from} to ${fields.to}`, size, colour, length, core, insulation, behind, ...more];
  return { line: `${name} = ${quoted(pieces.map((piece) => noComma(piece ?? "").trim()).filter(Boolean).join(", "))}` };
}

function device(name, fields) {
  if (!fields.kind) return { what: `${name}: what kind is it?` };
  if (fields.more.length > 0) {
    const cells = fields.more.map((cell) => `\`${cell}\``).join(", ");
    return { what: `${cells} was not taken: there is no column for it` };
  }
  const parts = ["kind", "label", "at", "behind"].filter((part) => fields[part]).map((part) => `${part} = ${quoted(fields[part])}`);
  return { line: `${name} = { ${parts.join(", ")} }` };
}

function withUnit(text, unit) {
  return unit && /^\d+([.,]\d+)?$/.test(text) ? `${text.replace(",", ".")} ${unit}` : text;
}

function noComma(text) {
  return text.replace(/,(?=\d)/g, ".").replace(/,/g, " ");
}

function quoted(text) {
  return `"${text.replace(/[\\"]/g, "\\$&")}"`;
}
