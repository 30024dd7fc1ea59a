// Puts an answer into the explorer's markup: the same elements that the builder filled with the first state.
import { all, make, one } from "./dom";
import { onGrid } from "./number";
import { say } from "./words";
import type { Answer, Compared, Dial, Finding, Grid, Plate } from "./answer";

/** Fills the whole explorer. A field that is being typed in keeps what is typed. */
export function show(host: HTMLElement, answer: Answer): void {
  for (const one of answer.dials) dial(host, one);
  results(host, answer);
}

/** Fills what comes out, and leaves alone what was set. */
export function results(host: HTMLElement, answer: Answer): void {
  for (const one of answer.findings) finding(host, one);
  for (const one of answer.plates) plate(host, one);
  series(host, answer.series);
}

const tabled = new WeakMap<Element, string>(); // the table that stands in each place

/** Fills the places of the tables; a state may have more or fewer of them than the first one. */
function series(host: HTMLElement, grids: Grid[]): void {
  fill(one(".explorer-show", host)!, grids.filter((g) => !g.basis));
  fill(one(".explorer-basis", host)!, grids.filter((g) => g.basis));
}

function fill(within: HTMLElement, grids: Grid[]): void {
  const places = all(".explorer-series", within);
  for (const spare of places.splice(grids.length)) spare.remove();
  while (places.length < grids.length) {
    const place = make("div", { class: "explorer-series scroll", tabindex: "0", role: "group" });
    within.append(place);
    places.push(place);
  }
  places.forEach((place, i) => {
    const text = JSON.stringify(grids[i]);
    if (tabled.get(place) === text) return;
    tabled.set(place, text);
    place.setAttribute("aria-label", grids[i].headings[0]);
    lay(place, grids[i]);
  });
}

// What stays is not written again: each writing costs layout, and text in a field may move while it is set.
function tell(place: Element, text: string): void {
  const alone = place.childNodes.length === 1 && place.firstChild;
  if (alone instanceof Text) {
    if (alone.data !== text) alone.data = text;
  } else if (place.textContent !== text) place.textContent = text;
}

function put(field: HTMLInputElement | HTMLSelectElement, value: string): void {
  if (field.value !== value) field.value = value;
}

const dialled = new WeakMap<Element, string>(); // what stands in each dial, as long as no hand has been there

/** Says that a hand has been at a dial, so that it is filled anew. */
export const touched = (row: Element): boolean => dialled.delete(row);

function dial(host: HTMLElement, input: Dial): void {
  const row = one(`.dial[data-input="${input.name}"]`, host);
  const text = JSON.stringify(input);
  if (!row || dialled.get(row) === text) return;
  dialled.set(row, text);
  row.dataset.given = String(input.given);
  if (input.scale) row.dataset.scale = String(input.scale);
  row.toggleAttribute("data-read", input.read);
  for (const control of all<HTMLInputElement>("input, select", row)) control.disabled = input.read;
  tell(one(".dial-given", row)!, input.text);
  const pick = one<HTMLSelectElement>("select", row);
  if (pick) put(pick, input.word);
  const field = one<HTMLInputElement>(".dial-field input", row);
  if (field && field.dataset.typing === undefined) put(field, input.number || input.word);
  if (input.unit && field) {
    field.dataset.unit = input.unit;
    const unit = one(".dial-unit", row);
    if (unit) tell(unit, input.unitName);
  }
  slider(one<HTMLInputElement>(".dial-slider", row), input);
}

function slider(range: HTMLInputElement | null, input: Dial): void {
  if (!range || !input.slider) return;
  const { from, to, step } = input.slider;
  // Equal attributes are not written again: some browsers move the thumb under the finger when they are.
  for (const [name, value] of [["min", from], ["max", to], ["step", step]] as const) {
    if (range.getAttribute(name) !== String(value)) range.setAttribute(name, String(value));
  }
  const at = onGrid(input.position ?? from, step);
  put(range, at);
  range.setAttribute("aria-valuetext", input.text);
  passed(range);
}

/** Tells the style how far along the thumb stands. */
export function passed(range: HTMLInputElement): void {
  const [from, to] = [Number(range.min), Number(range.max)];
  range.style.setProperty("--passed", (100 * (Number(range.value) - from)) / (to - from || 1) + "%");
}

function finding(host: HTMLElement, output: Finding): void {
  const item = one(`.finding[data-output="${output.name}"]`, host);
  if (!item) return;
  if (output.attached) item.hidden = output.moot;
  item.toggleAttribute("data-moot", output.moot);
  const parts = ([["span", output.before], ["b", output.text], ["span", output.mark, "mark-after"], ["span", output.after], ["small", output.band, "finding-band"]] as const).filter(([, text]) => text);
  const there = [...item.children];
  if (there.length === parts.length && parts.every(([tag, , kind], i) => there[i].localName === tag && there[i].className === (kind ?? ""))) parts.forEach(([, text], i) => tell(there[i], text));
  else item.replaceChildren(...parts.map(([tag, text, kind]) => make(tag, kind ? { class: kind } : {}, text)));
}

