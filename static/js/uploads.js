// Chosen photos are shown before they are sent, and a bar says how far the sending is.
// Without script the same form sends the same files.

function showChosen(input) {
  const list = input.closest("form")?.querySelector("[data-chosen]");
  if (!list) {
    return;
  }
  for (const picture of list.querySelectorAll("img")) {
    URL.revokeObjectURL(picture.src);
  }
  list.replaceChildren(...Array.from(input.files, asItem));
  list.hidden = input.files.length === 0;
}

function asItem(file) {
  const item = document.createElement("li");
  if (["image/jpeg", "image/png", "image/webp"].includes(file.type)) {
    const picture = document.createElement("img");
    picture.src = URL.createObjectURL(file);
    picture.alt = "";
    item.append(picture);
  }
  item.append(file.name);
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
      showChosen(event.target);
    }
  });
  document.addEventListener("htmx:xhr:progress", showProgress);
  document.addEventListener("htmx:sendError", showBroken);
  document.addEventListener("htmx:timeout", showBroken);
}
