// Making elements without markup in strings. Knows nothing of what they are for.

/** An element of this name with attributes and children; `undefined` and `false` attributes are left out. */
export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  setAll(element, attributes);
  element.append(...children.filter((child) => child !== undefined && child !== null));
  return element;
}

const SVG = "http://www.w3.org/2000/svg";

/** The same for drawings. */
export function makeSvg(name, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, name);
  setAll(element, attributes);
  element.append(...children);
  return element;
}

function setAll(element, attributes) {
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== undefined && value !== false) element.setAttribute(key, value === true ? "" : value);
  }
}

/** A button that does something. */
export function button(words, work, attributes = {}) {
  const made = make("button", { type: "button", ...attributes }, words);
  made.addEventListener("click", work);
  return made;
}

/** Says something to screen readers, and to nobody else. */
export function say(words) {
  let place = document.getElementById("said");
  if (!place) {
    place = make("p", { id: "said", class: "out", role: "status", "data-added": true });
    document.body.append(place);
  }
  place.textContent = words;
}
