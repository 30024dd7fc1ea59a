// The address: the states of every explorer that was moved stand in the fragment, "#stop?speed=60km/h;slip-2?slip=5%25".
// An explorer that stands there more than once has states beside each other: the first is the present one.

/** States by the explorers' ids: the present one, then those that are kept beside it. */
export function states(): Map<string, string[]> {
  const found = new Map<string, string[]>();
  for (const part of location.hash.slice(1).split(";")) {
    const mark = part.indexOf("?");
    if (mark > 0) found.set(part.slice(0, mark), [...(found.get(part.slice(0, mark)) ?? []), part.slice(mark + 1)]);
  }
  return found;
}

/** An explorer's link, without the rest of the page's states. Each state is a query without the calculator's name. */
export const fragment = (id: string, list: string[]): string => "#" + list.map((pairs) => id + "?" + pairs).join(";");

/** Puts an explorer's states into the address: a new entry of the history, or, while a slider moves, the same one. */
export function write(id: string, list: string[] | null, commit: boolean): void {
  const now = states();
  if (list === null) now.delete(id);
  else now.set(id, list);
  const parts = [...now].flatMap(([name, of]) => of.map((pairs) => name + "?" + pairs));
  const url = location.pathname + location.search + (parts.length ? "#" + parts.join(";") : "");
  if (location.pathname + location.search + location.hash === url) return;
  try {
    history[commit ? "pushState" : "replaceState"](null, "", url);
  } catch {
    // Browsers bound how often the address may change; the next commit catches up.
  }
}
