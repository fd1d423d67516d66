// The service worker: sheets stay readable without signal. /worker.js puts ABOUT before it.
// Pages come from the line whenever there is one; what is kept is for the one holder who came in last, and for nobody else.

const SHELL = `shell-${ABOUT.version}`;
const SHEETS = "sheets-";
const HOLDER = "holder";
const NOBODY = "nobody";
const PATIENCE = 8000;
const GONE = new Set([403, 404, 410]);
const FRESH = 5 * 60 * 1000;

self.addEventListener("install", (event) => {
  event.waitUntil(fillShell());
  self.skipWaiting();
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => {
  if (event.data.keep) {
    event.waitUntil(keepAll(event.data.keep, event.data.under));
  }
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) {
    return;
  }
  if (request.method === "POST" && request.mode === "navigate" && url.pathname === ABOUT.signOut) {
    event.respondWith(signOut(request));
  } else if (request.method !== "GET") {
    return;
  } else if (request.mode === "navigate") {
    event.respondWith(sheet(event));
  } else if (url.pathname.startsWith(ABOUT.statics)) {
    event.respondWith(fromShell(request));
  } else if (request.destination === "image") {
    event.respondWith(picture(request));
  }
});

async function fillShell() {
  const shell = await caches.open(SHELL);
  await shell.addAll([...ABOUT.files, new Request(ABOUT.phone, { cache: "reload" })]);
}

async function fromShell(request) {
  return (await caches.match(request)) ?? fetch(request);
}

/* whose sheets */

async function holderNow() {
  const told = await (await caches.open(HOLDER)).match("/");
  return told ? told.text() : NOBODY;
}

/** From now on only what `holder` may read is kept. */
async function belongTo(holder) {
  if (holder === (await holderNow())) {
    return;
  }
  const others = (await caches.keys()).filter((name) => name.startsWith(SHEETS) && name !== SHEETS + holder);
  await Promise.all(others.map((name) => caches.delete(name)));
  await (await caches.open(HOLDER)).put("/", new Response(holder));
}

async function signOut(request) {
  const answer = fetch(request);
  await belongTo(NOBODY);
  try {
    return await answer;
  } catch {
    return phoneSheet();
  }
}

/* one sheet */

async function sheet(event) {
  const { request } = event;
  const answer = fetch(request);
  try {
    const first = await Promise.race([answer, keptWhenLate(request, answer)]);
    if (first.status >= 502 && first.status <= 504) {
      return (await keptSheet(request)) ?? first;
    }
    event.waitUntil(note(request.url, first.clone()));
    return first;
  } catch {
    return (await keptSheet(request)) ?? (await wayIn(request)) ?? phoneSheet();
  }
}

/** The kept sheet when the line does not answer for a while; never, when nothing is kept. */
async function keptWhenLate(request, answer) {
  await new Promise((late) => setTimeout(late, PATIENCE));
  return (await keptSheet(request)) ?? answer;
}

/** Remember whose sheet it is, and keep it where the server allows that. */
async function note(url, answer) {
  const holder = answer.headers.get("Sheet-Holder");
  if (!holder) {
    return;
  }
  await belongTo(holder);
  if (GONE.has(answer.status)) {
    await (await caches.open(SHEETS + holder)).delete(url);
  }
  if (answer.status === 200 && answer.headers.has("Sheet-Keep") && holder !== NOBODY) {
    await (await caches.open(SHEETS + holder)).put(url, answer);
  }
}

async function keptSheet(request) {
  const found = await (await caches.open(SHEETS + (await holderNow()))).match(request.url);
  return found && marked(found);
}

/** The same sheet, marked as a kept one: the style says so, and since when it is. */
async function marked(kept) {
  const text = (await kept.text()).replace("<html ", "<html data-kept ");
  return new Response(text, { headers: kept.headers });
}

/** From the first address on to the one list of tasks that is kept. */
async function wayIn(request) {
  if (new URL(request.url).pathname !== ABOUT.home) {
    return undefined;
  }
  const kept = await (await caches.open(SHEETS + (await holderNow()))).keys();
  const lists = kept.map(({ url }) => url).filter((url) => /^\/my\/[^/]+\/$/.test(new URL(url).pathname));
  return lists.length === 1 ? Response.redirect(lists[0]) : undefined;
}

async function phoneSheet() {
  const own = await caches.open(SHEETS + (await holderNow()));
  return (await own.match(ABOUT.phone)) ?? (await caches.match(ABOUT.phone));
}

async function picture(request) {
  try {
    return await fetch(request);
  } catch (broken) {
    const kept = await (await caches.open(SHEETS + (await holderNow()))).match(request.url);
    if (kept) {
      return kept;
    }
    throw broken;
  }
}

/* the sheets of the day, one after the other */

async function keepAll(paths, under) {
  const urls = paths.map((path) => new URL(path, location.origin).href);
  for (const url of urls) {
    if (!(await isFresh(url)) && !(await keepOne(url))) {
      return;
    }
  }
  const sheets = await caches.open(SHEETS + (await holderNow()));
  for (const { url } of await sheets.keys()) {
    const { pathname } = new URL(url);
    if (pathname.startsWith(under) && !urls.includes(url)) {
      await sheets.delete(url);
    }
  }
  await leaveOldShells(sheets);
}

async function isFresh(url) {
  const kept = await (await caches.open(SHEETS + (await holderNow()))).match(url);
  return (
    kept !== undefined &&
    kept.headers.get("Sheet-Keep") === ABOUT.version &&
    Date.now() - Date.parse(kept.headers.get("Date")) < FRESH
  );
}

/** Fetch and keep one sheet with its small pictures; false when there is no line. */
async function keepOne(url) {
  try {
    const answer = await fetch(url, { redirect: "manual", headers: { Accept: "text/html" } });
    const text = await answer.clone().text();
    await note(url, answer);
    await keepPictures(text);
    return true;
  } catch {
    return false;
  }
}

async function keepPictures(text) {
  const sheets = await caches.open(SHEETS + (await holderNow()));
  for (const [, path] of text.matchAll(/<img src="(\/media\/[^"]+)"/g)) {
    if (!(await sheets.match(path))) {
      const answer = await fetch(path);
      if (answer.status === 200) {
        await sheets.put(path, answer);
      }
    }
  }
}

/** Files of an older version go when no kept sheet needs them any more. */
async function leaveOldShells(sheets) {
  for (const request of await sheets.keys()) {
    const version = (await sheets.match(request)).headers.get("Sheet-Keep");
    if (version && version !== ABOUT.version && !(await keepOne(request.url))) {
      return;
    }
  }
  const old = (await caches.keys()).filter((name) => name.startsWith("shell-") && name !== SHELL);
  await Promise.all(old.map((name) => caches.delete(name)));
}