/** Says under the results what happened. */
export function happened(host: HTMLElement, answer: Answer): void {
  const place = one(".explorer-happened", host)!;
  tell(place, answer.happened);
  place.hidden = answer.happened === "";
}

/** Puts the results of all states beside each other, and lets go of them where there is only one. */
export function kept(host: HTMLElement, answer: Answer): void {
  const place = one(".explorer-kept", host)!;
  if (place.hidden && answer.kept.length === 0) return;
  host.classList.toggle("has-kept", answer.kept.length > 0);
  place.hidden = answer.kept.length === 0;
  if (place.hidden) return place.replaceChildren();
  const alone = answer.kept.length === 1;
  const head = (text: string, ...more: Node[]) => make("th", { scope: "col" }, text, ...more);
  const letGo = (i: number) => make("button", { type: "button", class: "press", "data-do": "drop", "data-index": String(i), "aria-label": say("Let go of {}", answer.kept[i].state) }, "×");
  const states = answer.kept.flatMap((k, i) => [head(k.state + " ", letGo(i)), ...(alone ? [head(say("Difference"))] : [])]);
  const rows = answer.findings.flatMap((f, i) => (f.moot && answer.kept.every((k) => k.findings[i].text === "–") ? [] : [compared(f, answer.kept.map((k) => k.findings[i]), alone)]));
  place.replaceChildren(make("table", { class: "compare" }, make("thead", {}, make("tr", {}, make("td"), head(answer.state || say("Now")), ...states)), make("tbody", {}, ...rows)));
}

function compared(now: Finding, kept: Compared[], alone: boolean): HTMLElement {
  const cells = kept.flatMap((k) => (alone ? [k.text, k.difference] : [k.text]));
  return make("tr", {}, make("th", { scope: "row" }, now.label), ...[now.moot ? "–" : now.text, ...cells].map((t) => make("td", {}, t)));
}

const drawn = new WeakMap<Element, string>(); // the drawing that stands in each place

/**
 * Puts a drawing in the place of the one before. Elements stay and become what they are now: a new one costs the browser
 * several times the layout.
 */
export function draw(place: Element, svg: string): void {
  if (drawn.get(place) === svg) return;
  drawn.set(place, svg);
  const fresh = document.createElement("template");
  fresh.innerHTML = svg;
  const now = fresh.content.firstElementChild!;
  const before = one("svg", place)!;
  become(before, now);
  const old = [...before.children];
  const marks = [...now.children];
  marks.forEach((mark, i) => {
    if (!old[i]) before.append(mark);
    else if (old[i].localName !== mark.localName) old[i].replaceWith(mark);
    else if (!old[i].isEqualNode(mark)) {
      become(old[i], mark);
      if (mark.firstChild) tell(old[i], mark.textContent!);
    }
  });
  for (const spare of old.slice(marks.length)) spare.remove();
}

/** Gives an element the attributes of another one. */
function become(element: Element, other: Element): void {
  for (const { name, value } of other.attributes) if (element.getAttribute(name) !== value) element.setAttribute(name, value);
  if (element.attributes.length > other.attributes.length) for (const name of element.getAttributeNames()) if (!other.hasAttribute(name)) element.removeAttribute(name);
}

/** Draws a figure into its place; its table follows when it is open. */
export function plate(host: HTMLElement, figure: Plate): void {
  const place = one(`.plate[data-figure="${figure.name}"]`, host);
  if (!place) return;
  draw(one(".plate-drawing", place)!, figure.svg);
  place.dispatchEvent(new Event("gripleaf-drawn", { bubbles: true }));
  const details = one<HTMLDetailsElement>(".plate-table", place) ?? one<HTMLDetailsElement>(`.plate-apart[data-figure="${figure.name}"] .plate-table`, host)!;
  const fill = () => lay(one(".scroll", details)!, figure.table);
  details.ontoggle = details.open ? null : fill;
  if (details.open) fill();
}

/** Puts a table into its place; one of the same size stays, and its cells say what is new. */
function lay(place: Element, grid: Grid): void {
  const cells = all("th, td", place);
  const texts = [grid.headings, ...grid.rows].flat();
  const same = one("tr", place)?.children.length === grid.headings.length && cells.length === texts.length;
  if (same) texts.forEach((text, i) => tell(cells[i], text));
  else place.replaceChildren(table(grid));
}

function table(grid: Grid): HTMLTableElement {
  const head = make("tr", {}, ...grid.headings.map((h) => make("th", { scope: "col" }, h)));
  const rows = grid.rows.map((r) => make("tr", {}, ...r.map((c) => make("td", {}, c))));
  return make("table", { class: "figures-table" }, make("thead", {}, head), make("tbody", {}, ...rows));
}
