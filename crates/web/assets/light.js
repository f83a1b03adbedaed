// Which light the page is made for: as the device says, a dim van, or bright sun.
//
// Runs before the page is painted, so it is no module. A button with `data-light-next` goes to the next one. The
// colours are the style sheet's business.
(() => {
  const KEY = "light";
  const ORDER = ["auto", "dim", "sun"];
  const WORDS = { auto: "Light: as the device", dim: "Light: dim van", sun: "Light: bright sun" };
  const root = document.documentElement;
  const known = () => {
    const kept = localStorage.getItem(KEY);
    return ORDER.includes(kept) ? kept : "auto";
  };
  const show = () => {
    const now = known();
    if (now === "auto") root.removeAttribute("data-light");
    else root.setAttribute("data-light", now);
    for (const button of document.querySelectorAll("[data-light-next]")) button.textContent = WORDS[now];
  };
  show();
  document.addEventListener("DOMContentLoaded", show);
  document.addEventListener("click", (event) => {
    if (!event.target.closest?.("[data-light-next]")) return;
    localStorage.setItem(KEY, ORDER[(ORDER.indexOf(known()) + 1) % ORDER.length]);
    show();
  });
})();
