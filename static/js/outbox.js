// The phone's own store: what was pressed and is not at the server yet. It outlives reload, restart and an empty battery.
import { openDB } from "../idb/index.js";

const STORES = ["entries", "bytes"];
const lines = new BroadcastChannel("outbox");
const listeners = new Set();
let opened;

function store() {
  opened ??= openDB("outbox", 1, {
    upgrade(db) {
      db.createObjectStore("entries", { keyPath: "order", autoIncrement: true });
      db.createObjectStore("bytes");
    },
  });
  return opened;
}

/** Everything that is read or written at once; `strict` is on the disk before it is done. */
async function within(mode, doing) {
  const transaction = (await store()).transaction(STORES, mode, { durability: "strict" });
  const [result] = await Promise.all([
    doing(transaction.objectStore("entries"), transaction.objectStore("bytes")),
    transaction.done,
  ]);
  return result;
}

/** Put one sending in; the bytes of its files are there already. It is safe once this is done. */
export async function add(entry) {
  await within("readwrite", (entries) => entries.add(entry));
  tell({ fresh: true });
}

/** Put the bytes of one file in, by its key. */
export async function putBytes(key, content) {
  await within("readwrite", (entries, contents) => contents.put(content, key));
}

/** Let bytes go that no entry names: whoever put them in ended before the entry was there. */
export async function sweepBytes() {
  await within("readwrite", async (entries, contents) => {
    const named = new Set((await entries.getAll()).flatMap(({ files }) => files.map(({ upload }) => upload)));
    const strays = (await contents.getAllKeys()).filter((key) => !named.has(key));
    await Promise.all(strays.map((key) => contents.delete(key)));
  });
}

/** All entries, the oldest first. */
export async function allEntries() {
  return (await store()).getAll("entries");
}

export async function entryAt(order) {
  return (await store()).get("entries", order);
}

export async function bytesOf(key) {
  return (await store()).get("bytes", key);
}

/** Alter one entry; bytes whose keys are in `drop` are let go in the same step. Gives it as it is now. */
export async function change(order, changes, drop = []) {
  const changed = await within("readwrite", async (entries, contents) => {
    const entry = await entries.get(order);
    if (!entry) {
      return undefined;
    }
    for (const key of drop) {
      contents.delete(key);
    }
    Object.assign(entry, changes);
    await entries.put(entry);
    return entry;
  });
  tell();
  return changed;
}

/** Leave one entry out, with its bytes. */
export async function leaveOut(order) {
  await within("readwrite", async (entries, contents) => {
    const entry = await entries.get(order);
    for (const file of entry?.files ?? []) {
      contents.delete(file.upload);
    }
    await entries.delete(order);
  });
  tell();
}

/** Leave out what is stored at the server and of which `isOver` says that nobody needs to see it here. */
export async function tidy(isOver) {
  for (const entry of await allEntries()) {
    if (entry.state === "stored" && isOver(entry)) {
      await leaveOut(entry.order);
    }
  }
}

/** Call `listener` whenever something changed here or in another window; `news` says how far a file is. */
export function onChange(listener) {
  listeners.add(listener);
}

/** Tell every window; without news the entries themselves have changed. */
export function tell(news = {}) {
  lines.postMessage(news);
  listeners.forEach((listener) => listener(news));
}

lines.addEventListener("message", (event) => listeners.forEach((listener) => listener(event.data)));
