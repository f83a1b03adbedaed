// A drawing that can be looked at closely: pan, zoom, pinch, fit, by finger, mouse wheel or keys; a tap or
// Enter on an item opens its sheet.
//
// `figure[data-drawing-src]` fetches its SVG, drops the style inside (the page's own rules do it, so that no
// inline style is needed) and puts it in. Items are what carries `data-device`, `data-wire` or `data-thing`.
// Which drawing is shown comes from links or buttons with `data-show="address"` in the figure. On a small screen a
// drawing begins as near as it takes to read it, at the first item of `data-near` that is on it. Does not know what it shows.

import { button, make, say } from "./dom.js";
import { fit, legible, lookAt, nearness, pan, pinch, zoom } from "./view-box.js";

const STEP = 1.4;
const SHARE = 0.15;
const TAP_PX = 8;
const REACH_PX = 18;
/** Least height of letters at the first look: what is smaller nobody reads in a van. */
const LEAST_LETTERS_PX = 11;
/** Stages as wide as this show the whole at first: one sees there where to look closer. */
const WIDE_PX = 700;
const ITEMS = "[data-device], [data-wire], [data-thing], [data-item]";

const reloads = new WeakMap();

/** Starts every drawing of the page. `caseAddress` is `/case/ID`. */
export function startDrawings(caseAddress, root = document) {
  for (const figure of root.querySelectorAll("figure[data-drawing-src]")) {
    if (reloads.has(figure)) continue;
    reloads.set(figure, () => undefined);
    void startDrawing(figure, caseAddress);
  }
}

/** Fetches every drawing of the page anew; what one looks at stays where it is. */
export function reloadDrawings(root = document) {
  for (const figure of root.querySelectorAll("figure[data-drawing-src]")) void reloads.get(figure)?.();
}

async function startDrawing(figure, caseAddress) {
  const stage = figure.querySelector(".stage") ?? make("div", { class: "stage" });
  if (!stage.isConnected) figure.prepend(stage);
  stage.setAttribute("data-own", "");
  const state = { view: undefined, content: undefined, svg: undefined };
  const show = () => {
    const { x, y, width, height } = state.view;
    state.svg.setAttribute("viewBox", `${x} ${y} ${width} ${height}`);
    stage.classList.toggle("near", nearness(state.view, state.content) > 1.05);
  };
  const move = (view) => {
    state.view = view;
    requestAnimationFrame(show);
  };
  state.move = (view) => {
    state.isUntouched = false;
    move(view);
  };
  // In a closed fold it has no size yet.
  const aspect = () => (stage.clientWidth > 0 ? stage.clientWidth / Math.max(stage.clientHeight, 1) : state.content.width / state.content.height);
  state.fitted = () => fit(state.content, aspect());
  const load = async (address) => {
    const svg = await fetchDrawing(address);
    if (!svg) {
      if (!state.svg) stage.replaceChildren(make("p", {}, "This drawing could not be fetched. The list below has the same things."));
      return;
    }
    const known = state.view;
    state.content = contentOf(svg);
    state.svg = svg;
    prepare(svg);
    // As flat or tall as the drawing, within what the style sheet allows.
    stage.style.aspectRatio = `${state.content.width} / ${state.content.height}`;
    stage.replaceChildren(svg);
    const sameShape = known && state.drawn === String(Object.values(state.content));
    state.drawn = String(Object.values(state.content));
    state.isUntouched = !sameShape;
    move(sameShape ? known : begun(state, stage, figure.dataset.near));
    figure.dispatchEvent(new CustomEvent("drawing-shown", { bubbles: true }));
  };
  figure.append(controls(state));
  listen(stage, state, caseAddress);
  const chosen = overlays(figure, load);
  reloads.set(figure, () => load(chosen()));
  new ResizeObserver(() => {
    if (!state.svg || stage.clientWidth === 0) return;
    if (state.isUntouched) move(begun(state, stage, figure.dataset.near));
    else move(nearness(state.view, state.content) > 1.05 ? reshaped(state, stage) : state.fitted());
  }).observe(stage);
  await load(figure.dataset.drawingSrc);
}

