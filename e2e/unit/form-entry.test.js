// Forms into changes: the shapes are those that the journal takes (crates/store/src/entry.rs).
import assert from "node:assert/strict";
import test from "node:test";

import { changeFrom, changesFrom, isKnown } from "../../crates/web/assets/form-entry.js";

test("a line, a value, a note, a tick", () => {
  assert.deepEqual(changeFrom("line", { section: "wires", text: ' w9 = "a.+ to b.+" ' }).change,
    { line: { section: "wires", text: 'w9 = "a.+ to b.+"' } });
  assert.deepEqual(changeFrom("value", { path: "devices.charger.limit", is: "30 A", was: "unknown" }).change,
    { value: { path: "devices.charger.limit", is: "30 A", was: "unknown" } });
  assert.deepEqual(changeFrom("note", { on: "", words: "rust here" }).change, { note: { words: "rust here" } });
  assert.deepEqual(changeFrom("tick", { list: "way-in", step: "mattress", reading: "" }).change,
    { tick: { list: "way-in", step: "mattress", done: true } });
  assert.deepEqual(changeFrom("tick", { list: "way-in", step: "mattress", done: "false" }).change.tick.done, false);
});

test("a no is a no, and nothing said is no yes", () => {
  assert.equal(changeFrom("authority", { to: "cut", by: "owner", given: "no" }).change.authority.given, false);
  assert.equal(changeFrom("authority", { to: "cut", by: "owner" }).change.authority.given, false);
});

test("what is missing is said, and kinds that are not known are left to the server", () => {
  assert.deepEqual(changeFrom("note", { words: "  " }), { missing: "the words" });
  assert.equal(isKnown("login"), false);
});

test("the whole record keeps its blanks", () => {
  assert.equal(changeFrom("text", { is: "\nunbury = 1\n" }).change.text.is, "\nunbury = 1\n");
});

test("lines keep their blanks, and can be taken out", () => {
  assert.deepEqual(changeFrom("lines", { from: "  w1 = x ", to: " w1 = \"a to b\" " }).change,
    { lines: { from: "  w1 = x ", to: " w1 = \"a to b\" " } });
  assert.deepEqual(changeFrom("lines", { from: "w1 = x", to: "" }).change, { lines: { from: "w1 = x", to: "" } });
  assert.deepEqual(changeFrom("lines", { from: " ", to: "x" }), { missing: "from" });
});

test("a value and a reading can be made of several fields", () => {
  assert.deepEqual(changeFrom("value", { path: "symptoms.cold.shows", template: "%by% %is%", by: "seen", is: "weak" }).change,
    { value: { path: "symptoms.cold.shows", is: "seen weak" } });
  const dead = { list: "dead", step: "switch main", template: "known source %known%; points %points%", known: "12.6 V" };
  assert.deepEqual(changeFrom("tick", dead), { missing: "points" });
  assert.equal(changeFrom("tick", { ...dead, points: "0 V" }).change.tick.reading, "known source 12.6 V; points 0 V");
});

test("a line instead of what stands there is two changes, in this order", () => {
  const said = { path: "symptoms.trip", was: "it tripped", section: "symptoms", template: 'trip = { words = "%words%", device = "%is%" }', words: "it tripped", is: "fridge" };
  assert.deepEqual(changesFrom("instead", said).map(({ change }) => change), [
    { remove: { path: "symptoms.trip", was: "it tripped" } },
    { line: { section: "symptoms", text: 'trip = { words = "it tripped", device = "fridge" }' } },
  ]);
  assert.ok(isKnown("instead"));
});
