// Tells the person at once that an entry of theirs contradicts another of the same place.
//
// Nothing is lost by it: both are kept until somebody chooses. Does not know what the entry says.

import { button, make } from "./dom.js";

/** What was told and is not put away yet. */
let unread = [];

/** Shows `messages` of the server at the head of the page, with the way to choose. `address` is `/case/ID`. */
export function tellClash(messages, address) {
  document.getElementById("clash")?.remove();
  unread = [...new Set([...unread, ...messages])];
  const place = make("section", { id: "clash", class: "clash", role: "alert", "data-added": true },
    make("b", {}, "Two entries say different things here."),
    ...unread.map((message) => make("p", {}, sentence(message))),
    make("p", {}, "What stood first stands until somebody chooses. Yours is kept beside it."));
  place.append(make("div", { class: "row" },
    make("a", { class: "button main", href: `${address}/history#conflicts` }, "Choose"),
    button("Later", () => {
      unread = [];
      place.remove();
    })));
  document.querySelector("main")?.prepend(place);
  place.scrollIntoView({ block: "nearest" });
}

function sentence(words) {
  const whole = words.trim();
  return whole.slice(0, 1).toUpperCase() + whole.slice(1) + (/[.!?]$/.test(whole) ? "" : ".");
}