/** The first look: all of it where that can be read, else what matters most. */
function begun(state, stage, near) {
  const whole = state.fitted();
  const letters = Array.from(state.svg.querySelectorAll("text"), (text) => Number(text.getAttribute("font-size"))).filter((size) => size > 0);
  if (letters.length === 0 || stage.clientWidth === 0 || stage.clientWidth >= WIDE_PX) return whole;
  letters.sort((a, b) => a - b);
  state.view = whole;
  state.svg.setAttribute("viewBox", `${whole.x} ${whole.y} ${whole.width} ${whole.height}`);
  const items = Array.from(state.svg.querySelectorAll(ITEMS));
  const wanted = (near ?? "").split(",").map((name) => items.find((item) => nameOf(item) === name)).find(Boolean);
  const corner = { x: state.content.x, y: state.content.y, width: 0, height: 0 };
  const first = wanted ?? items[0];
  return legible(state.content, stage.clientWidth / Math.max(stage.clientHeight, 1), first ? boxOf(first, state) : corner,
    { letter: letters[letters.length >> 1], widthPx: stage.clientWidth, leastPx: LEAST_LETTERS_PX });
}

function reshaped(state, stage) {
  const aspect = stage.clientWidth / Math.max(stage.clientHeight, 1);
  return { ...state.view, height: state.view.width / aspect };
}

async function fetchDrawing(address) {
  try {
    const response = await fetch(address, { credentials: "same-origin" });
    if (!response.ok) return undefined;
    const text = (await response.text()).replace(/<style[\s\S]*?<\/style>/g, "");
    const parsed = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
    return parsed.localName === "svg" ? document.importNode(parsed, true) : undefined;
  } catch {
    return undefined;
  }
}

function contentOf(svg) {
  const [x, y, width, height] = svg.getAttribute("viewBox").split(/[\s,]+/).map(Number);
  return { x, y, width, height };
}

function prepare(svg) {
  for (const script of svg.querySelectorAll("script")) script.remove();
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  svg.setAttribute("role", "group");
  svg.setAttribute("focusable", "false");
  for (const item of svg.querySelectorAll(ITEMS)) {
    item.setAttribute("tabindex", "-1");
    item.setAttribute("role", "img");
    item.classList.add("item");
    const title = item.querySelector(":scope > title")?.textContent;
    item.setAttribute("aria-label", title ?? nameOf(item));
  }
}

function nameOf(item) {
  const { device, wire, thing, item: other } = item.dataset;
  return device ?? wire ?? thing ?? other;
}

function sheetAddress(item, caseAddress) {
  return `${caseAddress}/item/${encodeURIComponent(nameOf(item))}`;
}

function controls(state) {
  const centre = () => ({ x: state.view.x + state.view.width / 2, y: state.view.y + state.view.height / 2 });
  const nearer = (factor) => () => state.svg && state.move(zoom(state.view, state.content, factor, centre()));
  return make(
    "div",
    { class: "drawing-keys", role: "group", "aria-label": "How near the drawing is", "data-added": true },
    button("+", nearer(STEP), { "aria-label": "Nearer" }),
    button("−", nearer(1 / STEP), { "aria-label": "Farther" }),
    button("Fit", () => state.svg && state.move(state.fitted()), { "aria-label": "Fit the whole drawing" }),
  );
}

function listen(stage, state, caseAddress) {
  stage.tabIndex = 0;
  stage.setAttribute("role", "application");
  stage.setAttribute("aria-label", "Drawing. Arrows move it, plus and minus change how near it is, 0 fits it, N and P go from item to item, Enter opens the item. The same things are in the list below.");
  byPointer(stage, state, caseAddress);
  byWheel(stage, state);
  byKeys(stage, state, caseAddress);
}

