// Arrows on photos: few points, in shares, and nothing but points.
import assert from "node:assert/strict";
import test from "node:test";

import { MOST_POINTS, arrowHead, fromPath, simplified, toPath } from "../../crates/web/assets/mark.js";

test("a straight stroke keeps its two ends", () => {
  const points = Array.from({ length: 50 }, (_, index) => ({ x: 0.1 + index * 0.01, y: 0.2 + index * 0.005 }));
  assert.equal(toPath(points), "M0.1 0.2L0.59 0.445");
});

test("a corner farther off than the tolerance stays, a nearer one goes", () => {
  const corner = (height) => [{ x: 0, y: 0 }, { x: 0.5, y: height }, { x: 1, y: 0 }];
  assert.equal(simplified(corner(0.02), 0.01).length, 3);
  assert.equal(simplified(corner(0.005), 0.01).length, 2);
});

test("a tap makes no mark, and a scribble no more points than the limit", () => {
  assert.equal(toPath([{ x: 0.5, y: 0.5 }]), "");
  const scribble = Array.from({ length: 3000 }, (_, index) => ({ x: 0.5 + 0.4 * Math.cos(index), y: 0.5 + 0.4 * Math.sin(index * 1.7) }));
  assert.ok(toPath(scribble).split(/[ML]/).length - 1 <= MOST_POINTS);
});

test("points beside the picture are put on its edge", () => {
  assert.equal(toPath([{ x: -0.3, y: 0.5 }, { x: 1.2, y: 0.5 }]), "M0 0.5L1 0.5");
});

test("a path is read back; anything else is no path", () => {
  assert.deepEqual(fromPath("M0.1 0.2L0.3 0.4M0 0L1 1"), [[{ x: 0.1, y: 0.2 }, { x: 0.3, y: 0.4 }], [{ x: 0, y: 0 }, { x: 1, y: 1 }]]);
  for (const text of ["", "M0 0", "M0 0L1 1<script>", "m0 0l1 1", "M0 0C1 1 2 2 3 3"]) assert.equal(fromPath(text), undefined, text);
});

test("the head of an arrow sits at its tip, as long as asked, on both sides", () => {
  const head = arrowHead([{ x: 0, y: 0.5 }, { x: 1, y: 0.5 }], 100, 100, 10);
  const [[a, tip, b]] = fromPath(head);
  assert.deepEqual(tip, { x: 100, y: 50 });
  for (const barb of [a, b]) assert.ok(Math.abs(Math.hypot(tip.x - barb.x, tip.y - barb.y) - 10) < 0.02);
  assert.ok(Math.abs(a.y - 50 + (b.y - 50)) < 0.02 && a.y !== b.y);
});
