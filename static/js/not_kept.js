// The phone's own store could not take what was pressed, and there is no signal: it is said beside the form.

const PATIENCE = 8000;

/** Whether the server can be reached now; a browser that says "online" may stand behind a dead access point. */
export async function hasLine() {
  if (!navigator.onLine) {
    return false;
  }
  const { href } = document.querySelector("[data-queue-said]");
  try {
    const options = { method: "HEAD", cache: "no-store", redirect: "manual" };
    const { status } = await fetch(href, { ...options, signal: AbortSignal.timeout(PATIENCE) });
    return status < 502;
  } catch {
    return false;
  }
}

/** Say beside `form` that nothing of it was kept, and why; it stays filled in. */
export function sayNotKept(form, fault) {
  unsay(form);
  const said = document.querySelector("template[data-not-kept]").content.cloneNode(true).firstElementChild;
  const why = fault.name === "QuotaExceededError" ? "[data-no-room]" : "[data-unkept]";
  said.querySelector(why).hidden = false;
  form.prepend(said);
  said.focus();
}

export function unsay(form) {
  form.querySelector("[data-not-kept-said]")?.remove();
}
