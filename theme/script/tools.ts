// What the row of buttons below an explorer does.
import { copy } from "./dom";
import type { Explorer } from "./explorer";
import type { Answer } from "./answer";
import { stage } from "./stage";
import { say } from "./words";

/** Does what a button of an explorer says. */
export function tool(host: Explorer, button: HTMLElement): void {
  switch (button.dataset.do) {
    case "reset":
      return host.reset();
    case "stop":
      return host.stop();
    case "keep":
      return host.keep();
    case "drop":
      return host.drop(Number(button.dataset.index));
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
