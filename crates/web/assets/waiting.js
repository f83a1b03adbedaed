// What waits to be sent, shown: a sign at the edge of the page, a list behind it, and the entries in the places of
// the page where they will stand.
//
// Nothing made on the device is out of sight until the server has it. Does not send anything itself.

import { button, make, say } from "./dom.js";
import { changeWords, editable, edited, tally, tallyWords } from "./queue-rules.js";

/** Starts showing `queue`; `newId` makes the id under which a mended entry goes again. */
export function startWaiting(queue, caseId, newId) {
  const sign = button("", () => open(queue, newId), { id: "queue-sign", class: "queue-sign", hidden: true, "data-added": true });
  document.body.append(sign);
  let last = { items: [], link: "unknown" };
  let spoken = "";
  const shown = () => inPlace(last.items.filter((item) => item.case === caseId), () => void open(queue, newId));
  const show = (event = last) => {
    last = event;
    const counts = tally(event.items);
    const words = tallyWords(counts, event.items.length > 0 || event.link !== "unknown" ? event.link : "there");
    sign.hidden = words === "";
    sign.textContent = words;
    sign.dataset.link = event.link;
    document.documentElement.dataset.waiting = String(counts.waiting);
    if (words !== spoken) say(words || "everything is sent");
    spoken = words;
    shown();
    if (document.getElementById("queue-list")?.open) fill(document.getElementById("queue-list"), event.items, queue, newId);
  };
  void queue.watch(show);
  return { again: shown };
}

async function open(queue, newId) {
  let dialog = document.getElementById("queue-list");
  if (!dialog) {
    dialog = make("dialog", { id: "queue-list", class: "queue-list", "aria-label": "What waits to be sent", "data-added": true });
    document.body.append(dialog);
  }
  fill(dialog, await queue.items(), queue, newId);
  if (!dialog.open) dialog.showModal();
}

function fill(dialog, items, queue, newId) {
  if (dialog.contains(document.activeElement) && document.activeElement.localName === "input") return;
  const rows = items.map((item) => row(item, queue, newId));
  dialog.replaceChildren(
    make("h2", {}, "On this device"),
    items.length > 0
      ? make("ol", {}, ...rows)
      : make("p", {}, "Nothing waits: the server has everything that was made here."),
    make("div", { class: "row" },
      button("Send now", () => void queue.go(), { class: "main" }),
      button("Close", () => dialog.close())),
  );
}

function row(item, queue, newId) {
  const change = item.draft.change ?? { photo: item.draft };
  const when = new Date(item.draft.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  const words = make("p", {}, make("span", { class: "what" }, changeWords(change)), ` (${when}, case ${item.case})`);
  if (item.state !== "refused") return make("li", { class: "waiting" }, words);
  const part = editable(change);
  const field = part && make("input", { type: "text", value: part.text, "aria-label": part.label });
  const again = () => {
    const id = newId();
    const draft = { ...item.draft, id, ...(part && { change: edited(change, field.value) }) };
    void queue.retry(item.id, item.kind === "entry" ? { id, draft } : {});
  };
  return make("li", { class: "refused" }, words,
    make("p", { class: "reason" }, `Not taken: ${item.reason}`),
    field,
    make("div", { class: "row" },
      button("Send again", again),
      button("Throw away", () => void queue.discard(item.id))));
}

/** Puts entries where they will stand; `mend()` opens the list in which a refused one is put right. */
function inPlace(items, mend) {
  for (const old of document.querySelectorAll("[data-waits]")) old.remove();
  if (items.length === 0) document.querySelector(".waiting-here")?.remove();
  for (const item of items) {
    const change = item.draft.change ?? { photo: item.draft };
    const place = placeFor(change);
    if (!place) continue;
    const words = place.own ? shortWords(change) : changeWords(change);
    const sign = item.state === "refused" ? `not taken: ${item.reason}` : "waiting to be sent";
    const name = place.list ? "li" : "p";
    place.at.append(make(name, { class: "waits", "data-waits": true, "data-added": true },
      make("span", { class: "what" }, words), " ", make("em", {}, sign), " ",
      item.state === "refused" ? button(editable(change) ? "Mend it, or throw it away" : "Throw it away", mend) : ""));
  }
}

function shortWords(change) {
  if (change.value) return change.value.is;
  if (change.note) return change.note.words;
  return change.line?.text ?? changeWords(change);
}

/** Where on this page a change will show, if anywhere: `{at, list, own}`. */
function placeFor(change) {
  const find = (selector, list) => {
    const at = document.querySelector(selector);
    return at && { at, list: list && (at.localName === "ul" || at.localName === "ol"), own: true };
  };
  const quoted = (text) => `"${CSS.escape(text)}"`;
  if (change.line) return find(`[data-lines~=${quoted(change.line.section)}]`, true) ?? anywhere();
  if (change.value) return find(`[data-path=${quoted(change.value.path)}]`) ?? formOf(change.value.path) ?? anywhere();
  if (change.tick) return find(`[data-step=${quoted(change.tick.step)}]`) ?? anywhere();
  if (change.photo?.on) return find(`[data-photos=${quoted(change.photo.on)}]`, true) ?? anywhere();
  if (change.undo) return find(`[data-entry=${quoted(change.undo.entry)}]`) ?? anywhere();
  if (change.note) return find(`[data-notes=${quoted(change.note.on ?? "case")}]`, true) ?? anywhere();
  return anywhere();
}

function formOf(path) {
  const field = document.querySelector(`input[name="path"][value="${CSS.escape(path)}"]`);
  return field?.form && { at: field.form, list: false, own: true };
}

/** A list of its own at the head of the page. */
function anywhere() {
  let at = document.querySelector("[data-waiting-here]");
  if (!at) {
    at = make("ul", { class: "rows", "data-waiting-here": true });
    const card = make("section", { class: "card waiting-here", "aria-label": "Waiting to be sent", "data-added": true }, make("h2", {}, "On this device"), at);
    const title = document.querySelector("main > .title");
    if (title) title.after(card);
    else document.querySelector("main")?.prepend(card);
  }
  return { at, list: at.localName === "ul", own: false };
}
