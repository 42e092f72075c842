// Keeps the page at hand without a network: all files of one build, in a cache of their own.
const CACHE = '__CACHE__';
const FILES = [/* files */];

self.addEventListener('install', (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(FILES)).then(() => self.skipWaiting()));
});

self.addEventListener('activate', (event) => {
  const old = caches.keys().then((names) => Promise.all(names.filter((name) => name.startsWith('ampwright-') && name !== CACHE).map((name) => caches.delete(name))));
  event.waitUntil(old.then(() => self.clients.claim()));
});

self.addEventListener('fetch', (event) => {
  if (event.request.method !== 'GET' || new URL(event.request.url).origin !== self.location.origin) return;
  // Servers add Vary: Origin, which would make every cached file a miss.
  event.respondWith(caches.match(event.request, { ignoreSearch: true, ignoreVary: true }).then((kept) => kept ?? fetch(event.request)));
});
