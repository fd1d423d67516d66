// Send what lies in the store, one entry after the other, from one window only; try again by itself when the line breaks.
import { allEntries, bytesOf, change, entryAt, onChange, tell, tidy } from "./outbox.js";
import { isMine } from "./senders.js";

const SHORTEST_WAIT = 1000;
const LONGEST_WAIT = 5 * 60 * 1000;
const FIRST_PART = 256 * 1024;
const SMALLEST_PART = 64 * 1024;
const LARGEST_PART = 2 * 1024 * 1024;
const PATIENCE = 60 * 1000;
const SHOWN_FOR = 24 * 3600 * 1000;

let running = false;
let wanted = false;
let failures = 0;
let timer;

/** The server cannot take this now: later. */
class Later extends Error {}

/** No word came back: everything waits. */
class NoLine extends Later {}

/** Begin at once, whatever the last waiting time was. */
export function wake() {
  failures = 0;
  run();
}

async function run() {
  clearTimeout(timer);
  if (running) {
    wanted = true;
    return;
  }
  running = true;
  const through = await navigator.locks.request("outbox", sendAll).catch((fault) => {
    reportError(fault);
    return false;
  });
  running = false;
  document.dispatchEvent(new CustomEvent("outbox:through"));
  if (wanted) {
    wanted = false;
    run();
  } else if (!through) {
    const wait = Math.min(SHORTEST_WAIT * 2 ** failures, LONGEST_WAIT);
    failures += 1;
    timer = setTimeout(run, wait * (0.75 + Math.random() / 2));
  }
}

/** Whether everything that can be sent was. What belongs to one task keeps its order. */
async function sendAll() {
  const stuck = new Set();
  for (const { order } of await allEntries()) {
    const entry = await entryAt(order);
    if (entry?.state !== "waiting" || !isMine(entry) || stuck.has(entry.task)) {
      continue;
    }
    try {
      await sendOne(entry);
    } catch (fault) {
      if (!(fault instanceof Later)) {
        throw fault;
      }
      stuck.add(entry.task);
      if (fault instanceof NoLine) {
        break;
      }
    } finally {
      tell({ order, over: true });
    }
  }
  return stuck.size === 0;
}

async function sendOne(entry) {
  tell({ order: entry.order });
  if (!token()) {
    return settle(entry, { state: "held" }); // without that cookie nobody has come in
  }
  for (const file of entry.files.filter(({ stored }) => !stored)) {
    const outcome = await sendFile(entry, file);
    if (outcome) {
      return settle(entry, outcome);
    }
  }
  return settle(entry, await outcomeOf(await ask(entry, entry.address, { method: "POST", body: formOf(entry) })));
}

/** What the server said, kept beside the entry; only what is stored there is let go here. */
async function settle(entry, outcome) {
  const stored = new Set(outcome.stored ?? []);
  const files = entry.files.map((file) => ({ ...file, stored: file.stored || stored.has(file.upload) }));
  const { state, told = "", reasons = [] } = outcome;
  const changed = await change(entry.order, { state, told, reasons, files, at: Date.now() }, [...stored]);
  document.dispatchEvent(new CustomEvent("outbox:answered", { detail: { entry: changed ?? entry, outcome } }));
}

function formOf(entry) {
  const form = new FormData();
  entry.fields.forEach(([name, value]) => form.append(name, value));
  form.append("key", entry.key);
  form.append("pressed_at", entry.pressedAt);
  for (const file of entry.files.filter(({ stored }) => !stored)) {
    form.append("upload", file.upload);
    form.append("sha256", file.sha256);
    form.append("field", file.field);
    form.append("file_name", file.name);
  }
  if (document.querySelector(`[data-task="${entry.task}"]`)) {
    form.append("shown", "1");
  }
  return form;
}

/** Go on where the server's bytes end. Gives an outcome only where sending has an end here. */
async function sendFile(entry, file) {
  const bytes = await bytesOf(file.upload);
  if (!bytes) {
    return { state: "refused", reasons: [document.querySelector("[data-queue-bar]").dataset.lost] };
  }
  const address = entry.filesAddress.replace("00000000-0000-0000-0000-000000000000", file.upload);
  let answer = await ask(entry, address, { method: "GET" });
  let size = FIRST_PART;
  while (answer.headers.has("Upload-Offset")) {
    const offset = Number(answer.headers.get("Upload-Offset"));
    tell({ order: entry.order, upload: file.upload, percent: Math.floor((100 * offset) / Math.max(1, bytes.size)) });
    if (offset >= bytes.size) {
      return undefined;
    }
    const began = performance.now();
    answer = await ask(entry, address, {
      method: "PATCH",
      headers: { "Upload-Offset": String(offset), "Content-Type": "application/octet-stream" },
      body: bytes.slice(offset, offset + size),
    });
    size = nextSize(size, performance.now() - began);
  }
  return outcomeOf(answer);
}

/** Large parts on a good line; on a bad one small ones, so that little is sent in vain. */
function nextSize(size, took) {
  if (took < 1000) {
    return Math.min(2 * size, LARGEST_PART);
  }
  return took > 8000 ? Math.max(size / 2, SMALLEST_PART) : size;
}

async function ask(entry, address, options) {
  const headers = { ...options.headers, Sender: entry.sender, "X-CSRFToken": token() };
  try {
    return await fetch(address, { ...options, headers, redirect: "error", signal: AbortSignal.timeout(PATIENCE) });
  } catch {
    throw new NoLine();
  }
}

async function outcomeOf(answer) {
  if (answer.status === 409) {
    return { state: "held" };
  }
  const told = answer.headers.get("Content-Type")?.startsWith("application/json") ? await answer.json() : {};
  if (["stored", "refused"].includes(told.state)) {
    return told;
  }
  throw new Later();
}

function token() {
  return document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1] ?? "";
}

/** Send now, whenever something came in, and whenever the line may be back. */
export async function watchSending() {
  await tidy(({ at }) => at < Date.now() - SHOWN_FOR);
  for (const entry of await allEntries()) {
    if (entry.state === "held" && isMine(entry)) {
      await change(entry.order, { state: "waiting" });
    }
  }
  onChange((news) => news.fresh && wake());
  window.addEventListener("online", wake);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && wake());
  wake();
}
