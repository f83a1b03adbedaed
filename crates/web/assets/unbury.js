// Starts what a page needs, and says when it is ready (`data-ready` on the root element).
//
// The only module a page names. Knows which part takes which hook; the parts know nothing of each other.

import { tellClash } from "./clash.js";
import { startDrafts } from "./drafts.js";
import { reloadDrawings, startDrawings } from "./drawing.js";
import { startElapsed } from "./elapsed.js";
import { showExamples, startForms } from "./forms.js";
import { deviceName, newId } from "./id.js";
import { headOf, startLive } from "./live.js";
import { showArrows } from "./mark-up.js";
import { startOffline } from "./offline.js";
import { goOnward, startOnward } from "./onward.js";
import { startPads } from "./pad.js";
import { startPhotos } from "./photo.js";
import { startPreviews } from "./preview.js";
import { openStore } from "./queue-store.js";
import { startQueue } from "./queue.js";
import { sender } from "./sender.js";
import { tell, tellClashed, tellRefused } from "./told.js";
import { startUnfolding } from "./unfold.js";
import { startWaiting } from "./waiting.js";

async function start() {
  document.querySelector(".stations [aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });
  const caseId = document.querySelector("[data-case]")?.getAttribute("data-case");
  const address = `/case/${encodeURIComponent(caseId ?? "")}`;
  const queue = startQueue({ store: await openStore(), send: sender(), alone: oneAtATime });
  const waiting = startWaiting(queue, caseId, newId);
  startOffline();
  startUnfolding();
  if (caseId) startCase(queue, waiting, caseId, address);
  for (const event of ["online", "focus", "pageshow"]) addEventListener(event, () => void queue.go());
  document.addEventListener("visibilitychange", () => void queue.go());
  void queue.go();
  document.documentElement.setAttribute("data-ready", "");
}

function startCase(queue, waiting, caseId, address) {
  const live = startLive({
    events: `${address}/events`,
    onFresh: () => {
      parts();
      goOnward();
      reloadDrawings();
      waiting.again();
      document.documentElement.removeAttribute("data-stale");
      for (const sign of document.querySelectorAll(".stale")) sign.remove();
    },
    onLink: (there) => {
      document.documentElement.dataset.link = there ? "there" : "away";
      if (there) void queue.go();
    },
  });
  const draft = () => ({ id: newId(), device: deviceName(), at: new Date().toISOString(), base: Math.max(live.head(), headOf(document)) });
  const enter = async (changes, since) => {
    const made = changes.map((change) => ({ ...draft(), ...(since !== undefined && { base: since }), change }));
    await queue.addAll(made.map((one) => ({ id: one.id, case: caseId, kind: "entry", draft: one })));
    return made.map(({ id }) => id);
  };
  const refusals = (items) => tellRefused(items.filter(({ state }) => state === "refused"));
  const keep = async (changes, since) => {
    const ids = await enter(changes, since);
    if (!changes.some((change) => change.undo)) tell(changes, () => takeBack(ids), ids);
    // The answer may have come before it was told of.
    void queue.items().then(refusals);
  };
  // What the server refused is only here; all else is taken back by an entry that goes after it.
  const takeBack = async (ids) => {
    const refused = new Set((await queue.items()).filter(({ state }) => state === "refused").map(({ id }) => id));
    for (const id of ids.toReversed()) {
      if (refused.has(id)) await queue.discard(id);
      else await enter([{ undo: { entry: id } }]);
    }
  };
  const keepPhoto = async ({ on, arrow, words, name, type }, bytes) => {
    const made = { ...draft(), on, arrow, words };
    await queue.add({ id: made.id, case: caseId, kind: "photo", draft: made, name, type }, bytes);
    tell([{ photo: { on } }], () => takeBack([made.id]));
  };
  const parts = () => {
    startDrafts(caseId, () => headOf(document));
    showExamples();
    startPads();
    startPreviews();
    startPhotos(keepPhoto);
    startDrawings(address);
    startElapsed(headOf(document));
    showArrows();
  };
  parts();
  startOnward();
  startForms(keep);
  void queue.watch(({ items, gone, conflicts, head }) => {
    refusals(items);
    const mine = new Set(gone?.filter((item) => item.case === caseId).map((item) => item.id));
    const clashes = conflicts?.filter(({ id }) => mine.has(id)) ?? [];
    if (clashes.length > 0) tellClash(clashes.map(({ message }) => message), address);
    tellClashed(clashes.map(({ id }) => id));
    if (mine.size > 0) void live.refresh(head);
  });
}

/** Runs work while no other page of this device does, where the browser can tell. */
function oneAtATime(work) {
  return navigator.locks ? navigator.locks.request("unbury-queue", work) : work();
}

void start();
