// What a line would mean, while it is typed: asked of the server a moment after the last key, called off when
// typing goes on.
//
// A field with `data-preview="ADDRESS"` shows the answer in the element its `aria-describedby` or
// `data-preview-into` names. Further fields of the form go along. Does not know what a line is.

const REST_MS = 160;

const started = new WeakSet();

/** Starts every such field. */
export function startPreviews(root = document) {
  for (const field of root.querySelectorAll("[data-preview]")) {
    if (started.has(field)) continue;
    started.add(field);
    watch(field);
  }
}

function watch(field) {
  const into = document.getElementById(field.dataset.previewInto ?? field.getAttribute("aria-describedby"));
  if (!into) return;
  into.setAttribute("data-own", "");
  let timer;
  let running;
  const ask = async () => {
    running?.abort();
    // The element may have become another field.
    if (!field.dataset.preview) return;
    if (field.value.trim() === "") {
      into.replaceChildren();
      return;
    }
    running = new AbortController();
    const query = new URLSearchParams(new FormData(field.form));
    try {
      const response = await fetch(`${field.dataset.preview}?${query}`, { signal: running.signal, credentials: "same-origin" });
      if (response.ok) show(into, await response.text());
    } catch (error) {
      if (error.name !== "AbortError") into.textContent = "No link: the line is looked at when it is sent.";
    }
  };
  const soon = () => {
    clearTimeout(timer);
    timer = setTimeout(ask, REST_MS);
  };
  // A name that was meant, put where the other one stands.
  into.addEventListener("click", (event) => {
    const put = event.target.closest("[data-put]")?.dataset;
    if (!put) return;
    field.value = field.value.replace(wholeName(put.for), () => put.put);
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.focus();
  });
  field.form.addEventListener("input", soon);
  field.form.addEventListener("entry-made", () => {
    clearTimeout(timer);
    running?.abort();
    into.replaceChildren();
  });
  if (field.value.trim() !== "") soon();
}

/** Finds a name, and not a longer one that holds it. */
function wholeName(name) {
  const plain = name.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
  return new RegExp(`(?<![\\w-])${plain}(?![\\w-])`, "g");
}

function show(into, text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  into.replaceChildren(...Array.from(page.body.childNodes, (node) => document.importNode(node, true)));
}
