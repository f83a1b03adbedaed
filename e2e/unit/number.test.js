// The number pad: what keys make of a reading.
import assert from "node:assert/strict";
import test from "node:test";

import { MOST_DIGITS, blank, keyFor, press, readBack, reading } from "../../crates/web/assets/number.js";

const typed = (keys, unit = "V") => reading(keys.reduce(press, blank(unit)));

test("keys make the reading a meter shows", () => {
  assert.equal(typed(["1", "2", ".", "4"]), "12.4 V");
  assert.equal(typed([".", "5", "sign"]), "-0.5 V");
  assert.equal(typed(["1", "8", "unit:mV"]), "18 mV");
  assert.equal(typed(["0", "0", "7"]), "7 V");
  assert.equal(typed(["1", ".", ".", "2"]), "1.2 V");
  assert.equal(typed(["5", "."]), "5 V");
  assert.equal(typed(["1", "2", "back", "3"]), "13 V");
  assert.equal(typed(["1", "2", "clear"]), "");
  assert.equal(typed(["sign", "0"]), "0 V");
});

test("no more digits are taken than a meter has", () => {
  const keys = Array.from({ length: 12 }, () => "9");
  assert.equal(typed(keys), `${"9".repeat(MOST_DIGITS)} V`);
});

test("what stands in the field is read back, and only that", () => {
  const units = ["V", "mV"];
  assert.deepEqual(readBack("-12,40 mV", units), { digits: "12.40", negative: true, unit: "mV" });
  assert.deepEqual(readBack("\u22123", units), { digits: "3", negative: true, unit: "V" });
  assert.deepEqual(readBack("3 A", units), blank("V"));
  assert.deepEqual(readBack("between", units), blank("V"));
});

test("a keyboard does the same", () => {
  assert.deepEqual(["7", ",", "-", "Backspace", "x"].map(keyFor), ["7", ".", "sign", "back", undefined]);
});
