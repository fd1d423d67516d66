// A report that is checked: its SHA-256 is worked out here before the file is sent, so that both can be compared.
// Without script, or without a secure connection (no crypto.subtle there), the server alone works it out.

async function digestOf(file) {
  const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer()));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

async function workOut(form) {
  const [file] = form.querySelector('input[type="file"]').files;
  const note = form.querySelector("[data-own-hash]");
  const field = form.elements.browser_sha256;
  field.value = "";
  if (!file || !globalThis.crypto?.subtle) {
    return;
  }
  note.hidden = false;
  note.textContent = note.dataset.working;
  try {
    field.value = await digestOf(file);
  } catch {
    note.hidden = true; // larger than this device can hold at once: the server works it out alone
    return;
  }
  const code = document.createElement("code");
  code.textContent = field.value;
  note.replaceChildren(note.dataset.done, " ", code);
}

function dropOn(zone, form) {
  for (const kind of ["dragenter", "dragover"]) {
    zone.addEventListener(kind, (event) => {
      event.preventDefault();
      zone.classList.add("drop-over");
    });
  }
  zone.addEventListener("dragleave", () => zone.classList.remove("drop-over"));
  zone.addEventListener("drop", (event) => {
    event.preventDefault();
    zone.classList.remove("drop-over");
    const input = form.querySelector('input[type="file"]');
    const chosen = new DataTransfer();
    for (const file of Array.from(event.dataTransfer.files).slice(0, 1)) {
      chosen.items.add(file);
    }
    input.files = chosen.files;
    input.dispatchEvent(new Event("change", { bubbles: true }));
  });
}

/** Check what is chosen or dropped on each form that is marked for it. */
export function watchChecks() {
  for (const form of document.querySelectorAll("[data-check-file]")) {
    form.addEventListener("change", async () => {
      await workOut(form);
      if (form.querySelector('input[type="file"]').files.length) {
        form.requestSubmit();
      }
    });
    dropOn(form.querySelector("[data-drop]"), form);
  }
}
