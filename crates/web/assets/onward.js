// After an answer the next check is brought into view: who enters a reading with a thumb would else look at the field of
// the next one and take it for the same.
//
// Knows that the form for the answer stands in `#answer`, and the check in `#next`. Does not know what is asked.

let answered;

/** Remembers what was asked when an answer is given. */
export function startOnward(root = document) {
  root.addEventListener("entry-made", (event) => {
    if (event.target.closest("#answer")) answered = wordsOf(root);
  });
}

/** To be called when the page is new: goes to what is asked now, once, if it is something else. */
export function goOnward(root = document) {
  const now = wordsOf(root);
  // While the server works nothing is asked.
  if (answered === undefined || now === undefined || now === answered) return;
  answered = undefined;
  root.getElementById("next").scrollIntoView({ block: "start" });
}

function wordsOf(root) {
  const title = root.getElementById("next");
  // The same title may stand over another place.
  return title ? `${title.textContent} ${title.closest("section")?.querySelector("ol")?.textContent ?? ""}` : undefined;
}
