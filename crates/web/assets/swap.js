// Makes a part of the page look like a newer copy of it, touching only what differs: what is being typed,
// the focus, the scroll and open folds stay.
//
// Elements are matched by `data-key`, or id, among their siblings, else by place and name. An element with
// `data-own` is drawn by a module and left alone; one with `data-added` was
// put there by a module and stays. A fold with `data-state` is opened or folded anew when that changes. A form that is
// being typed in stays the form it began as: what stood there when somebody began goes with what they type, so that an
// answer of somebody else is not written over unseen. Does not know where the copy comes from.

/** Hidden fields that say what stood there. */
const STOOD = ["was", "before", "after", "from", "base"];
/** Fields that nobody types in, or that are kept nowhere. */
const NOT_TYPED = new Set(["hidden", "password", "file", "submit", "button", "reset", "image"]);
/** Hidden fields that say what a form is for. */
const IS_FOR = ["kind", "table", "path", "section", "template", "list", "step", "on", "entry", "to", "mend"];

/** Makes `old` like `fresh`. Both stay in their documents; nodes of `fresh` may be moved over. */
export function swap(old, fresh) {
  if (old.hasAttribute("data-own") || old.isEqualNode(fresh)) return;
  if (old.localName === "form" && isBegun(old) && standsOtherwise(old, fresh)) return;
  const keep = isField(old) && (isHeld(old) || isTouched(old));
  swapAttributes(old, fresh);
  if (isField(old)) swapField(old, fresh, keep);
  else swapChildren(old, fresh);
  // What was sent is answered by what stands there now.
  if (isSent(old)) for (const field of typedIn(old)) untouch(field);
}

/** Whether somebody is typing in a form, or has typed what is not sent yet. */
export function isBegun(form) {
  return !isSent(form) && typedIn(form).some((field) => field === form.ownerDocument.activeElement || isTouched(field));
}

/** What a form is for, in words that stay the same while what stands there changes. */
export function purposeOf(form) {
  const hidden = IS_FOR.map((name) => hiddenIn(form, name)?.value ?? "");
  return [...hidden, ...typedIn(form).map((field) => `${field.name} ${labelOf(field)}`)].join("|").trim();
}

/** What the hidden fields of a form say of what stood there, by name. */
export function stoodIn(form) {
  return Object.fromEntries(STOOD.map((name) => [name, hiddenIn(form, name)?.value]).filter(([, value]) => value !== undefined));
}

/** Makes a form say that this stood there. */
export function setStood(form, stood) {
  for (const [name, value] of Object.entries(stood)) {
    let field = hiddenIn(form, name);
    if (!field) {
      field = form.ownerDocument.createElement("input");
      Object.assign(field, { type: "hidden", name });
      form.append(field);
    }
    field.value = value;
  }
}

/** The fields that somebody can type in or choose from, but for choices that stay. */
export function typedIn(form) {
  return Array.from(form.elements).filter((field) => isField(field) && field.name
    && !NOT_TYPED.has(field.type) && !field.closest("[data-stays]"));
}

/** What a field shows before anybody touches it. */
export function shownFirst(field) {
  return field.localName === "select" ? firstValue(field) : field.defaultValue;
}

/** Whether a field holds something its owner has put there since the page came. */
export function isTouched(field) {
  if (field.type === "checkbox" || field.type === "radio") {
    return field.checked !== field.defaultChecked;
  }
  return field.value !== shownFirst(field);
}

function untouch(field) {
  if (field.type === "checkbox" || field.type === "radio") field.checked = field.defaultChecked;
  else field.value = shownFirst(field);
}

/** Whether something else stands now where a form began; a piece of a line (`before`, `after`) stands by itself. */
function standsOtherwise(old, fresh) {
  const [was, is] = [stoodIn(old), stoodIn(fresh)];
  if (STOOD.every((name) => was[name] === is[name])) return false;
  if (was.before === undefined || is.before === undefined) return true;
  const now = typedIn(fresh);
  return typedIn(old).some((field, place) => now[place] === undefined || shownFirst(now[place]) !== shownFirst(field));
}

function isSent(element) {
  return element.localName === "form" && element.hasAttribute("data-sent");
}

/** The cursor is in it, and it was not sent since. */
function isHeld(field) {
  return field === field.ownerDocument.activeElement && !(field.form && isSent(field.form));
}

function hiddenIn(form, name) {
  return Array.from(form.elements).find((field) => field.type === "hidden" && field.name === name);
}

