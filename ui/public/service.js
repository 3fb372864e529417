// Keeps the pages on the device, so that they open without a network. One shelf holds one build, whole: files of two
// builds are never mixed. The two words in capitals are filled in when the pages are built.
const SHELF = "rimside-SHELF_NAME";
const FILES = SHELF_FILES;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELF).then((shelf) => shelf.addAll(FILES.map((file) => new Request(file, { cache: "reload" })))));
});

// A new build takes over when the person says so, never in the middle of an inspection.
self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
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
