import assert from "node:assert/strict";
import { test } from "node:test";

import { filled, joined } from "../../crates/web/assets/template.js";

test("what is not said is left out", () => {
  const template = '%name% = "%from% to %to%(?, %size%?)(?, %length%?)"';
  const fields = { name: "w1", from: "a", to: "b", size: " ", length: "2 m" };
  assert.deepEqual(filled(template, fields), { text: 'w1 = "a to b, 2 m"' });
  assert.deepEqual(filled(template, { name: "w1", from: "a" }), { missing: "to" });
});

test("what commas part becomes a list", () => {
  const line = (on) => filled('x = 1(?, on = ["%on*%"]?)', { on }).text;
  assert.equal(line("fridge, pump ,"), 'x = 1, on = ["fridge", "pump"]');
  assert.equal(line(" , "), "x = 1");
});

test("what was typed stays inside its quotes (TOML 1.0.0, String)", () => {
  const { text } = filled('n = "%v%"', { v: '" }\nowner = "x\\' });
  assert.equal(text, 'n = "\\" }\\u000Aowner = \\"x\\\\"');
});

test("a bare number gets its unit, a number with one keeps it", () => {
  const line = (value, unit) => filled("%value%", { value, unit }).text;
  assert.equal(line("10,7", "V"), "10.7 V");
  assert.equal(line("85 mV", "V"), "85 mV");
  assert.equal(line("\u22120.4", "A"), "-0.4 A");
  assert.equal(line("dead"), "dead");
});

test("names that are left empty are all different", () => {
  const names = new Set(Array.from({ length: 20 }, () => filled("%name%", {}).text));
  assert.equal(names.size, 20);
});

test("a value is what stands before it, itself, and what stands after it", () => {
  assert.equal(joined({ before: "a to b, ", is: " 6 mm2 ", after: ", red" }), "a to b, 6 mm2, red");
  assert.equal(joined({ is: "30 A" }), "30 A");
  assert.equal(joined({ is: " 1200 ", unit: "W" }), "1200 W");
  assert.equal(joined({ before: "a to b, ", is: "0,9", after: ", red", unit: "m" }), "a to b, 0.9 m, red");
  assert.equal(joined({ is: "told 60 W", unit: "W" }), "told 60 W");
});