function at(stage, event) {
  const box = stage.getBoundingClientRect();
  return { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
}

function byPointer(stage, state, caseAddress) {
  const fingers = new Map();
  let travelled = 0;
  stage.addEventListener("pointerdown", (event) => {
    if (!state.svg) return;
    fingers.set(event.pointerId, at(stage, event));
    if (fingers.size === 1) travelled = 0;
  });
  stage.addEventListener("pointermove", (event) => {
    const was = fingers.get(event.pointerId);
    if (!was) return;
    const now = at(stage, event);
    travelled += Math.hypot((now.x - was.x) * stage.clientWidth, (now.y - was.y) * stage.clientHeight);
    if (travelled > TAP_PX && !stage.hasPointerCapture(event.pointerId)) stage.setPointerCapture(event.pointerId);
    const before = Array.from(fingers.values());
    fingers.set(event.pointerId, now);
    const after = Array.from(fingers.values());
    const alone = fingers.size === 1;
    // At full size one finger scrolls the page; it moves the drawing once one is nearer.
    if (fingers.size === 2) state.move(pinch(state.view, state.content, before, after));
    else if (alone) state.move(pan(state.view, state.content, (was.x - now.x) * state.view.width, (was.y - now.y) * state.view.height));
  });
  const lift = (event) => fingers.delete(event.pointerId);
  for (const kind of ["pointerup", "pointercancel"]) stage.addEventListener(kind, lift);
  stage.addEventListener("click", (event) => {
    const item = event.target.closest?.(ITEMS) ?? nearItem(state, event);
    if (item && travelled <= TAP_PX) location.assign(sheetAddress(item, caseAddress));
  });
}

/** The nearest item within a finger's width of a tap beside thin lines. */
function nearItem(state, event) {
  for (let reach = 1; reach <= REACH_PX; reach += 1) {
    for (let turn = 0; turn < 8; turn += 1) {
      const x = event.clientX + reach * Math.cos((turn * Math.PI) / 4);
      const y = event.clientY + reach * Math.sin((turn * Math.PI) / 4);
      const item = document.elementFromPoint(x, y)?.closest?.(ITEMS);
      if (item && state.svg?.contains(item)) return item;
    }
  }
  return undefined;
}

function byWheel(stage, state) {
  stage.addEventListener("wheel", (event) => {
    if (!state.svg || !(event.ctrlKey || event.metaKey || stage.contains(document.activeElement))) return;
    event.preventDefault();
    const share = at(stage, event);
    const point = { x: state.view.x + share.x * state.view.width, y: state.view.y + share.y * state.view.height };
    state.move(zoom(state.view, state.content, Math.exp(-event.deltaY / 400), point));
  }, { passive: false });
}

function byKeys(stage, state, caseAddress) {
  const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  stage.addEventListener("keydown", (event) => {
    if (!state.svg || event.ctrlKey || event.metaKey || event.altKey) return;
    const centre = { x: state.view.x + state.view.width / 2, y: state.view.y + state.view.height / 2 };
    const item = document.activeElement?.closest?.(ITEMS);
    if (moves[event.key]) {
      const [x, y] = moves[event.key];
      state.move(pan(state.view, state.content, x * SHARE * state.view.width, y * SHARE * state.view.height));
    } else if (event.key === "+" || event.key === "=") state.move(zoom(state.view, state.content, STEP, centre));
    else if (event.key === "-") state.move(zoom(state.view, state.content, 1 / STEP, centre));
    else if (event.key === "0") state.move(state.fitted());
    else if (event.key === "n" || event.key === "p") walk(stage, state, event.key === "n" ? 1 : -1);
    else if (event.key === "Enter" && item) location.assign(sheetAddress(item, caseAddress));
    else return;
    event.preventDefault();
  });
}

function walk(stage, state, step) {
  const items = Array.from(state.svg.querySelectorAll(ITEMS));
  if (items.length === 0) return;
  const here = items.indexOf(document.activeElement);
  const next = items[here < 0 ? (step > 0 ? 0 : items.length - 1) : (here + step + items.length) % items.length];
  next.focus({ preventScroll: true });
  state.move(lookAt(state.view, state.content, boxOf(next, state), Math.max(nearness(state.view, state.content), 1)));
  say(next.getAttribute("aria-label"));
}

/** Where an item is, in the units of the drawing. */
function boxOf(item, state) {
  const box = item.getBoundingClientRect();
  const whole = state.svg.getBoundingClientRect();
  const scale = state.view.width / whole.width;
  return {
    x: state.view.x + (box.left - whole.left) * scale,
    y: state.view.y + (box.top - whole.top) * scale,
    width: box.width * scale,
    height: box.height * scale,
  };
}

/** Lets the figure's keys change which drawing is shown; gives the address of the present one. */
function overlays(figure, load) {
  let shown = figure.dataset.drawingSrc;
  const chosen = () => {
    for (const key of figure.querySelectorAll("[data-show]")) {
      key.setAttribute("role", "button");
      key.setAttribute("aria-pressed", String(key.dataset.show === shown));
    }
    return shown;
  };
  chosen();
  figure.addEventListener("keydown", (event) => {
    if (event.key === " " && event.target.matches("a[data-show]")) {
      event.preventDefault();
      event.target.click();
    }
  });
  figure.addEventListener("click", (event) => {
    const choice = event.target.closest("[data-show]");
    if (!choice) return;
    event.preventDefault();
    shown = choice.dataset.show;
    void load(chosen()).then(() => say(`Now shown: ${choice.textContent.trim()}`));
  });
  return chosen;
}
