/* The worker of the field page. The shop writes VERSION, FILES and READER before this text: a checksum over all files, their
   addresses, and those of the reader of codes. The page comes from the network where there is one, else from the store; its
   files only from the store of their version. The reader is large and has a checksum of its own: it is fetched last, and once. */
/* global VERSION, FILES, READER */
const STORE = `field-${VERSION}`;
const READER_STORE = "reader";
const PAGE = "/field";
const IN_TIME_MS = 4000;

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const store = await caches.open(STORE);
    await store.addAll([PAGE, ...FILES].map((path) => new Request(path, { cache: "reload" })));
    const pages = await self.clients.matchAll({ includeUncontrolled: true });
    if (!self.registration.active || !pages.length) await self.skipWaiting();
  })());
});

// Without it the page works, and numbers are typed. What is missing is tried again whenever the page is opened.
async function holdReader() {
  const store = await caches.open(READER_STORE);
  const held = (await store.keys()).map((request) => new URL(request.url).pathname);
  await Promise.all(READER.filter((path) => !held.includes(path)).map((path) => store.add(new Request(path, { cache: "reload" }))));
  await Promise.all(held.filter((path) => !READER.includes(path)).map((path) => store.delete(path)));
}

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const names = await caches.keys();
    await Promise.all(names.filter((name) => name.startsWith("field-") && name !== STORE).map((name) => caches.delete(name)));
    await self.clients.claim();
  })());
});

self.addEventListener("message", (event) => {
  if (event.data === "use-now") self.skipWaiting();
  if (event.data === "hold-reader") event.waitUntil(holdReader().catch(() => {}));
});

async function page(request) {
  const store = await caches.open(STORE);
  try {
    const given = await fetch(request, { signal: AbortSignal.timeout(IN_TIME_MS) });
    if (given.ok || given.type === "opaqueredirect") return given;
    throw new Error(`${given.status}`);
  } catch {
    return (await store.match(PAGE)) ?? Response.error();
  }
}

async function file(request, name) {
  const held = await (await caches.open(name)).match(request);
  return held ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (event.request.mode === "navigate" && url.pathname === PAGE) event.respondWith(page(event.request));
  else if (FILES.includes(url.pathname + url.search)) event.respondWith(file(event.request, STORE));
  else if (READER.includes(url.pathname)) event.respondWith(file(event.request, READER_STORE));
});
