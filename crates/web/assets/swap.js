// Makes a part of the page look like a newer copy of it, touching only what differs: what is being typed,
// the focus, the scroll and open folds stay.
//
// Elements are matched by `data-key`, or id, among their siblings, else by place and name. An element with
// `data-own` is drawn by a module and left alone; one with `data-added` was
// put there by a module and stays. A fold with `data-state` is opened or folded anew when that changes. Does not know where the copy comes from.

/** Makes `old` like `fresh`. Both stay in their documents; nodes of `fresh` may be moved over. */
export function swap(old, fresh) {
  if (old.hasAttribute("data-own") || old.isEqualNode(fresh)) return;
  const keep = isField(old) && (old === old.ownerDocument.activeElement || isTouched(old));
  swapAttributes(old, fresh);
  if (isField(old)) swapField(old, fresh, keep);
  else swapChildren(old, fresh);
}

/** Whether a field holds something its owner has put there since the page came. */
export function isTouched(field) {
  if (field.type === "checkbox" || field.type === "radio") {
    return field.checked !== field.defaultChecked;
  }
  if (field.localName === "select") {
    return Array.from(field.options).some((option) => option.selected !== option.defaultSelected)
      && Array.from(field.options).some((option) => option.defaultSelected);
  }
  return field.value !== field.defaultValue;
}

function isField(element) {
  return element.localName === "input" || element.localName === "textarea"
    || element.localName === "select";
}

function swapField(old, fresh, keep) {
  if (old.localName === "select") {
    const value = old.value;
    old.replaceChildren(...Array.from(fresh.childNodes));
    if (keep) old.value = value;
  } else if (old.localName === "textarea") {
    const value = keep ? old.value : fresh.defaultValue;
    old.defaultValue = fresh.defaultValue;
    old.value = value;
  } else if (!keep) {
    old.value = fresh.value;
    old.checked = fresh.defaultChecked;
  }
}

function swapAttributes(old, fresh) {
  const isFold = old.localName === "details" || old.localName === "dialog";
  // A fold stays as it was put, until what it is for has come to stand otherwise.
  const kept = isFold && old.getAttribute("data-state") === fresh.getAttribute("data-state") ? ["open"] : [];
  // A field that is not touched shows its attribute: it must not change under the cursor.
  if (isField(old) && old === old.ownerDocument.activeElement && !isTouched(old)) {
    kept.push("value", "checked");
  }
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
  const key = keyOf(child);
  if (key) {
    const match = known.get(key);
    return match?.localName === child.localName ? match : undefined;
  }
  const same = place && place.nodeType === child.nodeType && place.nodeName === child.nodeName;
  return same && !keyOf(place) ? place : undefined;
}
