// Keeps the walk-down app on the phone: its page and files, as one version, and nothing else.
// What people record is kept by the page itself, and data is always asked of the site.

const { version, page, files } = {{ told|safe }};
const CACHE = `loopwright-walk-${version}`;

self.addEventListener("install", (event) => {
  event.waitUntil(keepAll());
});

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOthers());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  if (request.mode === "navigate" && address.pathname.startsWith(page)) {
    event.respondWith(kept(page, request));
  } else if (files.includes(address.pathname)) {
    event.respondWith(kept(address.pathname, request));
  }
});

// All or nothing: half a version would be none. The browser has most of it already; it asks
// whether that is the newest and fetches what is not.
async function keepAll() {
  const cache = await caches.open(CACHE);
  await cache.addAll([page, ...files].map((one) => new Request(one, { cache: "no-cache" })));
  await self.skipWaiting();
}

async function dropOthers() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith("loopwright-walk-") && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function kept(name, request) {
  return (await (await caches.open(CACHE)).match(name)) ?? fetch(request);
}
