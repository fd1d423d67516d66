// Signing out of a phone that others use too: warn of what was not sent, and leave no sheet behind.
import { dropDrafts } from "./grid.js";
import { forgetSheets } from "./kept.js";
import { allEntries, tidy } from "./outbox.js";
import { isMine, leave } from "./senders.js";

const LEAVING = "leaving";
let sure = false;

/**
 * Whoever signed out without signal is still signed in at the server: that is put right on the first page that comes
 * from it, before anything else. Gives whether it is being done.
 */
export function finishLeaving() {
  const form = document.querySelector("form[data-sign-out-form]");
  const isPage = document.body.dataset.holder !== undefined;
  if (!isPage && form && location.pathname === new URL(form.action).pathname) {
    localStorage.setItem(LEAVING, "1");
  }
  if (!isPage || !form || !localStorage.getItem(LEAVING)) {
    return false;
  }
  localStorage.removeItem(LEAVING);
  leave();
  form.submit();
  return true;
}

async function signOut(form) {
  const unsent = (await allEntries()).filter((entry) => isMine(entry) && entry.state !== "stored");
  if (unsent.length && !sure) {
    const dialog = document.querySelector("dialog[data-leaving]");
    const words = dialog.querySelector("[data-leaving-words]");
    words.textContent = words.dataset.words.replace("{n}", unsent.length);
    dialog.showModal();
    return;
  }
  sure = true;
  await tidy(isMine);
  leave();
  dropDrafts();
  await forgetSheets();
  form.requestSubmit();
}

export function watchLeaving() {
  const form = document.querySelector("form[data-sign-out-form]");
  document.addEventListener(
    "submit",
    (event) => {
      if (event.target === form && !sure) {
        event.preventDefault();
        event.stopImmediatePropagation();
        signOut(form);
      }
    },
    { capture: true },
  );
  document.querySelector("[data-leave-anyway]")?.addEventListener("click", () => {
    sure = true;
    document.querySelector("dialog[data-leaving]").close();
    signOut(form);
  });
}
