// The queue: everything made on the device goes in here first and leaves once the server has answered
// for it.
//
// Sends one message at a time, in order, again after a pause while there is no answer. Two pages of one
// device may both send: ids make that harmless. Storage, sending and clock are handed in; it knows no page.

import { nextBatch, pauseMs, verdict } from "./queue-rules.js";

/**
 * Starts a queue. `store` as of queue-store.js; `send(batch, bytesOf)` gives a reply as of
 * queue-rules.js; `later(work, ms)` calls back (a timer) and gives a function that calls it off;
 * `alone(work)` runs work while no other page of the device does (a lock).
 */
export function startQueue({ store, send, later = timer, alone = (work) => work() }) {
  const listeners = new Set();
  const queue = { store, link: "unknown", failures: 0, running: undefined, calledOff: undefined };

  async function tell(event) {
    const items = await store.all();
    for (const listener of listeners) listener({ items, link: queue.link, ...event });
  }

  async function run() {
    let singly = false;
    for (;;) {
      const batch = nextBatch(await store.all(), singly ? 1 : undefined);
      if (batch.length === 0) return;
      const reply = await send(batch, store.bytes);
      const said = verdict(batch, reply);
      await store.drop(said.gone);
      for (const { id, reason } of said.refused) await store.change(id, { state: "refused", reason });
      singly = said.next === "singly";
      queue.link = { pause: "away", login: "login" }[said.next] ?? "there";
      await tell({ gone: batch.filter((item) => said.gone.includes(item.id)), conflicts: said.conflicts, head: said.head });
      if (said.next === "pause") return again();
      if (said.next === "login") return undefined;
      queue.failures = 0;
    }
  }

  function again() {
    queue.failures += 1;
    queue.calledOff?.();
    queue.calledOff = later(() => void go(), pauseMs(queue.failures));
  }

  /** Sends what waits, unless that is going on. */
  function go() {
    queue.calledOff?.();
    queue.calledOff = undefined;
    queue.running ??= Promise.resolve(alone(run)).catch(again).finally(async () => {
      queue.running = undefined;
    });
    return queue.running;
  }

  async function added() {
    // On its way before it is shown as waiting.
    void (queue.running ? queue.running.then(go) : go());
    await tell({});
  }

  return {
    /** Called with `{items, link, gone?, conflicts?, head?}` whenever something changed. */
    watch(listener) {
      listeners.add(listener);
      return tell({});
    },
    /** Takes an item in; resolves once it is kept on the device, not once it is sent. */
    async add(item, bytes) {
      await store.add({ ...item, state: "waiting" }, bytes);
      await added();
    },
    /** Takes several in, all or none. */
    async addAll(items) {
      await store.addAll(items.map((item) => ({ ...item, state: "waiting" })));
      await added();
    },
    /** Lets a refused item wait again, with `fields` changed. */
    async retry(id, fields = {}) {
      await store.change(id, { ...fields, state: "waiting", reason: undefined });
      await tell({});
      void go();
    },
    /** Throws an item away for good. */
    async discard(id) {
      await store.drop([id]);
      await tell({});
    },
    go,
    bytes: store.bytes,
    items: store.all,
  };
}

function timer(work, ms) {
  const handle = setTimeout(work, ms);
  return () => clearTimeout(handle);
}
