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
  assert.equal(line, 'x = { kind = "other", label = "the big one\\\\" }');
});
