// What the row of buttons below an explorer does.
import { all, copy, make, one } from "./dom";
import type { Explorer } from "./explorer";
import { print } from "./number";
import type { Answer, Finding } from "./answer";
import { quantity } from "./reply";
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
  const inputs = a.dials.filter((i) => i.set).map((i) => i.label + ": " + i.text);
  return [...inputs, "", ...a.findings.filter((f) => !f.moot).map((f) => f.label + ": " + f.text + (f.band && ", " + f.band)), "", host.link].join("\n");
}

/** RFC 4180. Values are SI, with all digits, as machines want them, with their unit; what is shown stands beside. */
function asCSV(a: Answer): string {
  const cell = (text: string) => (/[",\r\n]/.test(text) ? '"' + text.replace(/"/g, '""') + '"' : text);
  const rows = [["name", "value", "low", "high", "unit", "shown"]];
  for (const d of a.dials) if (d.set) rows.push([d.name, String(d.value ?? d.word), "", "", d.kind, d.text]);
  for (const f of a.findings) if (!f.moot) rows.push([f.name, String(f.value), String(f.low ?? ""), String(f.high ?? ""), f.kind, f.text]);
  for (const grid of a.series) rows.push([], grid.headings, ...grid.rows);
  return rows.map((r) => r.map(cell).join(",")).join("\r\n") + "\r\n";
}

/** Holds the present state beside all that follow, or lets go of it. */
async function hold(host: Explorer, button: HTMLElement): Promise<void> {
  host.held = host.held ? undefined : await host.whole();
  button.setAttribute("aria-pressed", String(Boolean(host.held)));
  all(".held, .compare", host).forEach((e) => e.remove());
  if (!host.held) return host.removeEventListener("gripleaf-answer", compare);
  for (const f of host.held.plates) {
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
  const rows = now.findings.map((o, i) => row(o, held.findings[i]));
  const what = make("caption", {}, say("Held: {}", changes(held, now)));
  one(".bench-show", this)!.prepend(make("table", { class: "compare" }, what, make("thead", {}, head), make("tbody", {}, ...rows)));
}

const row = (now: Finding, held: Finding): HTMLElement =>
  make("tr", {}, make("th", { scope: "row" }, now.label), ...[inUnitOf(now, held), now.text, difference(now, held)].map((t) => make("td", {}, t)));

/** The held value in the unit shown now: the switch may have been thrown in between. */
const inUnitOf = (now: Finding, held: Finding): string => (now.scale === held.scale ? held.text : quantity(print(held.value / now.scale, now.decimals), unitOf(now)));

const unitOf = (f: Finding): string => /[^\d.,٫٬\s\u00a0−±]*$/.exec(f.text)![0];

function difference(now: Finding, held: Finding): string {
  if (now.moot || held.moot) return "–";
  if (now.text === held.text) return "0";
  const by = (now.value - held.value) / now.scale;
  const unit = unitOf(now);
  return quantity((by > 0 ? "+" : "") + print(by, now.decimals), unit === "°C" ? "K" : unit);
}

/** The inputs that differ, with the values that are held. */
function changes(held: Answer, now: Answer): string {
  const differ = held.dials.filter((d, i) => d.text !== now.dials[i].text);
  return (differ.length ? differ : held.dials.filter((d) => d.given)).map((i) => i.label + " " + i.text).join(", ");
}
