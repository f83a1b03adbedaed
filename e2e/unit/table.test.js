// Tables pasted from elsewhere. Quoted cells as in RFC 4180, 2.5 to 2.7.
import assert from "node:assert/strict";
import test from "node:test";

import { cells, linesFrom } from "../../crates/web/assets/table.js";

test("tabs, semicolons, bars and quoted commas are all tables", () => {
  assert.deepEqual(cells("a\tb\nc\td"), [["a", "b"], ["c", "d"]]);
  assert.deepEqual(cells("a;b\r\nc;d\r\n"), [["a", "b"], ["c", "d"]]);
  assert.deepEqual(cells("| a | b |\n|---|---|\n| c | d |"), [["a", "b"], ["c", "d"]]);
  assert.deepEqual(cells('a,"b, with more"\nc,d'), [["a", "b, with more"], ["c", "d"]]);
});

test("wires with heads in any order become lines of the record", () => {
  const text = "To\tWire\tFrom\tmm2\tColour\tLength\nfridge.+\tF 1\tbox.1\t4\tred\t3,4\nneg-bar\tf2\tfridge.-\t12 AWG\tblack\t11 ft";
  assert.deepEqual(linesFrom(text, "wires"), {
    lines: ['f-1 = "box.1 to fridge.+, 4 mm2, red, 3.4 m"', 'f2 = "fridge.- to neg-bar, 12 AWG, black, 11 ft"'],
    troubles: [],
  });
});

test("a soft line break within a head is a blank", () => {
  assert.deepEqual(linesFrom("name\tfrom\tto\tlength\u2028(m)\nw1\ta.+\tb.+\t2", "wires").lines, ['w1 = "a.+ to b.+, 2 m"']);
});

test("without heads the usual order is taken", () => {
  assert.deepEqual(linesFrom("w1;house.+;main.in;16;red;1.8", "wires").lines, ['w1 = "house.+ to main.in, 16 mm2, red, 1.8 m"']);
  assert.deepEqual(linesFrom("pump,water pump,,under the sink,sink-door", "devices").lines,
    ['pump = { kind = "water pump", at = "under the sink", behind = "sink-door" }']);
});

test("what cannot be a line is said with its row; the rest is used", () => {
  const { lines, troubles } = linesFrom("name,from,to\nw1,a.+,b.+\n,c.+,d.+\nw3,e.+,", "wires");
  assert.deepEqual(lines, ['w1 = "a.+ to b.+"']);
  assert.deepEqual(troubles.map(({ row }) => row), [3, 4]);
});

test("quotes and backslashes in cells cannot end the text they stand in", () => {
  const [line] = linesFrom('name\tkind\tlabel\nx\tother\tthe ""big"" one\\', "devices").lines;
  assert.equal(line, 'x = { kind = "other", label = "the \\"\\"big\\"\\" one\\\\" }');
  const [quoted] = linesFrom('name\tkind\tlabel\nx\tother\t"the ""big"" one"', "devices").lines;
  assert.equal(quoted, 'x = { kind = "other", label = "the \\"big\\" one" }');
});

test("a quote inside a cell is an inch and holds nothing together", () => {
  assert.deepEqual(cells('a;1/2" hose;b;c'), [["a", '1/2" hose', "b", "c"]]);
});

test("no cell of a wire is left out: further columns, heads that are not known, cells beyond the heads", () => {
  const heads = "Name;From;To;Size;Colour;Length";
  const row = "pv;panel.dc;solar.pv;2 x 4 mm2;;5 m;behind ceiling";
  assert.deepEqual(linesFrom(`${heads}\n${row}`, "wires"), {
    lines: ['pv = "panel.dc to solar.pv, 2 x 4 mm2, 5 m, behind ceiling"'],
    troubles: [],
  });
  assert.deepEqual(linesFrom(row, "wires").lines, ['pv = "panel.dc to solar.pv, 2 x 4 mm2, 5 m, behind ceiling"']);
  const more = "Wire;From;To;Core;Insulation;Behind;What was seen\nf1;box.1;fridge.+;fine;105;sink-door;chafed, no grommet\nf2;box.2;fan.+;solid;;behind roof;";
  assert.deepEqual(linesFrom(more, "wires").lines, [
    'f1 = "box.1 to fridge.+, fine, 105 C, behind sink-door, chafed, no grommet"',
    'f2 = "box.2 to fan.+, solid, behind roof"',
  ]);
});

test("what a device has no place for is said with its row in the text", () => {
  const { lines, troubles } = linesFrom("Name;Kind;At\n\npump;water pump;under the sink;grey\nfan;fan;roof", "devices");
  assert.deepEqual(lines, ['fan = { kind = "fan", at = "roof" }']);
  assert.deepEqual(troubles, [{ row: 3, what: "`grey` was not taken: there is no column for it" }]);
});

test("two heads for one column: neither cell is lost", () => {
  assert.deepEqual(linesFrom("No;Name;From;To\n7;w1;a.+;b.+", "wires").lines, ['w1 = "a.+ to b.+, 7"']);
});

test("a bare number has the unit of its head, and none where the head names one that is not known", () => {
  const said = (size, length) => linesFrom(`wire;from;to;${size};${length}\nw1;a.+;b.+;12;11`, "wires").lines[0];
  assert.equal(said("Size", "Length"), 'w1 = "a.+ to b.+, 12 mm2, 11 m"');
  assert.equal(said("AWG", "Length (ft)"), 'w1 = "a.+ to b.+, 12 AWG, 11 ft"');
  assert.equal(said("Size [mm²]", "length (cm)"), 'w1 = "a.+ to b.+, 12 mm2, 11 cm"');
  assert.equal(said("gauge", "Length (yards)"), 'w1 = "a.+ to b.+, 12, 11"');
});
