// The worker that keeps sheets on the phone, and what it is told to keep.

function say(worker) {
  const list = document.querySelector("[data-keep]");
  if (list && worker && !document.documentElement.hasAttribute("data-kept")) {
    const sheets = Array.from(list.querySelectorAll("a[data-kept-sheet]"), (link) => link.pathname);
    const keep = [location.pathname, list.dataset.phone, ...new Set(sheets)];
    worker.postMessage({ keep, under: location.pathname });
  }
}

/** Register the worker where the browser has such a thing; a new one takes over by itself. */
export async function watchWorker(address) {
  if (!navigator.serviceWorker) {
    return;
  }
  navigator.serviceWorker.addEventListener("controllerchange", () => say(navigator.serviceWorker.controller));
  await navigator.serviceWorker.register(address, { updateViaCache: "none" });
  say((await navigator.serviceWorker.ready).active);
}

/** Forget every kept sheet. */
export async function forgetSheets() {
  const names = (await caches.keys()).filter((name) => name.startsWith("sheets-") || name === "holder");
  await Promise.all(names.map((name) => caches.delete(name)));
}

/** Write into `list` which sheets can be read without signal. */
export async function listSheets(list) {
  for (const name of (await caches.keys()).filter((other) => other.startsWith("sheets-"))) {
    const sheets = await caches.open(name);
    for (const { url } of await sheets.keys()) {
      if (/^\/(my|sites)\//.test(new URL(url).pathname)) {
        list.append(linkTo(url, await (await sheets.match(url)).text()));
      }
    }
  }
  list.hidden = list.children.length === 0;
  list.nextElementSibling.hidden = !list.hidden;
}

function linkTo(url, text) {
  const sheet = new DOMParser().parseFromString(text, "text/html");
  const item = document.createElement("li");
  const link = document.createElement("a");
  link.href = url;
  link.textContent = sheet.querySelector("h1").textContent.trim();
  const site = sheet.querySelector(".sheet-site")?.firstChild?.textContent ?? "";
  item.append(link, " ", site);
  return item;
}
