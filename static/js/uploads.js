// Chosen photos are shown before they are sent, and a bar says how far the sending is.
// Without script the same form sends the same files.

const SHOWN_BY_BROWSERS = ["image/jpeg", "image/png", "image/webp"];

/** Give `input` exactly these files. */
function give(input, files) {
  const chosen = new DataTransfer();
  for (const file of files) {
    chosen.items.add(file);
  }
  input.files = chosen.files;
}

/** The input that collects what one form sends: shots of the camera are added to it, one after the other. */
function collecting(form) {
  return form.querySelector('input[type="file"]:not([data-camera])');
}

function addShots(camera) {
  const input = collecting(camera.form);
  if (!input) {
    return camera;
  }
  give(input, input.multiple ? [...input.files, ...camera.files] : camera.files);
  camera.value = "";
  return input;
}

function showChosen(input) {
  const list = input.form?.querySelector("[data-chosen]");
  if (!list) {
    return;
  }
  const limit = Number(input.form.dataset.limit ?? Infinity);
  const tooLarge = Array.from(input.files).filter((file) => file.size > limit);
  if (tooLarge.length) {
    give(input, Array.from(input.files).filter((file) => file.size <= limit));
  }
  list.replaceChildren(
    ...Array.from(input.files, (file) => asItem(file, list, input)),
    ...tooLarge.map((file) => asWarning(file, list)),
  );
  list.hidden = list.children.length === 0;
}

function asItem(file, list, input) {
  const item = document.createElement("li");
  if (SHOWN_BY_BROWSERS.includes(file.type)) {
    const picture = document.createElement("img");
    picture.src = URL.createObjectURL(file);
    picture.onload = () => URL.revokeObjectURL(picture.src);
    picture.alt = "";
    item.append(picture);
  }
  item.append(file.name);
  if (list.dataset.remove) {
    item.append(leaveOut(file, list, input));
  }
  return item;
}

function leaveOut(file, list, input) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button button-plain";
  button.textContent = list.dataset.remove;
  button.setAttribute("aria-label", `${list.dataset.remove}: ${file.name}`);
  button.addEventListener("click", () => {
    give(input, Array.from(input.files).filter((other) => other !== file));
    showChosen(input);
  });
  return button;
}

function asWarning(file, list) {
  const item = document.createElement("li");
  item.className = "tone-accent";
  item.textContent = `${file.name}: ${list.dataset.tooLarge}`;
  return item;
}

function parts(form) {
  const bar = form.querySelector("[data-sending]");
  return bar && { bar, progress: bar.querySelector("progress"), words: bar.querySelector("[data-sending-words]") };
}

function showProgress(event) {
  const form = event.target.closest?.("form[data-upload]");
  const found = form && parts(form);
  if (!found || !event.detail.lengthComputable) {
    return;
  }
  const percent = Math.floor((100 * event.detail.loaded) / Math.max(1, event.detail.total));
  found.bar.hidden = false;
  found.progress.value = percent;
  found.words.textContent = percent < 100 ? `${percent} ${found.words.dataset.percent}` : found.words.dataset.stored;
}

function showBroken(event) {
  const form = event.target.closest?.("form[data-upload]");
  const found = form && parts(form);
  if (found) {
    found.bar.hidden = false;
    found.words.textContent = found.words.dataset.broken;
  }
}

export function watchUploads() {
  document.addEventListener("change", (event) => {
    if (event.target.matches?.('form[data-upload] input[type="file"]')) {
      showChosen(event.target.matches("[data-camera]") ? addShots(event.target) : event.target);
    }
  });
  document.addEventListener("htmx:xhr:progress", showProgress);
  document.addEventListener("htmx:sendError", showBroken);
  document.addEventListener("htmx:timeout", showBroken);
}
