// Ids made on the device, held against the worked example of the standard.
import assert from "node:assert/strict";
import test from "node:test";

import { kindOfDevice, newId } from "../../crates/web/assets/id.js";

test("the example of RFC 9562, appendix A.6, comes out", () => {
  // Timestamp 0x017F22E279B0 ms, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F with the variant above it.
  const bytes = new Uint8Array(16);
  bytes.set([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f], 6);
  assert.equal(newId(0x017f22e279b0, bytes), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
});

test("an id made later sorts later, and no two are the same", () => {
  const ids = Array.from({ length: 2000 }, (_, index) => newId(1_700_000_000_000 + index));
  assert.deepEqual([...ids].sort(), ids);
  assert.equal(new Set(Array.from({ length: 2000 }, () => newId(0))).size, 2000);
});

test("devices are told apart by what browsers say of themselves", () => {
  assert.equal(kindOfDevice("Mozilla/5.0 (Linux; Android 14; Pixel) Chrome/120 Mobile Safari"), "phone");
  assert.equal(kindOfDevice("Mozilla/5.0 (Linux; Android 14; Tab) Chrome/120 Safari"), "tablet");
  assert.equal(kindOfDevice("Mozilla/5.0 (X11; Linux x86_64) Chrome/120 Safari"), "computer");
});
