/// <reference lib="webworker" />
/**
 * Keeps the page itself on the phone, so that it opens with no network. What the server says is kept
 * by the page (IndexedDB); pictures of kept checks are kept here, the newest few hundred.
 */
declare const self: ServiceWorkerGlobalScope;
declare const __FILES__: string[];
declare const __VERSION__: string;

const shell = `page-${__VERSION__}`;
const pictures = "pictures";
const mostPictures = 300;

self.addEventListener("install", (event) => {
  // Names of assets change with what is in them; the page itself and what keeps its name are asked anew,
  // or a copy in the browser's own cache could belong to the version before.
  const files = ["/", ...__FILES__.filter((file) => file !== "/index.html")];
  const asked = files.map((file) => new Request(file, { cache: file.startsWith("/assets/") ? "default" : "reload" }));
  event.waitUntil(caches.open(shell).then((cache) => cache.addAll(asked)));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) if (name !== shell && name !== pictures) await caches.delete(name);
      await self.clients.claim();
    })(),
  );
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") void self.skipWaiting();
});

async function fromPictures(request: Request): Promise<Response> {
  const cache = await caches.open(pictures);
  const kept = await cache.match(request);
  if (kept !== undefined) return kept;
  const fresh = await fetch(request);
  if (fresh.ok) {
    await cache.put(request, fresh.clone());
    const all = await cache.keys();
    for (const old of all.slice(0, Math.max(0, all.length - mostPictures))) await cache.delete(old);
  }
  return fresh;
}

async function fromShell(request: Request, name: string): Promise<Response> {
  const cache = await caches.open(shell);
  return (await cache.match(name)) ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  if (/^\/api\/photos\/[^/]+\/(picture|lines)/.test(address.pathname)) event.respondWith(fromPictures(request));
  else if (address.pathname.startsWith("/api/")) return;
  else if (request.mode === "navigate") event.respondWith(fromShell(request, "/"));
  else event.respondWith(fromShell(request, address.pathname));
});

export {};
