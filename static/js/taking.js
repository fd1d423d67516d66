// What is pressed on a phone page goes into the phone's own store first, and from there to the server.
// Where the store cannot take it, the form is sent as it always was; without signal that is said beside it.
import { hasLine, sayNotKept, unsay } from "./not_kept.js";
import { add, putBytes, sweepBytes } from "./outbox.js";

const NOT_KEPT = new Set(["csrfmiddlewaretoken", "key", "page"]);
const taking = new WeakSet();
const passing = new WeakSet();

/** The files of a form, and its other fields as they were typed. */
function contentsOf(form) {
  const all = [...new FormData(form)].filter(([name]) => !NOT_KEPT.has(name));
  return {
    files: all.filter(([, value]) => value instanceof File && value.size > 0),
    fields: all.filter(([, value]) => typeof value === "string"),
  };
}

/** Whether there is something to keep; an empty form goes to the server, which says what is missing. */
function isWhole(form, { files, fields }) {
  if (form.querySelector('input[type="file"]')) {
    return files.length > 0;
  }
  if (form.querySelector("[data-grid]")) {
    return cellsIn(fields) > 0;
  }
  const typed = fields.find(([name]) => name === "typed");
  return typed === undefined || typed[1].trim() !== "";
}

/** How many cells of a series hold something; pasted lines count as one. */
function cellsIn(fields) {
  return fields.filter(([name, value]) => /^(cell:|pasted$)/.test(name) && value.trim() !== "").length;
}

async function hashOf(buffer) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", buffer));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Read it wholly now: what the camera put aside may be gone later. */
async function readFile(field, file) {
  const buffer = await file.arrayBuffer();
  const about = {
    upload: crypto.randomUUID(),
    field,
    name: file.name,
    size: buffer.byteLength,
    sha256: await hashOf(buffer),
    stored: false,
  };
  return { about, content: new Blob([buffer], { type: file.type }) };
}

/** One file after the other, so that the memory never holds two. */
async function keepFiles(files) {
  const kept = [];
  for (const [field, file] of files) {
    const { about, content } = await readFile(field, file);
    await putBytes(about.upload, content);
    kept.push(about);
  }
  return kept;
}

async function keep(form, { files, fields }) {
  const { queue, queueFiles, queueKind, queueTask, queueNeed, queueTitle, queueWords, queueCells } = form.dataset;
  const entry = {
    key: crypto.randomUUID(),
    kind: queueKind,
    sender: document.body.dataset.sender,
    senderName: document.body.dataset.senderName,
    address: queue,
    filesAddress: queueFiles,
    task: queueTask,
    requirement: queueNeed,
    title: queueTitle,
    words: queueCells?.replace("{n}", cellsIn(fields)) ?? queueWords,
    page: location.pathname,
    fields,
    files: await keepFiles(files),
    pressedAt: new Date().toISOString(),
    state: "waiting",
    reasons: [],
  };
  await add(entry);
}

/** Bytes without an entry, of a window that was ended or found no room, while no window puts anything in. */
function tidyBytes() {
  return navigator.locks.request("taking", { ifAvailable: true }, (lock) => lock && sweepBytes());
}

function clear(form) {
  form.reset();
  for (const input of form.querySelectorAll('input[type="file"]')) {
    input.dispatchEvent(new Event("change", { bubbles: true }));
  }
}

async function take(form, contents) {
  taking.add(form);
  unsay(form);
  try {
    await navigator.locks.request("taking", { mode: "shared" }, () => keep(form, contents));
    clear(form);
    navigator.storage?.persist?.().catch(() => undefined);
  } catch (fault) {
    await tidyBytes().catch(reportError);
    await pass(form, fault);
  } finally {
    taking.delete(form);
  }
}

/** As a plain form where the server can be reached; else it stays as it is, and that is said. */
async function pass(form, fault) {
  if (!(await hasLine())) {
    sayNotKept(form, fault);
    return;
  }
  passing.add(form);
  form.requestSubmit();
  passing.delete(form);
}

/** What was being typed could not be judged: say so, instead of what was said of something else before. */
function sayNotJudged(event) {
  const place = event.detail.target;
  if (place?.dataset.noSignal) {
    place.textContent = place.dataset.noSignal;
  }
}

export function watchForms() {
  tidyBytes().catch(reportError);
  document.addEventListener("htmx:sendError", sayNotJudged);
  document.addEventListener(
    "submit",
    (event) => {
      const form = event.target;
      if (!form.matches("form[data-queue]") || passing.has(form) || event.submitter?.matches("[data-not-queued]")) {
        return;
      }
      const contents = contentsOf(form);
      if (!isWhole(form, contents)) {
        return;
      }
      event.preventDefault();
      event.stopImmediatePropagation();
      if (!taking.has(form)) {
        take(form, contents);
      }
    },
    { capture: true },
  );
}
