// What the reader sets: sliders, boxes and choices, and where their faults are told.
import type { Complaint } from "./answer";
import { all, one } from "./dom";
import { linkForm, onGrid, print } from "./number";
import { passed, touched } from "./show";

/** Takes an input's value as a link writes it; empty takes it away. clears are inputs that lose theirs. */
type Put = (name: string, value: string, clears?: string) => void;

/** Makes an explorer's dials answer to the hand. */
export function dials(host: HTMLElement, put: Put): void {
  for (const range of all<HTMLInputElement>(".dial-slider", host)) passed(range);
  host.addEventListener("input", (e) => {
    const field = e.target as HTMLInputElement;
    const row = field.closest<HTMLElement>(".dial");
    if (!row) return;
    if (field.type === "range") slide(row, field, put);
    else if (field.type === "text") field.dataset.typing = "";
  });
  host.addEventListener("change", (e) => {
    const field = e.target as HTMLInputElement | HTMLSelectElement;
    const row = field.closest<HTMLElement>(".dial");
    if (!row) return;
    if (field.type === "text") typed(row, field as HTMLInputElement, put);
    else if (field instanceof HTMLSelectElement) picked(row, field, put);
  });
  host.addEventListener("keydown", (e) => {
    const field = e.target as HTMLInputElement;
    const row = field.closest<HTMLElement>(".dial");
    if (!row || field.type !== "text") return;
    const steps = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[e.key];
    if (e.key === "Enter") typed(row, field, put);
    else if (steps && one(".dial-slider", row)) {
      e.preventDefault();
      if (field.dataset.typing !== undefined) typed(row, field, put);
      nudge(host, row.dataset.input!, steps, put);
    }
  });
}

/** The box follows the slider at once, and the slider the box, whatever the calculator is at. */
function slide(row: HTMLElement, range: HTMLInputElement, put: Put): void {
  touched(row);
  passed(range);
  const box = one<HTMLInputElement>(".dial-field input", row)!;
  box.value = print(Number(range.value), decimalsOf(Number(range.step)));
  put(row.dataset.input!, range.value + unitOf(row));
}

const decimalsOf = (step: number): number => (String(step).split(".")[1] ?? "").length;

function picked(row: HTMLElement, pick: HTMLSelectElement, put: Put): void {
  touched(row);
  put(row.dataset.input!, pick.value, row.dataset.clears);
}

function typed(row: HTMLElement, field: HTMLInputElement, put: Put): void {
  touched(row);
  delete field.dataset.typing;
  const text = field.dataset.unit === undefined ? field.value.trim() : linkForm(field.value);
  const bare = /^[-+]?[\d.]+(e[-+]?\d+)?$/i.test(text);
  const range = one<HTMLInputElement>(".dial-slider", row);
  if (bare && range) (range.value = text), passed(range);
  put(row.dataset.input!, bare ? text + unitOf(row) : text);
}

const rowOf = (host: HTMLElement, name: string): HTMLElement | null => one(`.dial[data-input="${CSS.escape(name)}"]`, host);

/** Moves an input by so many of its steps. */
export function nudge(host: HTMLElement, name: string, steps: number, put: Put): void {
  const row = rowOf(host, name);
  if (!row || row.hasAttribute("data-read")) return;
  const pick = one<HTMLSelectElement>("select", row);
  const range = one<HTMLInputElement>(".dial-slider", row);
  if (pick) {
    pick.selectedIndex = Math.max(0, Math.min(pick.options.length - 1, pick.selectedIndex + Math.sign(steps)));
    picked(row, pick, put);
  } else if (range) {
    set(row, range, Number(range.value) + steps * Number(range.step), put);
  }
}

/** Sets an input to a value in the reader's unit, on its slider's grid and within its span. */
export function moveTo(host: HTMLElement, name: string, to: number, put: Put): void {
  const row = rowOf(host, name);
  const range = row && one<HTMLInputElement>(".dial-slider", row);
  if (range && !row.hasAttribute("data-read")) set(row, range, to, put);
}

function set(row: HTMLElement, range: HTMLInputElement, to: number, put: Put): void {
  const within = Math.max(Number(range.min), Math.min(Number(range.max), to));
  range.value = onGrid(within, Number(range.step));
  slide(row, range, put);
}

const unitOf = (row: HTMLElement): string => one<HTMLInputElement>(".dial-field input", row)!.dataset.unit ?? "";

/** Shows each fault at its field, and gives those without one. */
export function faults(host: HTMLElement, list: Complaint[]): Complaint[] {
  for (const row of all(".dial[data-fault]", host)) {
    delete row.dataset.fault;
    one(".dial-fault", row)?.remove();
    one("input, select", row)!.removeAttribute("aria-invalid");
  }
  return list.filter((fault) => {
    const row = rowOf(host, fault.input);
    if (row) atField(row, fault);
    return !row;
  });
}

function atField(row: HTMLElement, fault: Complaint): void {
  row.dataset.fault = "";
  row.closest("details")?.setAttribute("open", "");
  const field = one("input, select", row)!;
  field.setAttribute("aria-invalid", "true");
  const p = document.createElement("p");
  p.className = "dial-fault";
  p.setAttribute("role", "alert");
  p.textContent = fault.text.replace(row.dataset.input + ": ", "");
  if (fault.hint) p.append(Object.assign(document.createElement("small"), { textContent: fault.hint }));
  row.append(p);
}