/** The words of a label without those of its help and its choices. */
function labelOf(field) {
  const label = field.closest("label");
  const words = label?.querySelector(":scope > .out") ?? label?.firstChild;
  return (field.getAttribute("aria-label") ?? words?.textContent ?? "").trim();
}

/** What a list shows before anybody chooses: the option marked so, else the first. */
function firstValue(select) {
  const options = Array.from(select.options);
  return (options.find((option) => option.defaultSelected) ?? options[0])?.value ?? "";
}

function isField(element) {
  return element.localName === "input" || element.localName === "textarea"
    || element.localName === "select";
}

function swapField(old, fresh, keep) {
  if (old.localName === "select") {
    swapOptions(old, fresh, keep ? old.value : firstValue(fresh));
  } else if (old.localName === "textarea") {
    // Not under the cursor: the new words would look typed.
    if (keep && !isTouched(old)) return;
    const value = keep ? old.value : fresh.defaultValue;
    old.defaultValue = fresh.defaultValue;
    old.value = value;
  } else if (!keep) {
    old.value = fresh.value;
    old.checked = fresh.defaultChecked;
  }
}

/** Copies, so that no option is moved: a list that loses the chosen one chooses another by itself. */
function swapOptions(old, fresh, value) {
  const copy = (node) => old.ownerDocument.importNode(node, true);
  old.replaceChildren(...Array.from(fresh.childNodes, copy));
  const isThere = Array.from(old.options).some((option) => option.value === value);
  old.value = isThere ? value : firstValue(old);
}

function swapAttributes(old, fresh) {
  const isFold = old.localName === "details" || old.localName === "dialog";
  // A fold stays as it was put, until what it is for has come to stand otherwise.
  const kept = isFold && old.getAttribute("data-state") === fresh.getAttribute("data-state") ? ["open"] : [];
  // A field that is not touched shows its attribute: it must not change under the cursor.
  if (isField(old) && isHeld(old) && !isTouched(old)) kept.push("value", "checked");
  if (old.localName === "form") kept.push("data-sent", ...(isBegun(old) ? ["data-base"] : []));
  for (const { name } of Array.from(old.attributes)) {
    if (!fresh.hasAttribute(name) && !kept.includes(name)) old.removeAttribute(name);
  }
  for (const { name, value } of Array.from(fresh.attributes)) {
    if (!kept.includes(name) && old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
}

function swapChildren(old, fresh) {
  const known = keyed(old);
  let place = old.firstChild;
  for (const child of Array.from(fresh.childNodes)) {
    place = skipOwn(place);
    const match = matching(place, child, known);
    if (!match) {
      old.insertBefore(old.ownerDocument.importNode(child, true), place);
    } else {
      if (match === place) place = place.nextSibling;
      else old.insertBefore(match, place);
      if (child.nodeType === 1) swap(match, child);
      else if (match.nodeValue !== child.nodeValue) match.nodeValue = child.nodeValue;
    }
  }
  while (place) {
    const next = place.nextSibling;
    if (!isOwn(place)) place.remove();
    place = next;
  }
}

function keyed(parent) {
  return new Map(Array.from(parent.children, (child) => [keyOf(child), child]).filter(([key]) => key));
}

function keyOf(node) {
  return node.nodeType === 1 ? node.getAttribute("data-key") || node.id : "";
}

/** Elements that a module put beside what the server made. */
function isOwn(node) {
  return node.nodeType === 1 && node.hasAttribute("data-added");
}

function skipOwn(node) {
  let place = node;
  while (place && isOwn(place)) place = place.nextSibling;
  return place;
}

function matching(place, child, known) {
  if (child.localName === "form" && !keyOf(child)) return matchingForm(place, child);
  const key = keyOf(child);
  if (key) {
    const match = known.get(key);
    return match?.localName === child.localName ? match : undefined;
  }
  const same = place && place.nodeType === child.nodeType && place.nodeName === child.nodeName;
  return same && !keyOf(place) ? place : undefined;
}

/** The form that is being typed in, if it is this one; never one that is typed in for something else. */
function matchingForm(place, child) {
  for (let node = place; node; node = node.nextSibling) {
    if (node.localName === "form" && isBegun(node) && purposeOf(node) === purposeOf(child)) return node;
  }
  return place?.localName === "form" && !keyOf(place) && !isBegun(place) ? place : undefined;
}
