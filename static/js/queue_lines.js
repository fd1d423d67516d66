// Each thing in the phone's store as a line: waiting, sending, stored, or not taken and why; what can be done with it.
import { allEntries, bytesOf, change, leaveOut, onChange } from "./outbox.js";
import { isMine } from "./senders.js";
import { wake } from "./sending.js";

const SHOWN_BY_BROWSERS = ["image/jpeg", "image/png", "image/webp"];
const progress = new Map();
let sendingNow;

function fromTemplate(name) {
  return document.querySelector(`template[data-${name}]`).content.firstElementChild.cloneNode(true);
}

/** Show one of the states that the template holds, with its mark and word. */
function showState(place, state) {
  for (const mark of place.querySelectorAll(":scope > [data-states] > [data-state]")) {
    mark.hidden = mark.dataset.state !== state;
  }
}

function stateOf(entry) {
  return entry.order === sendingNow && entry.state === "waiting" ? "sending" : entry.state;
}

function stateOfFile(entry, file) {
  if (file.stored) {
    return "stored";
  }
  return stateOf(entry) === "sending" && !progress.has(file.upload) ? "waiting" : stateOf(entry);
}

async function fileLine(entry, file) {
  const line = fromTemplate("queued-file");
  line.dataset.upload = file.upload;
  line.querySelector("[data-name]").textContent = file.name;
  showState(line, stateOfFile(entry, file));
  showPercent(line, file.upload, stateOf(entry) === "sending");
  const bytes = file.stored ? undefined : await bytesOf(file.upload);
  if (bytes && SHOWN_BY_BROWSERS.includes(bytes.type)) {
    const picture = line.querySelector("img");
    picture.src = URL.createObjectURL(bytes);
    picture.onload = () => URL.revokeObjectURL(picture.src);
    picture.hidden = false;
  }
  if (bytes && entry.state === "refused") {
    const save = line.querySelector("[data-save]");
    save.href = URL.createObjectURL(bytes);
    save.download = file.name;
    save.hidden = false;
  }
  return line;
}

function showPercent(line, upload, isSending) {
  const bar = line.querySelector("progress");
  bar.hidden = !isSending || !progress.has(upload);
  bar.value = progress.get(upload) ?? 0;
}

async function entryLine(entry) {
  const line = fromTemplate("queued-entry");
  line.dataset.entry = entry.key;
  line.querySelector("[data-title]").textContent = entry.title;
  const typed = entry.fields.find(([name]) => name === "typed")?.[1] ?? entry.words ?? "";
  line.querySelector("[data-typed]").textContent = typed;
  line.querySelector("[data-told]").textContent = entry.told ?? "";
  line.querySelector("[data-files]").replaceChildren(
    ...(await Promise.all(entry.files.map((file) => fileLine(entry, file)))),
  );
  showState(line.querySelector(".queued-line"), entry.files.length ? "" : stateOf(entry));
  const reasons = line.querySelector("[data-reasons]");
  reasons.hidden = entry.reasons.length === 0;
  reasons.querySelector("ul").replaceChildren(...entry.reasons.map(asItem));
  line.querySelector("[data-choices]").hidden = entry.state !== "refused";
  line.querySelector("[data-again]").addEventListener("click", () => tryAgain(entry));
  const putRight = line.querySelector("[data-put-back]");
  putRight.hidden = formFor(entry) === null;
  putRight.addEventListener("click", () => putBack(entry));
  line.querySelector("[data-leave-out]").addEventListener("click", () => askAndLeaveOut(line, entry));
  return line;
}

function asItem(words) {
  const item = document.createElement("li");
  item.textContent = words;
  return item;
}

/** The form of this page in which a refused entry can be put right: it has a field for everything that was typed. */
function formFor(entry) {
  const form = document.querySelector(`form[data-queue-need="${entry.requirement}"]`);
  const typed = entry.fields.filter(([name, value]) => value && !["terms", "company"].includes(name));
  return form && entry.files.length === 0 && typed.every(([name]) => form.elements.namedItem(name)) ? form : null;
}

/** What was typed stands in the form again, and is no longer waiting as it was. */
async function putBack(entry) {
  const form = formFor(entry);
  for (const [name, value] of entry.fields) {
    const field = form.elements.namedItem(name);
    if (field && !["terms", "company"].includes(name)) {
      field.value = value;
      field.dispatchEvent(new Event("input", { bubbles: true }));
    }
  }
  await leaveOut(entry.order);
  form.querySelector("input:not([type=hidden])").focus();
}

async function tryAgain(entry) {
  await change(entry.order, { state: "waiting", reasons: [] });
  wake();
}

/** Leaving out needs a second press: it is the one way in which something of the phone's is let go. */
async function askAndLeaveOut(line, entry) {
  const button = line.querySelector("[data-leave-out]");
  if (button.dataset.sure) {
    await leaveOut(entry.order);
    return;
  }
  button.dataset.sure = "1";
  button.textContent = button.dataset.ask;
}

