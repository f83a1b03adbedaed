// Takes entries and photos to the server and says what came of it, in the words of queue-rules.js.
//
// Knows addresses and status codes; does not know what an entry means, nor what waits.

const LONGEST_WAIT_MS = 20000;
const LONGEST_PHOTO_MS = 120000;

/** A `send` for the queue. `fetcher` is the browser's own unless a test gives another. */
export function sender(fetcher = (...all) => fetch(...all)) {
  return async (batch, bytesOf) => {
    const [first] = batch;
    return first.kind === "photo"
      ? sendPhoto(fetcher, first, await bytesOf(first.id))
      : sendEntries(fetcher, batch);
  };
}

function sendEntries(fetcher, batch) {
  return posted(fetcher, `/case/${encodeURIComponent(batch[0].case)}/entries`, {
    headers: { "content-type": "application/json", accept: "application/json" },
    body: JSON.stringify(batch.map((item) => item.draft)),
    wait: LONGEST_WAIT_MS,
  });
}

function sendPhoto(fetcher, item, bytes) {
  if (!bytes) return { is: "refused", message: "the picture is no longer on this device" };
  const form = new FormData();
  const { id, device, at, base, on, arrow, words } = item.draft;
  const fields = { id, device, at, base, on, arrow, words };
  for (const [name, value] of Object.entries(fields)) {
    if (value !== undefined && value !== "") form.append(name, String(value));
  }
  form.append("file", new Blob([bytes], { type: item.type }), item.name);
  return posted(fetcher, `/case/${encodeURIComponent(item.case)}/photos`, {
    headers: { accept: "application/json" },
    body: form,
    wait: LONGEST_PHOTO_MS,
  });
}

async function posted(fetcher, address, { headers, body, wait }) {
  const limit = AbortSignal.timeout(wait);
  try {
    const response = await fetcher(address, {
      method: "POST",
      headers,
      body,
      signal: limit,
      redirect: "manual",
      credentials: "same-origin",
    });
    return await replyOf(response);
  } catch {
    return { is: "away" };
  }
}

/** What a response means for the queue. */
export async function replyOf(response) {
  const { status } = response;
  if (response.type === "opaqueredirect" || [301, 302, 303, 307, 401].includes(status)) {
    return { is: "login" };
  }
  if (status === 408 || status === 425 || status === 429 || status >= 500) return { is: "away" };
  if (status >= 200 && status < 300) {
    const said = await response.json();
    return { is: "answers", answers: Array.isArray(said) ? said : [said] };
  }
  return { is: "refused", message: await reasonIn(response) };
}

async function reasonIn(response) {
  const text = await response.text().catch(() => "");
  const fallback = `the server answered ${response.status}`;
  try {
    const said = JSON.parse(text);
    return said.message ?? said.error ?? fallback;
  } catch {
    const plain = text.length < 400 && !text.includes("<") ? text.trim() : "";
    return plain || fallback;
  }
}
