// The window on a drawing, held against closed forms.
import assert from "node:assert/strict";
import test from "node:test";

import { NEAREST, fit, legible, lookAt, nearness, pan, pinch, zoom } from "../../crates/web/assets/view-box.js";

const content = { x: 0, y: 0, width: 1000, height: 500 };
const near = (a, b, what) => assert.ok(Math.abs(a - b) < 1e-9, `${what}: ${a} against ${b}`);

test("fitting shows all of it in the middle", () => {
  assert.deepEqual(fit(content, 2), content);
  assert.deepEqual(fit(content, 1), { x: 0, y: -250, width: 1000, height: 1000 });
  assert.deepEqual(fit(content, 4), { x: -500, y: 0, width: 2000, height: 500 });
});

test("the point under the finger stays where it is while one goes nearer", () => {
  const point = { x: 300, y: 200 };
  const before = fit(content, 2);
  const after = zoom(before, content, 3, point);
  near(nearness(after, content), 3, "three times nearer");
  near((point.x - after.x) / after.width, (point.x - before.x) / before.width, "x share");
  near((point.y - after.y) / after.height, (point.y - before.y) / before.height, "y share");
});

test("nobody gets farther than all of it, nor nearer than the limit", () => {
  const whole = fit(content, 1.3);
  assert.deepEqual(zoom(whole, content, 0.2, { x: 1, y: 1 }), whole);
  near(nearness(zoom(whole, content, 1000, { x: 500, y: 250 }), content), NEAREST, "limit");
});

test("the window cannot leave the drawing", () => {
  const view = zoom(fit(content, 2), content, 4, { x: 500, y: 250 });
  const far = pan(view, content, 9999, -9999);
  near(far.x + far.width, 1000, "right edge");
  near(far.y, 0, "top edge");
  assert.deepEqual(pan(fit(content, 2), content, 50, 50), fit(content, 2));
});

test("two fingers hold the two points they touch", () => {
  const view = zoom(fit(content, 2), content, 2, { x: 500, y: 250 });
  const before = [{ x: 0.4, y: 0.5 }, { x: 0.6, y: 0.5 }];
  const after = [{ x: 0.3, y: 0.55 }, { x: 0.7, y: 0.55 }];
  const then = pinch(view, content, before, after);
  before.forEach((finger, index) => {
    near(then.x + after[index].x * then.width, view.x + finger.x * view.width, `x under finger ${index}`);
    near(then.y + after[index].y * then.height, view.y + finger.y * view.height, `y under finger ${index}`);
  });
});

test("an item that is looked at is in the window", () => {
  const box = { x: 900, y: 20, width: 40, height: 10 };
  const view = lookAt(fit(content, 0.6), content, box);
  assert.ok(view.x <= box.x && view.x + view.width >= box.x + box.width);
  assert.ok(view.y <= box.y && view.y + view.height >= box.y + box.height);
});

test("what can be read whole is shown whole; else its letters are as high as wanted, round what matters", () => {
  const box = { x: 400, y: 200, width: 40, height: 10 };
  assert.deepEqual(legible(content, 2, box, { letter: 12, widthPx: 1000, leastPx: 11 }), fit(content, 2));
  const view = legible(content, 2, box, { letter: 12, widthPx: 300, leastPx: 11 });
  // A letter of 12 units on 300 pixels for `view.width` units.
  near((12 * 300) / view.width, 11, "height of letters");
  assert.ok(view.x <= box.x && view.x + view.width >= box.x + box.width);
});
