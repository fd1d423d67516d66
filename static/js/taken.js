// When a reading was taken: now, on the site's own clock, for as long as nobody has typed another time. A sheet may have
// been opened, or kept on the phone, hours before. Without script the field holds the moment at which the page was made.

const FIELD = "input[data-now]";

function nowIn(zone) {
  const numbers = { year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit" };
  const form = new Intl.DateTimeFormat("en-US", { ...numbers, timeZone: zone, hourCycle: "h23" });
  const part = Object.fromEntries(form.formatToParts(new Date()).map(({ type, value }) => [type, value]));
  return `${part.year}-${part.month}-${part.day}T${part.hour}:${part.minute}`;
}

function fill(field) {
  if (!field.dataset.typed) {
    field.value = nowIn(field.dataset.now);
  }
}

/** Fill in now, in every form below `root` in which nothing has been typed yet. */
export function fillTaken(root) {
  root.querySelectorAll(FIELD).forEach((field) => field.dataset.read || fill(field));
}

function fieldOf(event) {
  return event.target.closest?.("form")?.querySelector(FIELD);
}

export function watchTaken() {
  fillTaken(document);
  document.addEventListener("input", (event) => {
    const field = fieldOf(event);
    if (field && event.target === field) {
      field.dataset.typed = "1";
    } else if (field) {
      fill(field);
      field.dataset.read = "1";
    }
  });
  // Pressed again, because the answer never came, it is still the same reading of the same moment.
  document.addEventListener(
    "submit",
    (event) => {
      const field = fieldOf(event);
      if (field && !field.dataset.read) {
        fill(field);
        field.dataset.read = "1";
      }
    },
    { capture: true },
  );
  document.addEventListener("reset", (event) => {
    const field = fieldOf(event);
    if (field) {
      delete field.dataset.typed;
      delete field.dataset.read;
      queueMicrotask(() => fill(field));
    }
  });
}
