// A link to something that is folded opens it, and what it lies in.
//
// Browsers do so for some folds and some links; a technician wants it for all. Knows no fold by name.

/** Opens what the address of the page names, now and whenever it changes. */
export function startUnfolding(root = document) {
  const open = () => unfold(root.getElementById(decoded(location.hash.slice(1))));
  addEventListener("hashchange", open);
  root.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href]");
    // The same address again is no change of it.
    if (link?.hash && link.href === location.href) open();
  });
  open();
}

/** Opens every fold that `element` lies in, or is, and brings it into view. */
export function unfold(element) {
  if (!element) return;
  const inner = element.querySelector(":scope > details");
  if (inner) inner.open = true;
  for (let fold = element.closest("details"); fold; fold = fold.parentElement?.closest("details")) fold.open = true;
  // The line of the fold says what it is: it is to be seen too.
  element.closest("details.fold")?.scrollIntoView({ block: "start" });
}

function decoded(name) {
  try {
    return decodeURIComponent(name);
  } catch {
    return name;
  }
}
