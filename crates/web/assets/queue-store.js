// Where the queue lies on the device: IndexedDB, so that it outlives the page, the browser and the
// battery. Bytes of photos lie apart from the list, which stays quick to read.
//
// Knows no network and no page; does not decide anything.

const NAME = "unbury";
const VERSION = 1;

/** Opens the store. `factory` is the browser's own unless a test gives another. */
export async function openStore(factory = globalThis.indexedDB, name = NAME) {
  const opening = factory.open(name, VERSION);
  opening.onupgradeneeded = () => {
    const items = opening.result.createObjectStore("items", { keyPath: "order", autoIncrement: true });
    items.createIndex("id", "id", { unique: true });
    opening.result.createObjectStore("bytes");
  };
  const database = await answered(opening);
  database.onversionchange = () => database.close();
  return storeOn(database);
}

function storeOn(database) {
  const write = (work) => transacted(database, "readwrite", work);
  const read = (work) => transacted(database, "readonly", work);
  return {
    /** Every item in the order they were made. */
    all: () => read(({ items }) => items.getAll()),
    /** Puts an item at the end; resolves once it is on the disk. */
    add: (item, bytes) =>
      write(({ items, bytes: kept }) => {
        if (bytes) kept.put(bytes, item.id);
        return items.add(item);
      }),
    /** Puts several at the end, all or none. */
    addAll: (all) =>
      write(({ items }) => {
        for (const item of all) items.add(item);
      }),
    /** Changes the item of this id. */
    change: (id, fields) =>
      write(async ({ items }) => {
        const key = await answered(items.index("id").getKey(id));
        if (key === undefined) return;
        const item = await answered(items.get(key));
        await answered(items.put({ ...item, ...fields, order: key }));
      }),
    /** Takes out the items of these ids with their bytes. */
    drop: (ids) =>
      write(async ({ items, bytes }) => {
        for (const id of ids) {
          const key = await answered(items.index("id").getKey(id));
          if (key !== undefined) items.delete(key);
          bytes.delete(id);
        }
      }),
    /** The bytes that belong to an item. */
    bytes: (id) => read(({ bytes }) => bytes.get(id)),
    close: () => database.close(),
  };
}

async function transacted(database, mode, work) {
  const transaction = database.transaction(["items", "bytes"], mode, { durability: "strict" });
  const finished = new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onerror = () => reject(transaction.error);
    transaction.onabort = () => reject(transaction.error ?? new Error("the device took nothing in"));
  });
  finished.catch(() => undefined);
  const result = await work({
    items: transaction.objectStore("items"),
    bytes: transaction.objectStore("bytes"),
  });
  const value = isRequest(result) ? await answered(result) : result;
  await finished;
  return value;
}

function isRequest(value) {
  return typeof value === "object" && value !== null && "readyState" in value && "onsuccess" in value;
}

function answered(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}
