// Turns a form into an entry of the queue, so that it is kept before anything else happens.
//
// `form[data-form]` with a hidden field `kind` that form-entry.js knows is taken; any other form goes the ordinary
// way. A button with `data-fill="unknown"` puts that word into the field of its `data-field` and sends: "unknown" in
// one tap. A `textarea[data-one-line]` grows with what is typed; Enter sends it. `data-base` on a form is the entry that its
// page was as new as when somebody began to type; `data-sent` says that nothing was typed since it was sent. Does not
// know what is sent.

import { say } from "./dom.js";
import { changeFrom, changesFrom, isKnown } from "./form-entry.js";
import { setStood } from "./swap.js";
import { linesFrom } from "./table.js";

/** Starts listening on the whole page. `keep(changes, since)` takes the changes over; `since` is the entry that they were made on, if it is not the page's. */
export function startForms(keep, root = document) {
  root.addEventListener("submit", (event) => {
    const form = event.target;
    const kind = form.elements.namedItem("kind")?.value;
    if (!form.matches("form[data-form]") || !isKnown(kind)) return;
    event.preventDefault();
    void submit(form, kind, event.submitter, keep);
  });
  root.addEventListener("click", (event) => {
    const key = event.target.closest?.("[data-fill]");
    if (!key?.form) return;
    event.preventDefault();
    const field = key.form.elements.namedItem(key.dataset.field);
    field.value = key.dataset.fill;
    key.form.requestSubmit();
  });
  root.addEventListener("input", (event) => event.target.form?.removeAttribute("data-sent"), true);
  root.addEventListener("change", (event) => {
    if (event.target.matches?.("[data-example]")) showExamples(root);
  });
  root.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.isComposing || !event.target.matches?.("[data-one-line]")) return;
    event.preventDefault();
    event.target.form.requestSubmit();
  });
}

/** The field that is typed in shows the example of what is chosen beside it (`data-example`). */
export function showExamples(root = document) {
  for (const choice of root.querySelectorAll("[data-example]:checked")) {
    const field = choice.form?.querySelector("[data-first]");
    if (field) field.placeholder = choice.dataset.example;
  }
}

async function submit(form, kind, submitter, keep) {
  const fields = Object.fromEntries(new FormData(form, submitter));
  const since = fields.base ?? form.dataset.base;
  const made = form.hasAttribute("data-table")
    ? fromTable(fields)
    : changesFrom(kind, fields);
  const trouble = troubleIn(made);
  complain(form, trouble);
  if (trouble || made.length === 0) return;
  // Emptied before anything is waited for: the next line may be under way already. A value stays: it is what
  // will stand there.
  const stays = kind === "value" || kind === "text";
  const { was = "" } = fields;
  form.removeAttribute("data-base");
  form.toggleAttribute("data-sent", stays);
  // Who goes on at once goes on from what they said.
  if (stays) setStood(form, { was: made[0].change[kind].is });
  else emptied(form);
  form.dispatchEvent(new CustomEvent("entry-made", { bubbles: true }));
  const next = form.querySelector("[data-first]") ?? form.querySelector("input:not([type=hidden]), textarea");
  if (form.hasAttribute("data-again") || form.querySelector("[data-first]")) next?.focus();
  const root = document.documentElement;
  root.setAttribute("data-keeping", "");
  try {
    await keep(made.map((one) => one.change), since === undefined ? undefined : Number(since));
  } catch (error) {
    form.removeAttribute("data-sent");
    if (stays) setStood(form, { was });
    if (since !== undefined) form.dataset.base = since;
    putBack(form, fields);
    complain(form, `This device could not keep it (${error.name}). Nothing was sent.`);
    return;
  } finally {
    root.removeAttribute("data-keeping");
  }
  form.dispatchEvent(new CustomEvent("entry-kept", { bubbles: true }));
  say(made.length === 1 ? "Kept" : `${made.length} lines kept`);
}

/** Words for what keeps changes from being made; empty when nothing does. */
function troubleIn(made) {
  const { missing, troubles } = made.find((one) => one.missing || one.troubles) ?? {};
  if (troubles) return `Nothing was added yet: ${troubles.join("; ")}.`;
  return missing ? `Still missing: ${missing}.` : "";
}

/** Empties a form; what the next line is of (`data-stays`) is chosen still. */
function emptied(form) {
  const stays = Array.from(form.querySelectorAll("[data-stays] :checked"));
  form.reset();
  for (const choice of stays) choice.checked = true;
}

function putBack(form, fields) {
  for (const [name, value] of Object.entries(fields)) {
    const field = form.elements.namedItem(name);
    if (field && "value" in field && field.type !== "hidden" && field.value === "") field.value = value;
  }
}

function fromTable({ section, text }) {
  const { lines, troubles } = linesFrom(text ?? "", section);
  if (troubles.length > 0) {
    return [{ troubles: troubles.map(({ row, what }) => `line ${row}: ${what}`) }];
  }
  return lines.map((line) => changeFrom("line", { section, text: line }));
}

function complain(form, words) {
  let place = form.querySelector("[data-complaint]");
  if (!place && words) {
    place = document.createElement("p");
    place.setAttribute("data-complaint", "");
    place.setAttribute("data-added", "");
    place.setAttribute("role", "alert");
    form.append(place);
  }
  if (place) place.textContent = words;
}
