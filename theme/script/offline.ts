// Keeping the site for offline use: the reader sees what it weighs first, then how far it is, then that it is kept.
import { address, make, one, site } from "./dom";
import { print } from "./number";
import { say } from "./words";

/** What the builder says about the site's files: the publisher's manifest. */
interface Manifest {
  files: { path: string; size: number; sha256: string }[];
}

const cacheName = "gripleaf " + new URL(site.root || "./", document.baseURI).pathname;

/** Files that a reader away from the net can use; the base64 copies of the modules are for pages from the disk,
    compressed forms for the server, and social pictures for those who link here. */
const wanted = (path: string): boolean => !/^((module|rides|measured)\..*\.js$|social\/)|\.(br|gz)$/.test(path) && path !== "sitemap.xml";

async function manifest(): Promise<Map<string, { size: number; hash: string }>> {
  const reply = await fetch(address("manifest.json"), { cache: "no-cache" });
  const { files } = (await reply.json()) as Manifest;
  return new Map(files.filter((f) => wanted(f.path)).map((f) => [f.path, { size: f.size, hash: f.sha256 }]));
}

const megabytes = (bytes: number): string => print(bytes / 1e6, 1) + "\u00a0MB";

/** Brings the cache to the state of the manifest: what is there with the same hash stays, what is gone goes. */
async function keep(tell: (done: number, total: number) => void): Promise<void> {
  const files = await manifest();
  const cache = await caches.open(cacheName);
  const total = [...files.values()].reduce((sum, f) => sum + f.size, 0);
  let done = 0;
  for (const [path, file] of files) {
    const url = address(path);
    const kept = await cache.match(url);
    if (kept?.headers.get("x-gripleaf-hash") !== file.hash) {
      const reply = await fetch(url, { cache: "no-cache" });
      if (!reply.ok) throw new Error(path);
      const headers = new Headers(reply.headers);
      headers.set("x-gripleaf-hash", file.hash);
      await cache.put(url, new Response(await reply.blob(), { headers }));
    }
    tell((done += file.size), total);
  }
  const there = new Set([...files.keys()].map(address));
  for (const request of await cache.keys()) if (!there.has(request.url)) await cache.delete(request);
}

export function offline(): void {
  const place = one("[data-keep]");
  if (!place || !("serviceWorker" in navigator) || !("caches" in globalThis) || location.protocol === "file:") return place?.remove();
  void begin(place).catch(() => place.remove());
}

async function begin(place: HTMLElement): Promise<void> {
  const told = make("span", { role: "status" });
  const button = make("button", { class: "press", type: "button" });
  const bar = make("progress", { max: "1", value: "0", hidden: true });
  const isKept = await caches.has(cacheName);
  button.textContent = say(isKept ? "Let go of the kept copy" : "Keep for offline reading");
  place.replaceChildren(button, " ", told, bar);
  if (isKept) {
    told.textContent = say("This site is kept on your device.");
    button.onclick = () => drop(place);
    if (navigator.onLine) await keep(() => {}).catch(() => {}); // quietly brings the copy up to date
    return;
  }
  button.onclick = async () => {
    const files = await manifest();
    const size = [...files.values()].reduce((sum, f) => sum + f.size, 0);
    told.textContent = say("{} pages and files, {} in all.", String(files.size), megabytes(size));
    button.textContent = say("Keep {}", megabytes(size));
    button.onclick = () => take(place, button, told, bar);
  };
}

async function take(place: HTMLElement, button: HTMLButtonElement, told: HTMLElement, bar: HTMLProgressElement): Promise<void> {
  button.disabled = true;
  bar.hidden = false;
  try {
    await navigator.serviceWorker.register(address("service.js"));
    await keep((done, total) => {
      bar.value = done / total;
      told.textContent = say("{} of {}", megabytes(done), megabytes(total));
    });
    await begin(place);
  } catch {
    await caches.delete(cacheName);
    told.textContent = say("It could not be kept: the line broke, or there is no room. Nothing was left behind.");
    button.disabled = false;
    bar.hidden = true;
  }
}

async function drop(place: HTMLElement): Promise<void> {
  await caches.delete(cacheName);
  const service = await navigator.serviceWorker.getRegistration(address("service.js"));
  await service?.unregister();
  await begin(place);
}
