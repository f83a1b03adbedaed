// What a form of a page says, as the change of an entry: pure, from names and values.
//
// Fields are named as the change names its parts, `kind` says which change it is; the same form sent without
// script says the same to the server. Knows no page.

import { filled, joined } from "./template.js";

const PARTS = {
  line: ["section", "text"],
  value: ["path", "is", "was"],
  remove: ["path", "was"],
  note: ["on", "words"],
  tick: ["list", "step", "reading", "done"],
  text: ["is", "was"],
  lines: ["from", "to"],
  authority: ["to", "by", "how", "up_to", "words", "given"],
  undo: ["entry"],
  choose: ["entry", "place", "keep"],
};
const MUST = {
  line: ["section", "text"],
  value: ["path", "is"],
  remove: ["path"],
  note: ["words"],
  tick: ["list", "step"],
  text: ["is"],
  lines: ["from"],
  authority: ["to", "by"],
  undo: ["entry"],
  choose: ["entry", "keep"],
};
const YES_OR_NO = new Set(["done", "given"]);
const WORDS = {
  text: "the line",
  is: "the value",
  words: "the words",
  by: "who said it",
  to: "what it is about",
};

/** Whether forms of this kind become entries on the device. */
export function isKnown(kind) {
  return kind in PARTS || kind === "instead";
}

/** The changes of a form, each as of [`changeFrom`]: an `instead` takes a value out and puts a line in. */
export function changesFrom(kind, given) {
  return kind === "instead" ? [changeFrom("remove", given), changeFrom("line", given)] : [changeFrom(kind, given)];
}

/** `{change}`, or `{missing}` with words for the first part that is missing. */
export function changeFrom(kind, given) {
  const { fields, missing: gap } = made(kind, given);
  if (gap) return { missing: WORDS[gap] ?? gap.replaceAll("_", " ") };
  const missing = MUST[kind].find((part) => !String(fields[part] ?? "").trim());
  if (missing) return { missing: WORDS[missing] ?? missing };
  const what = {};
  for (const part of PARTS[kind]) {
    const value = fields[part];
    if (YES_OR_NO.has(part)) what[part] = isYes(value, part);
    else if (part === "place") what[part] = Number(value ?? 0);
    else if (kind === "lines") what[part] = value ?? "";
    else if (value !== undefined && value !== "") what[part] = kind === "text" ? value : value.trim();
  }
  return { change: { [kind]: what } };
}

/** The fields with a template filled, and with what stands round a value. */
function made(kind, fields) {
  if (kind === "line" && fields.template) {
    const { text, missing } = filled(fields.template, fields);
    return { fields: { ...fields, text }, missing };
  }
  if (kind === "value" && fields.template) {
    const { text, missing } = filled(fields.template, fields);
    return { fields: { ...fields, is: text }, missing };
  }
  if (kind === "tick" && fields.template) {
    const { text, missing } = filled(fields.template, fields);
    return { fields: { ...fields, reading: text }, missing };
  }
  if (kind === "value" && String(fields.is ?? "").trim()) return { fields: { ...fields, is: joined(fields) } };
  return { fields };
}

function isYes(value, part) {
  if (value === undefined) return part === "done";
  return !["", "false", "no", "0", "off"].includes(value);
}
