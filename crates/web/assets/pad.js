// The number pad: big keys for a reading, in reach of one thumb.
//
// A field with `data-pad="V mV"` gets one that opens when the field is tapped and writes `12.4 V` into it.
// The field stays an ordinary field: who types on a keyboard, or dictates, needs no pad. It begins with the
// first unit each time: a unit that was remembered would make 12.6 mV of 12.6 V. Does not know what is measured.

import { button, make, say } from "./dom.js";
import { blank, press, readBack, reading } from "./number.js";

const ROWS = ["7", "8", "9", "4", "5", "6", "1", "2", "3", "sign", "0", "."];
const NAMES = { sign: "±", ".": ".", back: "⌫" };
const SPOKEN = { sign: "plus or minus", ".": "point", back: "delete the last digit" };

const started = new WeakSet();

/** Gives every such field below `root` its pad. */
export function startPads(root = document) {
  for (const field of root.querySelectorAll("input[data-pad]")) {
    if (started.has(field)) continue;
    started.add(field);
    attach(field);
  }
}

function attach(field) {
  let pad;
  const open = () => {
    // The element may have become another field.
    if (pad?.isConnected || !field.dataset.pad) return;
    // One at a time: on a phone there is no room for two.
    for (const other of field.form?.querySelectorAll(".pad") ?? []) other.remove();
    pad = padFor(field);
    field.closest("label, p, .field")?.after(pad);
    if (!pad.isConnected) field.after(pad);
    pad.scrollIntoView({ block: "nearest" });
  };
  field.addEventListener("pointerdown", (event) => {
    // A finger wants the pad; a mouse or a keyboard may type.
    if (event.pointerType !== "mouse") field.setAttribute("inputmode", "none");
    open();
  });
  field.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && pad?.isConnected) pad.remove();
    if (event.key === "ArrowDown" && event.altKey) open();
  });
  field.form?.addEventListener("entry-made", () => pad?.remove());
}

function padFor(field) {
  const units = field.dataset.pad.split(" ").filter(Boolean);
  let state = field.value ? readBack(field.value, units) : blank(units[0]);
  const shown = () => {
    field.value = reading(state);
    field.dispatchEvent(new Event("input", { bubbles: true }));
    for (const key of pad.querySelectorAll("[data-unit]")) {
      key.setAttribute("aria-pressed", String(key.dataset.unit === state.unit));
    }
  };
  const hit = (key) => {
    state = press(state, key);
    shown();
    say(reading(state) || "empty");
  };
  const digits = [...ROWS, "back"].map((key) =>
    button(NAMES[key] ?? key, () => hit(key), { class: `key key-${SPOKEN[key] ? "other" : "digit"}`, "data-key": key, "aria-label": SPOKEN[key] }));
  const unitKeys = units.map((unit) =>
    button(unit, () => hit(`unit:${unit}`), { class: "key key-unit", "data-unit": unit, "aria-pressed": String(unit === state.unit) }));
  const pad = make(
    "div",
    { class: "pad", role: "group", "aria-label": `Number pad for ${nameOf(field)}`, "data-added": true },
    make("div", { class: "pad-digits" }, ...digits),
    make("div", { class: "pad-units" }, ...unitKeys, field.form && button("Enter", () => enter(field), { class: "key-enter main" })),
  );
  return pad;
}

/** Goes on to the next figure that is still wanted; sends the form when there is none. */
function enter(field) {
  const wanted = Array.from(field.form.querySelectorAll("input[data-pad][required]")).find((other) => other.value === "");
  if (!wanted) {
    field.form.requestSubmit(field.form.querySelector("button:not([type=button])"));
    return;
  }
  wanted.dispatchEvent(new PointerEvent("pointerdown", { pointerType: "touch" }));
  wanted.focus();
}

function nameOf(field) {
  return field.getAttribute("aria-label") ?? field.labels?.[0]?.textContent?.trim() ?? "the reading";
}
