// Keeps what is typed and not yet sent, field by field, over a reload, a call, an empty battery.
//
// Lies in the browser's own storage under the case and what the form is for, with what stood there and which entry the
// page was as new as when somebody began; is thrown away once the form has become an entry. Passwords are never kept.
// Does not know what fields mean.

import { isBegun, isTouched, purposeOf, setStood, shownFirst, stoodIn, typedIn } from "./swap.js";

const OLDEST_MS = 14 * 24 * 3600 * 1000;
const PREFIX = "draft:";

const keys = new WeakMap();
let isSwept = false;

/** Starts keeping the fields of all forms with `data-form`, and puts back what was kept. `head()` is the entry that the page is as new as. */
export function startDrafts(caseId, head, root = document, storage = localStorage) {
  if (!isSwept) sweep(storage);
  isSwept = true;
  const alike = new Map();
  let restored = 0;
  for (const form of root.querySelectorAll("form[data-form]")) {
    if (typedIn(form).length === 0) continue;
    const purpose = purposeOf(form);
    const count = alike.get(purpose) ?? 0;
    alike.set(purpose, count + 1);
    const known = keys.get(form);
    keys.set(form, `${PREFIX}${caseId}:${count}:${purpose}`);
    // A form that is called otherwise now keeps its words under its new name alone.
    if (known !== undefined && known !== keys.get(form) && isBegun(form)) storage.removeItem(known);
    // A form that has become another's takes up what was typed there.
    if (known === keys.get(form) || (known !== undefined && isBegun(form))) keep(form, head, storage);
    else restored += restore(form, storage);
    if (known !== undefined) continue;
    for (const event of ["input", "change", "entry-kept"]) form.addEventListener(event, () => keep(form, head, storage));
  }
  return restored;
}

/** Notes of every form that is begun which entry its page was as new as: to be called before the page becomes newer. */
export function rememberBegun(head, root = document) {
  for (const form of root.querySelectorAll("form[data-form]:not([data-base])")) {
    if (isBegun(form)) form.dataset.base = head;
  }
}

/** What is touched; a choice by name and value. */
function touchedIn(form) {
  const fields = {};
  for (const field of fieldsOf(form)) {
    if (!isTouched(field)) continue;
    if (isChoice(field)) fields[`${field.name}=${field.value}`] = field.checked;
    else fields[field.name] = field.value;
  }
  return fields;
}

function fieldsOf(form) {
  return [...typedIn(form), ...form.querySelectorAll("[data-stays] input")];
}

function isChoice(field) {
  return field.type === "checkbox" || field.type === "radio";
}

function keep(form, head, storage) {
  const key = keys.get(form);
  const fields = form.hasAttribute("data-sent") ? {} : touchedIn(form);
  if (Object.keys(fields).length === 0) {
    storage.removeItem(key);
    return;
  }
  const stood = stoodIn(form);
  // Whether a piece of a line was changed by others is told by what it showed.
  const shown = stood.before === undefined ? undefined : typedIn(form).map(shownFirst);
  const base = Number(form.dataset.base ?? head());
  try {
    storage.setItem(key, JSON.stringify({ at: Date.now(), base, stood, shown, fields }));
  } catch {
    // Storage is full: what is on the screen is still there, and so is the queue.
  }
}

function restore(form, storage) {
  const draft = read(storage, keys.get(form));
  if (!draft) return 0;
  let count = 0;
  for (const field of fieldsOf(form)) {
    const value = draft.fields[isChoice(field) ? `${field.name}=${field.value}` : field.name];
    if (value === undefined) continue;
    if (isChoice(field)) field.checked = value;
    else put(field, value);
    count += 1;
  }
  if (count === 0) return 0;
  began(form, draft);
  // What was typed is not to be looked for in a closed fold.
  for (let fold = form.closest("details"); fold; fold = fold.parentElement?.closest("details")) fold.open = true;
  return count;
}

/** A list may not have any more what was chosen. */
function put(field, value) {
  field.value = value;
  if (field.localName === "select" && field.selectedIndex < 0) field.value = shownFirst(field);
}

/** The form says what stood there when it was begun, unless only what stands round a piece of a line has changed. */
function began(form, { base, stood, shown }) {
  const fields = typedIn(form);
  if (!isBegun(form)) return;
  if (base !== undefined) form.dataset.base = base;
  if (shown && fields.every((field, place) => shownFirst(field) === shown[place])) return;
  setStood(form, stood ?? {});
  if (!shown) return;
  fields.forEach((field, place) => {
    if (field.localName === "select" || isChoice(field) || shown[place] === undefined) return;
    const { value } = field;
    field.defaultValue = shown[place];
    field.value = value;
  });
}

/** Throws away what is too old: the form it was typed into may never come again. */
function sweep(storage) {
  for (const key of Object.keys(storage)) if (key.startsWith(PREFIX)) read(storage, key);
}

function read(storage, key) {
  try {
    const draft = JSON.parse(storage.getItem(key) ?? "null");
    if (draft && Date.now() - draft.at < OLDEST_MS) return draft;
  } catch {
    // What cannot be read is no draft.
  }
  storage.removeItem(key);
  return undefined;
}
