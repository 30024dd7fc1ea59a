// The service worker of a kept site: pages come from the net while there is one, so that a correction is seen at once,
// and from the kept copy when there is none; what has a hash in its name never changes and comes from the copy.
const worker = self as unknown as ServiceWorkerGlobalScope;
const kept = "gripleaf " + new URL("./", worker.location.href).pathname;
const hashed = /\.[0-9a-f]{10}\.\w+$/;

worker.addEventListener("install", () => void worker.skipWaiting());
worker.addEventListener("activate", (e) => e.waitUntil(worker.clients.claim()));
worker.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (e.request.method === "GET" && url.origin === worker.location.origin) e.respondWith(answer(e.request, url));
});

async function answer(request: Request, url: URL): Promise<Response> {
  const cache = await caches.open(kept);
  const path = url.pathname.endsWith("/") ? url.origin + url.pathname + "index.html" : url.origin + url.pathname;
  if (hashed.test(url.pathname)) return (await cache.match(path)) ?? fetch(request);
  try {
    return await fetch(request);
  } catch (e) {
    const copy = await cache.match(path);
    if (copy) return copy;
    throw e;
  }
}
