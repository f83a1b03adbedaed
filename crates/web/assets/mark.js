// Marks drawn on a photo with a finger: kept as points of a path beside the photo, never in it.
//
// Points are shares of width and height, 0 to 1, so that they fit every size the photo is shown in. Pure;
// knows no pointers and no pictures.

/** Points nearer than this (in shares) to the line between their neighbours are left out. */
export const TOLERANCE = 0.006;

/** Most points of one stroke that are kept. */
export const MOST_POINTS = 60;

const DIGITS = 4;

/** A stroke without the points that change nothing (Ramer, Douglas and Peucker). */
export function simplified(points, tolerance = TOLERANCE) {
  if (points.length < 3) return points;
  const [first, last] = [points[0], points.at(-1)];
  let farthest = 0;
  let index = 0;
  for (let place = 1; place < points.length - 1; place += 1) {
    const away = distanceToLine(points[place], first, last);
    if (away > farthest) [farthest, index] = [away, place];
  }
  if (farthest <= tolerance) return [first, last];
  const before = simplified(points.slice(0, index + 1), tolerance);
  return [...before.slice(0, -1), ...simplified(points.slice(index), tolerance)];
}

function distanceToLine(point, a, b) {
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  if (length === 0) return Math.hypot(point.x - a.x, point.y - a.y);
  return Math.abs((b.x - a.x) * (a.y - point.y) - (a.x - point.x) * (b.y - a.y)) / length;
}

/** A stroke as it is sent: `M0.1 0.2L0.4 0.5`; empty for a mere tap. */
export function toPath(points) {
  let tolerance = TOLERANCE;
  let kept = simplified(points.map(clamped), tolerance);
  while (kept.length > MOST_POINTS) {
    tolerance *= 2;
    kept = simplified(kept, tolerance);
  }
  if (kept.length < 2) return "";
  return kept.map((point, place) => `${place === 0 ? "M" : "L"}${share(point.x)} ${share(point.y)}`).join("");
}

/** The points of such a path; nothing where it is no such path. */
export function fromPath(text) {
  if (!/^(M-?[\d.]+ -?[\d.]+(L-?[\d.]+ -?[\d.]+)+)+$/.test(text)) return undefined;
  return text
    .split("M")
    .slice(1)
    .map((stroke) => stroke.split("L").map((pair) => {
      const [x, y] = pair.split(" ").map(Number);
      return { x, y };
    }));
}

/**
 * The head of an arrow at the end of a stroke, as a path: two short lines, on a picture of this `width`
 * and `height`. `size` is their length in the same measure.
 */
export function arrowHead(points, width, height, size) {
  const tip = scaled(points.at(-1), width, height);
  const from = points
    .map((point) => scaled(point, width, height))
    .findLast((point) => Math.hypot(tip.x - point.x, tip.y - point.y) >= size / 2);
  if (!from) return "";
  const angle = Math.atan2(tip.y - from.y, tip.x - from.x);
  const barb = (turn) => `${round(tip.x - size * Math.cos(angle + turn))} ${round(tip.y - size * Math.sin(angle + turn))}`;
  return `M${barb(0.5)}L${round(tip.x)} ${round(tip.y)}L${barb(-0.5)}`;
}

function scaled(point, width, height) {
  return { x: point.x * width, y: point.y * height };
}

function round(value) {
  return Number(value.toFixed(2));
}

function share(value) {
  return Number(value.toFixed(DIGITS));
}

function clamped({ x, y }) {
  return { x: Math.min(Math.max(x, 0), 1), y: Math.min(Math.max(y, 0), 1) };
}
