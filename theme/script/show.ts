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
    place.replaceChildren(table(grids[i]));
  });
}

// What stays is not written again: each writing costs layout, and text in a field may move while it is set.
function tell(place: Element, text: string): void {
  if (place.textContent !== text) place.textContent = text;
}

function put(field: HTMLInputElement | HTMLSelectElement, value: string): void {
  if (field.value !== value) field.value = value;
}

function dial(host: HTMLElement, input: Dial): void {
  const row = one(`.dial[data-input="${input.name}"]`, host);
  if (!row) return;
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
  if (item.textContent === output.before + output.text + output.mark + output.after + output.band) return;
  const part = (tag: "span" | "b" | "small", text: string, kind?: string) => (text ? [make(tag, kind ? { class: kind } : {}, text)] : []);
  item.replaceChildren(
    ...part("span", output.before),
    ...part("b", output.text),
    ...part("span", output.mark, "mark-after"),
    ...part("span", output.after),
    ...part("small", output.band, "finding-band"),
  );
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

/** Puts a drawing in the place of the one before. What is the same in both stays, so the browser has less to lay out. */
export function draw(place: Element, svg: string): void {
  if (drawn.get(place) === svg) return;
  drawn.set(place, svg);
  const fresh = document.createElement("template");
  fresh.innerHTML = svg;
  const now = fresh.content.firstElementChild!;
  const before = one("svg", place)!;
  for (const { name, value } of now.attributes) if (before.getAttribute(name) !== value) before.setAttribute(name, value);
  const old = [...before.childNodes];
  const marks = [...now.childNodes];
  marks.forEach((mark, i) => {
    if (!old[i]) before.append(mark);
    else if (!old[i].isEqualNode(mark)) old[i].replaceWith(mark);
  });
  for (const spare of old.slice(marks.length)) spare.remove();
}

/** Draws a figure into its place; its table follows when it is open. */
export function plate(host: HTMLElement, figure: Plate): void {
  const place = one(`.plate[data-figure="${figure.name}"]`, host);
  if (!place) return;
  draw(one(".plate-drawing", place)!, figure.svg);
  place.dispatchEvent(new Event("gripleaf-drawn", { bubbles: true }));
  const details = one<HTMLDetailsElement>(".plate-table", place) ?? one<HTMLDetailsElement>(`.plate-apart[data-figure="${figure.name}"] .plate-table`, host)!;
  const fill = () => one(".scroll", details)!.replaceChildren(table(figure.table));
  details.ontoggle = details.open ? null : fill;
  if (details.open) fill();
}

export function table(grid: Grid): HTMLTableElement {
  const head = make("tr", {}, ...grid.headings.map((h) => make("th", { scope: "col" }, h)));
  const rows = grid.rows.map((r) => make("tr", {}, ...r.map((c) => make("td", {}, c))));
  return make("table", { class: "figures-table" }, make("thead", {}, head), make("tbody", {}, ...rows));
}
