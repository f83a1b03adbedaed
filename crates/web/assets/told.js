// Says what was just entered, where it is seen, with a way to take it back.
//
// Stands above the stations until it is closed, until something is typed or entered, or for a while. What it takes back is an entry
// of its own, so it works without a link too. Does not know what waits.

import { button, make } from "./dom.js";
import { changeWords } from "./queue-rules.js";

const SHOWN_MS = 8000;
const LONGEST = 140;

const DONE = {
  line: "Added",
  value: "Kept",
  remove: "Taken out",
  note: "Noted",
  tick: "Ticked",
  text: "Kept",
  lines: "Kept",
  authority: "Written down",
  choose: "Chosen",
  photo: "Photo kept",
};

let timer;
const NOTHING = { ids: [], words: "", takeBack: undefined };
let told = NOTHING;
/** Entries that contradict others: the answer may come before they are told of. */
const clashed = new Set();

/** Says of what was told of last, if it is among these, that it is kept beside what stood first. */
export function tellClashed(ids) {
  for (const id of ids) clashed.add(id);
  const isShown = document.getElementById("told")?.hidden === false;
  if (isShown && ids.some((id) => told.ids.includes(id))) shown(clashTitle());
}

function clashTitle() {
  return told.ids.length > 1 ? "Kept, some of it beside others" : "Kept beside the other";
}

/** Says that the server did not take what was told of last, if it is among these: its reason in place of the good news. */
export function tellRefused(refused) {
  const [first] = refused.filter(({ id }) => told.ids.includes(id));
  if (!first) return;
  const { words } = told;
  told = NOTHING;
  show(
    make("p", {}, make("b", {}, "Not taken: "), make("span", { class: "what" }, words), ". ", first.reason),
    button("\u00d7", () => show(), { "aria-label": "Close this" }),
  );
}

/** Shows what was made of `changes`, entries `ids`; `takeBack()` is called when somebody wants it gone. */
export function tell(changes, takeBack, ids = []) {
  const [first] = changes;
  const kind = Object.keys(first)[0];
  const words = changes.length === 1 ? shortened(wordsOf(kind, first)) : `${changes.length} entries`;
  told = { ids, words, takeBack };
  if (ids.some((id) => clashed.has(id))) shown(clashTitle());
  else shown(kind === "tick" && !first.tick.done ? "Not done after all" : DONE[kind] ?? "Kept");
}

/** Shows what was told of last under this title, with the way to take it back. */
function shown(title) {
  const { words, takeBack } = told;
  show(
    make("p", {}, make("b", {}, `${title}: `), make("span", { class: "what" }, words)),
    make("div", { class: "row" },
      button("Take back", async (event) => {
        // A second tap would take back what is taken back already.
        event.currentTarget.disabled = true;
        told = NOTHING;
        await takeBack();
        show(make("p", {}, make("b", {}, "Taken back: "), make("span", { class: "what" }, words)));
      }),
      button("\u00d7", () => show(), { "aria-label": "Close this" })),
  );
}

function wordsOf(kind, change) {
  if (kind === "line") return lineWords(change.line.text);
  if (kind === "value") return `${change.value.path.split(".").pop().replaceAll('"', "")}: ${change.value.is}`;
  if (kind === "tick") return change.tick.reading ? `${change.tick.step}, read ${change.tick.reading}` : change.tick.step;
  if (kind === "text") return "the record";
  return changeWords(change);
}

/** A line as people say it: the words in it, or all of it without a name that this device made. */
function lineWords(text) {
  const [, words] = /^\S+ = \{ words = "((?:[^"\\]|\\.)*)"/.exec(text) ?? [];
  const [, made] = /^n-[a-z0-9]+ = "(.*)"$/.exec(text) ?? [];
  if (text.startsWith("no_cure =")) return "it was made, and nothing has changed";
  if (text.startsWith("changed =")) return "it was made, and something is different";
  return words ?? made ?? text;
}

function shortened(words) {
  return words.length > LONGEST ? `${words.slice(0, LONGEST - 1)}\u2026` : words;
}

/** Puts these in the place of what was shown; nothing hides it. */
function show(...parts) {
  let place = document.getElementById("told");
  if (!place) {
    place = make("div", { id: "told", class: "told", role: "status", "data-added": true });
    document.body.append(place);
    // Whoever types has moved on: it must not lie over the field.
    document.addEventListener("input", (event) => {
      if (!place.contains(event.target)) show();
    });
  }
  clearTimeout(timer);
  place.hidden = parts.length === 0;
  place.replaceChildren(...parts);
  if (parts.length === 0) return;
  const gone = () => {
    // Not under a finger, nor while the focus is on it.
    if (place.matches(":hover, :focus-within")) timer = setTimeout(gone, SHOWN_MS / 4);
    else show();
  };
  timer = setTimeout(gone, SHOWN_MS);
}
