// Keeps the page for when there is no network. VERSION and FILES are put before this by the build.

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(VERSION).then((kept) => kept.addAll(FILES)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  const old = caches.keys().then((names) =>
    Promise.all(names.filter((name) => name.startsWith("labkit-") && name !== VERSION)
      .map((name) => caches.delete(name))));
  event.waitUntil(old.then(() => self.clients.claim()));
});
self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  const found = caches.open(VERSION).then((kept) => kept.match(event.request, { ignoreSearch: true }));
  event.respondWith(found.then((answer) => answer ?? fetch(event.request)));
});
