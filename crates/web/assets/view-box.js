// The window through which a drawing is seen: which part of it, how large. Pure arithmetic on boxes
// `{x, y, width, height}` in the drawing's own units.
//
// Does not know SVG, pointers or keys.

/** How much nearer than "all of it" one may go. */
export const NEAREST = 14;

/** The smallest box of the proportion `aspect` (width by height) that holds all of `content`. */
export function fit(content, aspect) {
  const wide = content.width / content.height > aspect;
  const width = wide ? content.width : content.height * aspect;
  const height = wide ? content.width / aspect : content.height;
  return {
    x: content.x + (content.width - width) / 2,
    y: content.y + (content.height - height) / 2,
    width,
    height,
  };
}

/**
 * All of it; or, where letters `letter` units high would be less than `leastPx` high on `widthPx` pixels, the view
 * around `box` in which they are that high.
 */
export function legible(content, aspect, box, { letter, widthPx, leastPx }) {
  const whole = fit(content, aspect);
  const width = Math.max((letter * widthPx) / leastPx, whole.width / NEAREST);
  if (width >= whole.width) return whole;
  const height = width / aspect;
  const view = { x: box.x + box.width / 2 - width / 2, y: box.y + box.height / 2 - height / 2, width, height };
  return inside(view, content);
}

/** How many times larger than fitted the view is. */
export function nearness(view, content) {
  return fit(content, view.width / view.height).width / view.width;
}

/** Nearer by `factor` (above 1) or farther, with `point` staying where it is. */
export function zoom(view, content, factor, point) {
  const whole = fit(content, view.width / view.height);
  const width = Math.min(Math.max(view.width / factor, whole.width / NEAREST), whole.width);
  const ratio = width / view.width;
  return inside(
    {
      x: point.x - (point.x - view.x) * ratio,
      y: point.y - (point.y - view.y) * ratio,
      width,
      height: view.height * ratio,
    },
    content,
  );
}

/** Moved by a distance in the drawing's units. */
export function pan(view, content, dx, dy) {
  return inside({ ...view, x: view.x + dx, y: view.y + dy }, content);
}

/**
 * After two fingers moved from `before` to `after` (two points each, in shares 0..1 of the window): what
 * was under each finger stays between them, and what is between them grows with their distance.
 */
export function pinch(view, content, before, after) {
  const factor = distance(after) / Math.max(distance(before), 1e-6);
  const from = middle(before);
  const to = middle(after);
  const held = { x: view.x + from.x * view.width, y: view.y + from.y * view.height };
  const nearer = zoom(view, content, factor, held);
  return pan(nearer, content, (from.x - to.x) * nearer.width, (from.y - to.y) * nearer.height);
}

/** A view of the proportion of `view` with `box` in its middle, no nearer than `most`. */
export function lookAt(view, content, box, most = 4) {
  const whole = fit(content, view.width / view.height);
  const room = fit(grown(box, 1.6), view.width / view.height);
  const width = Math.min(Math.max(room.width, whole.width / most), whole.width);
  const height = (width * view.height) / view.width;
  const x = box.x + box.width / 2 - width / 2;
  const y = box.y + box.height / 2 - height / 2;
  return inside({ x, y, width, height }, content);
}

function grown(box, factor) {
  const width = Math.max(box.width, 1) * factor;
  const height = Math.max(box.height, 1) * factor;
  return { x: box.x - (width - box.width) / 2, y: box.y - (height - box.height) / 2, width, height };
}

/** Keeps the window on the drawing, so that it cannot be lost. */
function inside(view, content) {
  const whole = fit(content, view.width / view.height);
  return {
    ...view,
    x: between(view.x, Math.min(whole.x, content.x), edge(whole, content, "x", "width") - view.width),
    y: between(view.y, Math.min(whole.y, content.y), edge(whole, content, "y", "height") - view.height),
  };
}

function edge(whole, content, from, size) {
  return Math.max(whole[from] + whole[size], content[from] + content[size]);
}

function between(value, least, most) {
  return Math.min(Math.max(value, least), Math.max(least, most));
}

function distance([a, b]) {
  return Math.hypot(a.x - b.x, a.y - b.y);
}

function middle([a, b]) {
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
}
