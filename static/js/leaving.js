// Signing out of a phone that others use too: warn of what was not sent, and leave no sheet behind.
import { forgetSheets } from "./kept.js";
import { allEntries } from "./outbox.js";
import { isMine, leave } from "./senders.js";

let sure = false;

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
  leave();
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