/** What a place shows: everything of one requirement or task, or everything there is. */
function belongs(place, entry) {
  const { queued } = place.dataset;
  if (queued === "all") {
    return true;
  }
  const isRecent = entry.state !== "stored" || (entry.kind !== "evidence" && entry.at > performance.timeOrigin);
  return isRecent && (entry.requirement ?? `${entry.task}-${entry.kind}`) === queued;
}

async function draw() {
  const entries = await allEntries();
  const mine = entries.filter(isMine);
  for (const place of document.querySelectorAll("[data-queued]")) {
    const lines = await Promise.all(mine.filter((entry) => belongs(place, entry)).map(entryLine));
    place.replaceChildren(...lines);
    place.hidden = lines.length === 0;
  }
  drawBar(mine);
  drawOthers(entries.filter((entry) => !isMine(entry)));
  drawWhatFollows(mine.filter(isAhead));
}

/** One line on top of every sheet: how much is still to be sent, how much asks for an answer. */
function drawBar(mine) {
  const bar = document.querySelector("[data-queue-bar]");
  const number = (...states) => mine.filter(({ state }) => states.includes(state)).length;
  const words = [
    [number("waiting"), bar.dataset.toSend],
    [number("held"), bar.dataset.held],
    [number("refused"), bar.dataset.refused],
  ];
  const said = words.filter(([count]) => count).map(([count, text]) => text.replace("{n}", count));
  bar.hidden = said.length === 0;
  const place = bar.querySelector("[data-queue-said]");
  if (place.textContent !== said.join(" · ")) {
    place.textContent = said.join(" · ");
  }
}

/** Others' things are only counted: their sender is named, nothing else. */
function drawOthers(others) {
  const list = document.querySelector("[data-others]");
  if (!list) {
    return;
  }
  const left = others.filter(({ state }) => state !== "stored");
  const names = [...new Set(left.map(({ senderName }) => senderName))];
  list.replaceChildren(
    ...names.map((name) => {
      const count = left.filter(({ senderName }) => senderName === name).length;
      return asItem(list.dataset.words.replace("{n}", count).replaceAll("{name}", name));
    }),
  );
  list.hidden = names.length === 0;
}

/** Whether the sheet as it stands does not know of it: not sent yet, or the sheet is one that was kept before. */
function isAhead({ state }) {
  const isKept = document.documentElement.hasAttribute("data-kept");
  return state === "waiting" || state === "held" || (isKept && state === "stored");
}

/** What an entry is for, and what else its photos were ticked to show. */
function shownBy({ requirement, fields }) {
  return [requirement, ...fields.filter(([name]) => name === "also").map(([, value]) => value.split(":")[0])];
}

/** Parts of a sheet that follow from what lies in the store: forms once begun, passing on once all is there. */
function drawWhatFollows(ahead) {
  for (const part of document.querySelectorAll("[data-after-begin]")) {
    part.hidden = !ahead.some(({ task, kind }) => kind === "start" && task === part.dataset.afterBegin);
  }
  const shown = new Set(ahead.flatMap(shownBy));
  const offered = new Set(ahead.filter(({ kind }) => kind === "offer").map(({ task }) => task));
  for (const form of document.querySelectorAll("form[data-after-needs]")) {
    const needs = form.dataset.afterNeeds.split(" ").filter(Boolean);
    form.hidden = !needs.every((need) => shown.has(need)) || offered.has(form.dataset.queueTask);
  }
  for (const form of document.querySelectorAll('form[data-queue-kind="start"], form[data-queue-kind="offer"]')) {
    if (!form.hasAttribute("data-after-needs")) {
      const { queueKind, queueTask } = form.dataset;
      form.hidden = ahead.some(({ task, kind }) => kind === queueKind && task === queueTask);
    }
  }
}

/** The lines are drawn one after the other, and once more for everything that happened meanwhile. */
let drawing = false;
let again = false;

async function redraw() {
  if (drawing) {
    again = true;
    return;
  }
  drawing = true;
  do {
    again = false;
    await draw();
  } while (again);
  drawing = false;
  document.dispatchEvent(new CustomEvent("outbox:drawn"));
}

function hear(news) {
  if (news.percent !== undefined) {
    progress.set(news.upload, news.percent);
    const line = document.querySelector(`[data-upload="${news.upload}"]`);
    if (line) {
      showState(line, "sending");
      showPercent(line, news.upload, true);
    }
    return;
  }
  if (news.over) {
    progress.clear();
  }
  if (news.order !== undefined) {
    sendingNow = news.over ? undefined : news.order;
  }
  redraw();
}

export function watchLines() {
  onChange(hear);
  document.addEventListener("htmx:afterSettle", redraw);
  redraw();
}
