// The queue against a server that fails in every way the bay knows: nothing lost, nothing twice, in order.
import assert from "node:assert/strict";
import test from "node:test";

import { IDBFactory } from "fake-indexeddb";

import { newId } from "../../crates/web/assets/id.js";
import { edited, nextBatch, pauseMs, tallyWords, verdict } from "../../crates/web/assets/queue-rules.js";
import { openStore } from "../../crates/web/assets/queue-store.js";
import { startQueue } from "../../crates/web/assets/queue.js";
import { replyOf, sender } from "../../crates/web/assets/sender.js";

const entry = (words, of = "dunlin") => {
  const id = newId();
  return { id, case: of, kind: "entry", draft: { id, device: "d", at: "2026-05-02T10:00:00Z", base: 1, change: { note: { words } } } };
};
const photo = (on) => {
  const id = newId();
  return { id, case: "dunlin", kind: "photo", draft: { id, on }, name: "p.jpg", type: "image/jpeg" };
};

/** A server in memory: takes an id once. `mood` says what happens to each message. */
function server(mood) {
  const taken = [];
  const known = new Set();
  const take = ({ id, draft }) => {
    if (draft.change?.note?.words === "bad") return { id, outcome: "refused", message: "not a line" };
    const outcome = known.has(id) ? "already" : "taken";
    if (!known.has(id)) taken.push(id);
    known.add(id);
    return { id, outcome, seq: taken.length };
  };
  const send = async (batch) => {
    switch (mood()) {
      case "lost before":
        return { is: "away" };
      case "lost after":
        batch.forEach(take);
        return { is: "away" };
      case "half":
        return { is: "answers", answers: batch.slice(0, Math.ceil(batch.length / 2)).map(take) };
      default:
        return { is: "answers", answers: batch.map(take) };
    }
  };
  return { taken, send };
}

/** Timers that run when told to. */
function hand() {
  const due = [];
  return {
    later: (work) => {
      due.push(work);
      return () => due.splice(due.indexOf(work) >>> 0, 1);
    },
    strike: () => due.splice(0).forEach((work) => work()),
    due,
  };
}

async function settled(queue, clock, limit = 400) {
  for (let round = 0; round < limit; round += 1) {
    await queue.go();
    if ((await queue.items()).every((item) => item.state === "refused")) return;
    clock.strike();
  }
  assert.fail("the queue never emptied");
}

