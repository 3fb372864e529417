// Keeps the pages on the device, so that they open without a network. One shelf holds one build, whole: files of two
// builds are never mixed. The words in capitals are filled in when the pages are built.
const SHELF = "rimside-SHELF_NAME";
const FILES = SHELF_FILES;
/** What the page that checks a report needs: who was only handed a report is spared the rest. */
const CHECK_FILES = SHELF_CHECK_FILES;

async function fill(files) {
  const shelf = await caches.open(SHELF);
  await shelf.addAll(files.map((file) => new Request(file, { cache: "reload" })));
}

async function wantsAll() {
  const pages = await self.clients.matchAll({ includeUncontrolled: true, type: "window" });
  const isField = ({ url }) => !/\/(verify|firm|letter)\.html$/.test(new URL(url).pathname);
  return pages.some(isField) || (await caches.match("index.html")) !== undefined;
}

self.addEventListener("install", (event) => {
  event.waitUntil(wantsAll().then((all) => fill(all ? FILES : CHECK_FILES)));
});

// A new build takes over when the person says so, never in the middle of an inspection.
self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
  // The field app was opened where so far only reports were checked.
  if (event.data === "keep all") event.waitUntil(caches.match("index.html").then((page) => (page ? undefined : fill(FILES))));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("rimside-") && name !== SHELF).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET" || new URL(event.request.url).origin !== self.location.origin) return;
  event.respondWith(
    caches.open(SHELF).then(async (shelf) => {
      const request = event.request.mode === "navigate" && new URL(event.request.url).pathname.endsWith("/") ? "index.html" : event.request;
      // A host may say that its answer varies with who asks; the shelf holds what every page asks for.
      return (await shelf.match(request, { ignoreSearch: true, ignoreVary: true })) ?? fetch(event.request);
    }),
  );
});
