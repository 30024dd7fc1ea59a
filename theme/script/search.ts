// Search without a server: the index is a set of scripts that are loaded as the words need them.
import { address, all, make, one, script, site } from "./dom";
import { say } from "./words";

declare global {
  // Called by the shards of the index.
  var gripleafFound: (name: string, data: unknown) => void;
}

type Row = [path: string, title: string, kind: "lesson" | "term" | "calculator", text: string];

const shards = new Map<string, unknown>();
globalThis.gripleafFound = (name, data) => void shards.set(name, data);

async function shard<T>(name: string): Promise<T | undefined> {
  if (!shards.has(name)) await script(site.search + name + ".js").catch(() => {});
  return shards.get(name) as T | undefined;
}

/** Makes words equal that readers take for equal, as the builder did. */
const fold = (text: string): string =>
  text.normalize("NFD").replace(/[\u0300-\u036f\u064b-\u065f\u0670\u0640]/g, "").replace(/[ßẞ]/g, "ss").toLowerCase().normalize("NFC");

const wordsOf = (text: string): string[] => fold(text).match(/[\p{L}\p{N}][\p{L}\p{N}\p{M}]*/gu) ?? [];

/** Is b within so many single-letter edits of a, or of a beginning of it? Levenshtein with a bound. */
function near(a: string, b: string, most: number): boolean {
  if (b.length < a.length - most) return false;
  let row = Array.from({ length: b.length + 1 }, (_, i) => i);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) next[j] = Math.min(row[j] + 1, next[j - 1] + 1, row[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1));
    if (Math.min(...next) > most) return false;
    row = next;
  }
  return Math.min(...row) <= most;
}

const slack = (word: string): number => (word.length < 4 ? 0 : word.length < 8 ? 1 : 2);

const wide = 1e6; // more passages than a part has: a passage's number is that of its part times this, and its own

/** The words of all parts that begin with one of some letters, and the number of each part's first passage. */
async function terms(wanted: (letter: number) => boolean): Promise<[Record<string, number[]> | undefined, number][]> {
  const parts = (await shard<number[][]>("shards")) ?? [];
  const all = parts.flatMap((letters, part) => letters.filter(wanted).map((l) => ({ part, name: "terms-" + part + "-" + l })));
  return Promise.all(all.map(async ({ part, name }) => [await shard<Record<string, number[]>>(name), part * wide] as [Record<string, number[]> | undefined, number]));
}

/** The passages of one typed word with how well they fit. */
async function hits(word: string): Promise<Map<number, number>> {
  const found = new Map<number, number>();
  const take = (lists: [Record<string, number[]> | undefined, number][], fits: (term: string) => number) => {
    for (const [words, first] of lists)
      for (const [term, list] of Object.entries(words ?? {})) {
        const fit = fits(term);
        if (fit > 0) for (let i = 0; i < list.length; i += 2) found.set(first + list[i], Math.max(found.get(first + list[i]) ?? 0, fit * (1 + Math.log(list[i + 1]))));
      }
  };
  take(await terms((l) => l === word.codePointAt(0)), (t) => (t === word ? 4 : t.startsWith(word) ? 2 : 0));
  if (found.size === 0 && slack(word)) take(await terms(() => true), (t) => (near(word, t, slack(word)) ? 1 : 0));
  return found;
}

/** The row of a passage. */
async function row(passage: number): Promise<Row | undefined> {
  const own = passage % wide;
  return (await shard<Row[]>("passages-" + Math.floor(passage / wide) + "-" + Math.floor(own / block)))?.[own % block];
}

const most = 12; // results
const block = 40; // passages a shard, as the builder has it

/** The best passages for what was typed. Those with all words come before those with some. */
async function search(typed: string): Promise<Row[]> {
  const words = [...new Set(wordsOf(typed))].slice(0, 8);
  const all = await Promise.all(words.map(hits));
  const scores = new Map<number, number>();
  for (const found of all) for (const [passage, fit] of found) scores.set(passage, (scores.get(passage) ?? 0) + fit + 10);
  const best = [...scores].sort((a, b) => b[1] - a[1] || a[0] - b[0]).slice(0, most);
  const rows = await Promise.all(best.map(([p]) => row(p)));
  return rows.filter((r) => r !== undefined);
}

/** The part of a text around the first of the words, with all of them marked. */
function passage(text: string, words: string[]): (Node | string)[] {
  const pieces = text.split(/([\p{L}\p{N}][\p{L}\p{N}\p{M}]*)/u);
  const hit = (piece: string) => {
    const f = fold(piece);
    return f !== "" && words.some((w) => f.startsWith(w) || (slack(w) > 0 && near(w, f, slack(w)) && Math.abs(f.length - w.length) <= 2));
  };
  const first = Math.max(0, pieces.findIndex((p, i) => i % 2 === 1 && hit(p)));
  const from = Math.max(0, first - 16);
  const shown = pieces.slice(from, from + 70).map((p, i) => ((from + i) % 2 === 1 && hit(p) ? make("mark", {}, p) : p));
  return [from > 0 ? "… " : "", ...shown, from + 70 < pieces.length ? " …" : ""];
}

function result(row: Row, words: string[]): HTMLElement {
  const [path, title, kind, text] = row;
  const kindName = kind === "term" ? say("Glossary") : kind === "calculator" ? say("Calculator") : say("Lesson");
  const link = make("a", { href: address(path) }, make("span", { class: "seek-kind" }, kindName), make("span", { class: "seek-title" }, title), ...passage(text, words));
  return make("li", {}, link);
}

let dialog: HTMLDialogElement | undefined;

function build(): HTMLDialogElement {
  const field = make("input", { class: "seek-field", type: "search", "aria-label": say("Search"), placeholder: say("What are you looking for?"), autocomplete: "off" });
  const list = make("ol");
  const told = make("p", { class: "seek-say", role: "status" });
  const close = make("button", { class: "press", type: "button" }, say("Close"));
  const box = make("dialog", { class: "seek", "aria-label": say("Search") }, make("div", { class: "seek-top" }, field, close), told, list);
  let turn = 0;
  field.addEventListener("input", async () => {
    const mine = ++turn;
    const rows = await search(field.value);
    if (mine !== turn) return;
    list.replaceChildren(...rows.map((r) => result(r, wordsOf(field.value))));
    told.textContent = field.value.trim() === "" ? "" : rows.length ? say("{} passages", String(rows.length)) : say("Nothing found. Try another word.");
  });
  box.addEventListener("keydown", (e) => {
    const links = all<HTMLAnchorElement>("a", list);
    const at = links.indexOf(document.activeElement as HTMLAnchorElement);
    if (e.key === "ArrowDown" && links.length) links[Math.min(at + 1, links.length - 1)].focus();
    else if (e.key === "ArrowUp" && at >= 0) (at === 0 ? field : links[at - 1]).focus();
    else if (e.key === "Enter" && e.target === field) links[0]?.click();
    else return;
    e.preventDefault();
  });
  list.addEventListener("click", (e) => (e.target as Element).closest("a") && box.close());
  close.onclick = () => box.close();
  document.body.append(box);
  return box;
}

export function searching(): void {
  const show = () => {
    dialog ??= build();
    dialog.showModal();
    one<HTMLInputElement>(".seek-field", dialog)!.select();
  };
  document.addEventListener("click", (e) => {
    if ((e.target as Element).closest("[data-do=seek]")) show();
  });
  document.addEventListener("keydown", (e) => {
    if (e.key !== "/" || e.ctrlKey || e.metaKey || (e.target as Element).closest("input, textarea, select, dialog")) return;
    e.preventDefault();
    show();
  });
}