/** Chance from a seed (Park and Miller), so that a failure can be told again. */
function chance(seed) {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

test("over 40 random links every entry arrives once, in the order it was made", async () => {
  for (let seed = 1; seed <= 40; seed += 1) {
    const draw = chance(seed * 7919);
    const moods = ["lost before", "lost after", "half", "well"];
    const far = server(() => moods[Math.floor(draw() * moods.length)]);
    const clock = hand();
    const store = await openStore(new IDBFactory());
    const queue = startQueue({ store, send: far.send, later: clock.later });
    const made = Array.from({ length: 23 }, (_, index) => (index % 7 === 3 ? photo("box") : entry(`n${index}`)));
    for (const item of made) await queue.add(item, item.kind === "photo" ? new ArrayBuffer(9) : undefined);
    await settled(queue, clock);
    assert.deepEqual(far.taken, made.map((item) => item.id), `seed ${seed}`);
    assert.deepEqual(await queue.items(), []);
  }
});

test("what was kept is there after the page is gone, with the bytes of its photo", async () => {
  const factory = new IDBFactory();
  const away = server(() => "lost before");
  const first = startQueue({ store: await openStore(factory), send: away.send, later: hand().later });
  const [one, two] = [entry("one"), photo("fridge")];
  await first.add(one);
  await first.add(two, new Uint8Array([1, 2, 3]).buffer);
  const far = server(() => "well");
  const clock = hand();
  const second = startQueue({ store: await openStore(factory), send: far.send, later: clock.later });
  assert.deepEqual(new Uint8Array(await second.bytes(two.id)), new Uint8Array([1, 2, 3]));
  await settled(second, clock);
  assert.deepEqual(far.taken, [one.id, two.id]);
});

test("two pages of one device may send at once and nothing is taken twice", async () => {
  const factory = new IDBFactory();
  const far = server(() => "well");
  const made = Array.from({ length: 12 }, (_, index) => entry(`n${index}`));
  const pages = await Promise.all([0, 1].map(async () =>
    startQueue({ store: await openStore(factory), send: far.send, later: hand().later })));
  for (const item of made) await pages[0].add(item);
  await Promise.all(pages.map((page) => page.go()));
  await Promise.all(pages.map((page) => page.go()));
  assert.deepEqual(far.taken, made.map((item) => item.id));
});

test("a refused entry stays with its reason, lets others pass, and goes once it is put right", async () => {
  const far = server(() => "well");
  const clock = hand();
  const queue = startQueue({ store: await openStore(new IDBFactory()), send: far.send, later: clock.later });
  const [bad, good] = [entry("bad"), entry("good")];
  await queue.add(bad);
  await queue.add(good);
  await settled(queue, clock);
  const [kept] = await queue.items();
  assert.deepEqual([kept.id, kept.state, kept.reason], [bad.id, "refused", "not a line"]);
  assert.deepEqual(far.taken, [good.id]);
  const id = newId();
  await queue.retry(bad.id, { id, draft: { ...bad.draft, id, change: edited(bad.draft.change, "better") } });
  await settled(queue, clock);
  assert.deepEqual(far.taken, [good.id, id]);
});

test("one entry that makes the server refuse the whole message is found by sending singly", async () => {
  const good = [entry("a"), entry("b")];
  const bad = entry("c");
  const taken = [];
  const send = async (batch) => {
    if (batch.includes(batch.find((item) => item.id === bad.id))) return { is: "refused", message: "malformed" };
    taken.push(...batch.map((item) => item.id));
    return { is: "answers", answers: batch.map(({ id }) => ({ id, outcome: "taken" })) };
  };
  const clock = hand();
  const queue = startQueue({ store: await openStore(new IDBFactory()), send, later: clock.later });
  for (const item of [good[0], bad, good[1]]) await queue.add(item);
  await settled(queue, clock);
  assert.deepEqual(taken, good.map((item) => item.id));
  assert.deepEqual((await queue.items()).map((item) => item.id), [bad.id]);
});

test("who is not logged in keeps everything and is not hammered", async () => {
  let messages = 0;
  const send = async () => {
    messages += 1;
    return { is: "login" };
  };
  const clock = hand();
  const links = [];
  const queue = startQueue({ store: await openStore(new IDBFactory()), send, later: clock.later });
  await queue.watch(({ link }) => links.push(link));
  await queue.add(entry("one"));
  await queue.go();
  clock.strike();
  assert.equal((await queue.items()).length, 1);
  assert.equal(links.at(-1), "login");
  assert.ok(messages <= 2 && clock.due.length === 0);
});

test("a message holds entries of one case only, a photo goes alone, nothing overtakes", () => {
  const items = [entry("1"), entry("2"), photo("x"), entry("3"), entry("4", "other")].map((item) => ({ ...item, state: "waiting" }));
  assert.deepEqual(nextBatch(items), items.slice(0, 2));
  assert.deepEqual(nextBatch(items.slice(2)), [items[2]]);
  assert.deepEqual(nextBatch(items.slice(3)), [items[3]]);
  assert.deepEqual(nextBatch(items.slice(0, 2), 1), [items[0]]);
  assert.deepEqual(nextBatch([]), []);
});

test("an answer that forgets an entry does not count for it", () => {
  const [one, two] = [entry("1"), entry("2")];
  const said = verdict([one, two], { is: "answers", answers: [{ id: two.id, outcome: "conflict", message: "differs" }] });
  assert.deepEqual(said.gone, [two.id]);
  assert.deepEqual(said.conflicts, [{ id: two.id, message: "differs" }]);
  assert.equal(said.next, "pause");
});

test("pauses double up to a limit", () => {
  assert.deepEqual([1, 2, 3, 4, 5, 9].map(pauseMs), [1000, 2000, 4000, 8000, 15000, 15000]);
});

test("the sign says what matters first", () => {
  assert.equal(tallyWords({ waiting: 0, refused: 0 }, "there"), "");
  assert.equal(tallyWords({ waiting: 3, refused: 1 }, "away"), "no link, 3 waiting to be sent, 1 not taken");
});

test("status codes mean what HTTP semantics say (RFC 9110, 15)", async () => {
  const of = async (status, body = "", type = "text/plain") =>
    replyOf(new Response(status === 303 ? null : body, { status, headers: { "content-type": type } }));
  assert.deepEqual(await of(200, '[{"id":"a","outcome":"taken"}]'), { is: "answers", answers: [{ id: "a", outcome: "taken" }] });
  assert.deepEqual(await of(200, '{"id":"a","outcome":"taken"}'), { is: "answers", answers: [{ id: "a", outcome: "taken" }] });
  assert.deepEqual(await of(503), { is: "away" });
  assert.deepEqual(await of(429), { is: "away" });
  assert.deepEqual(await of(401), { is: "login" });
  assert.deepEqual(await of(303), { is: "login" });
  assert.deepEqual(await of(413, "the picture is too large"), { is: "refused", message: "the picture is too large" });
  assert.deepEqual(await of(422, '{"message":"no such section"}'), { is: "refused", message: "no such section" });
  assert.deepEqual(await of(400, "<html>"), { is: "refused", message: "the server answered 400" });
});

test("a photo whose bytes are gone is refused, not sent empty", async () => {
  const send = sender(() => assert.fail("nothing must be sent"));
  const reply = await send([photo("x")], async () => undefined);
  assert.equal(reply.is, "refused");
});

test("several are taken in together, in order, or not at all", async () => {
  const store = await openStore(new IDBFactory());
  const { taken, send } = server(() => "fine");
  const queue = startQueue({ store, send });
  const [a, b, c] = ["a", "b", "c"].map((words) => entry(words));
  await assert.rejects(queue.addAll([a, b, a]));
  assert.deepEqual(await store.all(), []);
  await queue.addAll([a, b, c]);
  await queue.go();
  assert.deepEqual(taken, [a.id, b.id, c.id]);
});
