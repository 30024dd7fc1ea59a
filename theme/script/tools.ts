// What the row of buttons below an explorer does.
import { all, copy, make, one } from "./dom";
import type { Explorer } from "./explorer";
import { print } from "./number";
import { quantity, type Answer, type Output } from "./reply";
import { stage } from "./stage";
import { say } from "./words";

/** Does what a button of an explorer says. */
export function tool(host: Explorer, button: HTMLElement): void {
  switch (button.dataset.do) {
    case "reset":
      return host.reset();
    case "stop":
      return host.stop();
    case "hold":
      return void hold(host, button);
    case "link":
      return void copied(button, host.link);
    case "text":
      return void host.whole().then((a) => copied(button, asText(host, a)));
    case "csv":
      return void host.whole().then((a) => copied(button, asCSV(a)));
    case "stage":
      return stage(host);
  }
}

async function copied(button: HTMLElement, text: string): Promise<void> {
  const name = (button.dataset.name ??= button.textContent!);
  button.textContent = (await copy(text)) ? say("Copied") : say("This browser does not let a page copy");
  setTimeout(() => (button.textContent = name), 1600);
}

function asText(host: Explorer, a: Answer): string {
  const inputs = a.inputs.filter((i) => i.set).map((i) => label(host, i.name) + ": " + i.text);
  return [...inputs, "", ...a.outputs.map((o) => o.label + ": " + quantity(o.number, o.unit)), "", host.link].join("\n");
}

const label = (host: Explorer, input: string): string => one(`.dial[data-input="${input}"] label`, host)?.textContent ?? input;

/** RFC 4180. Values are SI, with all digits, as machines want them; the units stand beside. */
function asCSV(a: Answer): string {
  const cell = (text: string) => (/[",\r\n]/.test(text) ? '"' + text.replace(/"/g, '""') + '"' : text);
  const rows = [["name", "value", "low", "high", "shown"]];
  for (const i of a.inputs) if (i.set) rows.push([i.name, String((i as { value?: number }).value ?? i.word), "", "", i.text]);
  for (const o of a.outputs) rows.push([o.name, String(o.value), String(o.low ?? ""), String(o.high ?? ""), quantity(o.number, o.unit)]);
  for (const grid of a.series) rows.push([], grid.headings, ...grid.rows);
  return rows.map((r) => r.map(cell).join(",")).join("\r\n") + "\r\n";
}

/** Holds the present state beside all that follow, or lets go of it. */
async function hold(host: Explorer, button: HTMLElement): Promise<void> {
  host.held = host.held ? undefined : await host.whole();
  button.setAttribute("aria-pressed", String(Boolean(host.held)));
  all(".held, .compare", host).forEach((e) => e.remove());
  if (!host.held) return host.removeEventListener("gripleaf-answer", compare);
  for (const f of host.held.figures) {
    const old = make("div", { class: "held" }, make("p", { class: "bench-question" }, say("Held")));
    old.insertAdjacentHTML("beforeend", f.svg);
    one(`.plate[data-figure="${f.name}"] .plate-drawing`, host)?.after(old);
  }
  host.addEventListener("gripleaf-answer", compare);
  compare.call(host);
}

function compare(this: Explorer): void {
  const held = this.held!;
  const now = this.answer!;
  all(".compare", this).forEach((e) => e.remove());
  const head = make("tr", {}, make("td"), ...[say("Held"), say("Now"), say("Difference")].map((t) => make("th", { scope: "col" }, t)));
  const rows = now.outputs.map((o, i) => row(o, held.outputs[i]));
  const what = make("caption", {}, say("Held: {}", changes(this, held, now)));
  one(".bench-show", this)!.prepend(make("table", { class: "compare" }, what, make("thead", {}, head), make("tbody", {}, ...rows)));
}

const row = (now: Output, held: Output): HTMLElement =>
  make("tr", {}, make("th", { scope: "row" }, now.label), ...[inUnitOf(now, held.value, held), quantity(now.number, now.unit), difference(now, held)].map((t) => make("td", {}, t)));

/** The held value in the unit shown now: the switch may have been thrown in between. */
const inUnitOf = (now: Output, value: number, held: Output): string => (now.unit === held.unit ? quantity(held.number, held.unit) : quantity(print(value / now.scale, now.decimals), now.unit));

function difference(now: Output, held: Output): string {
  if (now.moot || held.moot) return "–";
  const by = (now.value - held.value) / now.scale;
  if (now.number === held.number) return "0";
  const text = print(by, now.decimals);
  return quantity((by > 0 ? "+" : "") + text, now.unit === "°C" ? "K" : now.unit);
}

/** The inputs that differ, with the values that are held. */
function changes(host: Explorer, held: Answer, now: Answer): string {
  const differ = held.inputs.filter((input, i) => input.text !== now.inputs[i].text);
  return (differ.length ? differ : held.inputs.filter((i) => i.given)).map((i) => label(host, i.name) + " " + i.text).join(", ");
}
