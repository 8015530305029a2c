// Keeps the shell, and nothing but the shell, so that the page opens without a network.
// CACHE (named by the hash of its contents), PAGE and SHELL stand above, put there by the server.
// A new version waits until every page of the old one is closed: no two versions ever mix.

self.addEventListener("install", event => {
  event.waitUntil(caches.open(CACHE).then(cache =>
    cache.addAll(SHELL.map(address => new Request(address, { cache: "reload" })))));
});

self.addEventListener("activate", event => {
  event.waitUntil(caches.keys().then(names => Promise.all(
    names.filter(name => name.startsWith("field-") && name !== CACHE).map(name => caches.delete(name)),
  )).then(() => self.clients.claim()));
});

self.addEventListener("fetch", event => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== self.location.origin) return;
  const kept = address.pathname === PAGE ? PAGE : address.pathname;
  if (!SHELL.includes(kept)) return;
  event.respondWith(caches.open(CACHE)
    .then(cache => cache.match(kept))
    .then(found => found || fetch(event.request)));
});
