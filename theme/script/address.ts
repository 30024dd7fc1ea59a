// The address: the state of every explorer that was moved stands in the fragment, "#stop?speed=60km/h;slip-2?slip=5%25".

/** States by the explorers' ids. */
export function states(): Map<string, string> {
  const found = new Map<string, string>();
  for (const part of location.hash.slice(1).split(";")) {
    const mark = part.indexOf("?");
    if (mark > 0) found.set(part.slice(0, mark), part.slice(mark + 1));
  }
  return found;
}

/** An explorer's link, without the rest of the page's state. pairs is a query without the calculator's name. */
export const fragment = (id: string, pairs: string): string => "#" + id + "?" + pairs;

/** Puts an explorer's state into the address: a new entry of the history, or, while a slider moves, the same one. */
export function write(id: string, pairs: string | null, commit: boolean): void {
  const now = states();
  if (pairs === null) now.delete(id);
  else now.set(id, pairs);
  const parts = [...now].map(([name, state]) => name + "?" + state);
  const url = location.pathname + location.search + (parts.length ? "#" + parts.join(";") : "");
  if (location.pathname + location.search + location.hash === url) return;
  try {
    history[commit ? "pushState" : "replaceState"](null, "", url);
  } catch {
    // Browsers bound how often the address may change; the next commit catches up.
  }
}
