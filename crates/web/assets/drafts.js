// Keeps what is typed and not yet sent, field by field, over a reload, a call, an empty battery.
//
// Lies in the browser's own storage under the case and the field's names; is thrown away once the form has
// become an entry. Passwords are never kept. Does not know what fields mean.

const OLDEST_MS = 14 * 24 * 3600 * 1000;

const started = new WeakSet();

/** Starts keeping the fields of all forms with `data-form`, and puts back what was kept. */
export function startDrafts(caseId, root = document, storage = localStorage) {
  let restored = 0;
  for (const form of root.querySelectorAll("form[data-form]")) {
    if (started.has(form)) {
      keep(form, caseId, storage);
      continue;
    }
    started.add(form);
    restored += restore(form, caseId, storage);
    form.addEventListener("input", () => keep(form, caseId, storage));
    form.addEventListener("change", () => keep(form, caseId, storage));
    form.addEventListener("entry-kept", () => keep(form, caseId, storage));
  }
  return restored;
}

function keyOf(form, caseId) {
  return `draft:${caseId}:${form.dataset.form}`;
}

function kept(form) {
  return Array.from(form.elements).filter((field) =>
    field.name && field.type !== "hidden" && field.type !== "password" && field.type !== "file"
    && field.type !== "submit");
}

function keep(form, caseId, storage) {
  const fields = {};
  for (const field of kept(form)) {
    const isChoice = field.type === "checkbox" || field.type === "radio";
    if (isChoice && field.checked !== field.defaultChecked) fields[`${field.name}=${field.value}`] = field.checked;
    else if (!isChoice && field.value !== field.defaultValue) fields[field.name] = field.value;
  }
  if (Object.keys(fields).length === 0) {
    storage.removeItem(keyOf(form, caseId));
    return;
  }
  try {
    storage.setItem(keyOf(form, caseId), JSON.stringify({ at: Date.now(), fields }));
  } catch {
    // Storage is full: what is on the screen is still there, and so is the queue.
  }
}

function restore(form, caseId, storage) {
  const draft = read(storage, keyOf(form, caseId));
  if (!draft) return 0;
  let count = 0;
  for (const field of kept(form)) {
    const isChoice = field.type === "checkbox" || field.type === "radio";
    const value = draft.fields[isChoice ? `${field.name}=${field.value}` : field.name];
    if (value === undefined) continue;
    if (isChoice) field.checked = value;
    else field.value = value;
    count += 1;
  }
  // What was typed is not to be looked for in a closed fold.
  for (let fold = count > 0 && form.closest("details"); fold; fold = fold.parentElement?.closest("details")) fold.open = true;
  return count;
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
