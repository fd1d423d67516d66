// The grid of a series of readings: cells copied from a spreadsheet are laid into it, Enter goes down, and what is being
// typed outlives a reload. Without script the fields and the box for pasted lines do the same on the server.

const DRAFTS = "series:";

function rowsOf(grid) {
  return Array.from(grid.querySelectorAll("tbody tr"), (row) => Array.from(row.querySelectorAll("td input")));
}

function placeOf(input) {
  const rows = rowsOf(input.closest("[data-grid]"));
  const row = rows.findIndex((cells) => cells.includes(input));
  return { rows, row, column: row < 0 ? -1 : rows[row].indexOf(input) };
}

function put(input, value) {
  input.value = value;
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

/** A spreadsheet puts quotation marks round a cell that holds one, and doubles it. */
function unquoted(cell) {
  return /^".*"$/.test(cell) ? cell.slice(1, -1).replaceAll('""', '"') : cell;
}

/** Readings that fit from the focused cell on are laid there; with names, or too many, the server finds their places. */
function pasted(event) {
  const input = event.target.closest?.("[data-grid] td input");
  const text = event.clipboardData?.getData("text/plain").replace(/[\r\n]+$/, "") ?? "";
  if (!input || !/[\t\n]/.test(text)) {
    return;
  }
  event.preventDefault();
  const lines = text.split(/\r?\n/).map((line) => line.split("\t").map(unquoted));
  const { rows, row, column } = placeOf(input);
  const fits = lines.every((line, at) => rows[row + at] && column + line.length <= rows[row + at].length);
  if (fits && lines.flat().every((cell) => cell === "" || /^[-−+.,\d½¼¾⅛⅜⅝⅞]/.test(cell))) {
    lines.forEach((line, down) => line.forEach((cell, right) => put(rows[row + down][column + right], cell)));
    return;
  }
  const box = input.closest("[data-grid]").querySelector("textarea");
  box.closest("details").open = true;
  put(box, text);
  box.focus();
}

/** Enter and the arrows go up and down; Tab goes on as everywhere. */
function moved(event) {
  const input = event.target.closest?.("[data-grid] td input");
  const step = { Enter: 1, ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!input || !step || event.isComposing) {
    return;
  }
  const { rows, row, column } = placeOf(input);
  const next = rows[row + step]?.[column] ?? (event.key === "Enter" ? rows[0][column + 1] : undefined);
  if (next || event.key === "Enter") {
    event.preventDefault();
    next?.focus();
    next?.select();
  }
}

/** A series over days goes on: where something stands in its last row, an empty one follows. */
function addDay(event) {
  const row = event.target.closest?.("[data-grid] tbody tr");
  if (!row?.querySelector("th input") || row.nextElementSibling) {
    return;
  }
  const number = row.parentElement.rows.length - 1;
  const following = row.cloneNode(true);
  for (const part of following.querySelectorAll("[id], [name], [for], [aria-describedby]")) {
    for (const name of ["id", "name", "for", "aria-describedby"].filter((each) => part.hasAttribute(each))) {
      const told = part.getAttribute(name);
      part.setAttribute(name, told.replace(new RegExp(`(when|cell)([:-])${number}(?=$|[:-])`), `$1$2${number + 1}`));
    }
  }
  following.querySelectorAll("input").forEach((input) => input.setAttribute("value", ""));
  following.querySelectorAll("input").forEach((input) => (input.value = ""));
  following.querySelectorAll(".grid-word").forEach((word) => (word.textContent = ""));
  row.after(following);
}

function fieldsOf(form) {
  return Array.from(form.querySelectorAll("[data-grid] :is(input, textarea)"));
}

function draftOf(form) {
  return `${DRAFTS}${document.body.dataset.holder ?? ""}:${form.getAttribute("action")}`;
}

function keepDraft(event) {
  const form = event.target.closest?.("form:has([data-grid])");
  if (form) {
    const typed = fieldsOf(form).filter((field) => field.value !== field.defaultValue);
    const told = Object.fromEntries(typed.map((field) => [field.name, field.value]));
    localStorage.setItem(draftOf(form), JSON.stringify(told));
  }
}

/** What was typed before the page went away, where nothing else stands now. */
function takeUpDrafts() {
  for (const form of document.querySelectorAll("form:has([data-grid])")) {
    const told = JSON.parse(localStorage.getItem(draftOf(form)) ?? "{}");
    for (const field of fieldsOf(form)) {
      if (told[field.name] && field.value === "") {
        put(field, told[field.name]);
      }
    }
  }
}

export function dropDraft(form) {
  localStorage.removeItem(draftOf(form));
}

/** Nobody else on this phone reads what was being typed. */
export function dropDrafts() {
  for (const key of Object.keys(localStorage).filter((name) => name.startsWith(DRAFTS))) {
    localStorage.removeItem(key);
  }
}

export function watchGrids() {
  document.addEventListener("paste", pasted);
  document.addEventListener("keydown", moved);
  document.addEventListener("input", keepDraft);
  document.addEventListener("input", addDay);
  document.addEventListener("reset", (event) => dropDraft(event.target));
  document.addEventListener("htmx:afterRequest", (event) => {
    if (event.detail.successful && event.target.matches?.("form:has([data-grid])")) {
      dropDraft(event.target);
    }
  });
  takeUpDrafts();
}
