// What the queue does with what waits and with what the server says: pure decisions, no storage, no
// network, no page.
//
// An item waits until the server has answered for it by its id. Items go in the order they were made.
// What the server refuses is kept with the reason and lets the others pass.

/** Most entries in one message. */
export const MOST_AT_ONCE = 50;

const FIRST_PAUSE_MS = 1000;
const LONGEST_PAUSE_MS = 15000;

/** How long to wait after `failures` tries in a row without an answer. */
export function pauseMs(failures) {
  return Math.min(FIRST_PAUSE_MS * 2 ** Math.max(0, failures - 1), LONGEST_PAUSE_MS);
}

/**
 * What to send next: the first item that waits and those after it that can go in the same message
 * (entries of one case; a photo goes alone). Empty when nothing waits.
 */
export function nextBatch(items, most = MOST_AT_ONCE) {
  const waiting = items.filter((item) => item.state === "waiting");
  const [first] = waiting;
  if (!first) return [];
  if (first.kind !== "entry") return [first];
  const batch = [];
  for (const item of waiting) {
    if (item.kind !== "entry" || item.case !== first.case || batch.length >= most) break;
    batch.push(item);
  }
  return batch;
}

/**
 * What follows from a reply to a batch.
 *
 * A reply is `{is: "answers", answers}`, `{is: "away"}`, `{is: "login"}` or `{is: "refused", message}`.
 * Gives `gone` (ids the server has), `refused` (`{id, reason}`), `conflicts` (`{id, message}`, also
 * gone), `head` (number of the last entry that came of it), `next`: "on", "pause", "login" or "singly" (send one by one to find the one that is refused).
 */
export function verdict(batch, reply) {
  const nothing = { gone: [], refused: [], conflicts: [], next: "pause" };
  if (reply.is === "away") return nothing;
  if (reply.is === "login") return { ...nothing, next: "login" };
  if (reply.is === "refused") {
    if (batch.length > 1) return { ...nothing, next: "singly" };
    const refused = batch.map((item) => ({ id: item.id, reason: reply.message }));
    return { ...nothing, refused, next: "on" };
  }
  return byAnswers(batch, reply.answers ?? [], nothing);
}

function byAnswers(batch, answers, nothing) {
  const byId = new Map(answers.map((answer) => [answer.id, answer]));
  const out = { ...nothing, gone: [], refused: [], conflicts: [], next: "on", head: Math.max(0, ...answers.map(({ seq }) => seq ?? 0)) };
  for (const item of batch) {
    const answer = byId.get(item.id);
    if (answer?.outcome === "refused") {
      out.refused.push({ id: item.id, reason: answer.message || "refused without a reason" });
    } else if (answer?.outcome === "conflict") {
      out.conflicts.push({ id: item.id, message: answer.message });
      out.gone.push(item.id);
    } else if (answer?.outcome === "taken" || answer?.outcome === "already") {
      out.gone.push(item.id);
    } else {
      out.next = "pause";
    }
  }
  return out;
}

/** Counts for the sign on the page. */
export function tally(items) {
  const refused = items.filter((item) => item.state === "refused").length;
  return { waiting: items.length - refused, refused };
}

/** The sign's words; empty when there is nothing to say. */
export function tallyWords({ waiting, refused }, link) {
  const parts = [];
  if (waiting > 0) parts.push(`${waiting} waiting to be sent`);
  if (refused > 0) parts.push(`${refused} not taken`);
  if (link === "away") parts.unshift("no link");
  if (link === "login") parts.unshift("log in again");
  return parts.join(", ");
}

/** One line that says what a change does, for the list of what waits. */
export function changeWords(change) {
  const [kind] = Object.keys(change);
  const what = change[kind];
  switch (kind) {
    case "line":
      return `${what.section}: ${what.text}`;
    case "value":
      return `${what.path} = ${what.is}`;
    case "remove":
      return `take out ${what.path}`;
    case "lines":
      return what.to;
    case "text":
      return "the whole record";
    case "note":
      return what.on ? `note on ${what.on}: ${what.words}` : `note: ${what.words}`;
    case "tick":
      return `${what.done ? "done" : "not done"}: ${what.step}${what.reading ? `, read ${what.reading}` : ""}`;
    case "photo":
      return what.on ? `photo of ${what.on}` : "photo";
    case "undo":
      return "take back an entry";
    case "authority":
      return `${what.given ? "yes" : "no"} of ${what.by} to ${what.to}`;
    default:
      return kind;
  }
}

/** The words of a change that can be put right by hand: `{label, text}`, or nothing. */
export function editable(change) {
  if (change.line) return { label: change.line.section, text: change.line.text };
  if (change.value) return { label: change.value.path, text: change.value.is };
  if (change.note) return { label: "note", text: change.note.words };
  if (change.tick?.reading) return { label: change.tick.step, text: change.tick.reading };
  return undefined;
}

/** The change with other words in it. */
export function edited(change, text) {
  if (change.line) return { line: { ...change.line, text } };
  if (change.value) return { value: { ...change.value, is: text } };
  if (change.note) return { note: { ...change.note, words: text } };
  if (change.tick) return { tick: { ...change.tick, reading: text } };
  return change;
}
