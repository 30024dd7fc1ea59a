// Metric or imperial: one switch for prose, fields, figures and tables, remembered.
import { all, memory, site } from "./dom";
import { catalogue } from "./words";

export type System = "metric" | "imperial";

export const system = (): System => (site.units === "imperial" ? "imperial" : "metric");

/** In which the page was written. */
const written = system();

/** Has the reader chosen other units than those in which the page was written? */
export const chosen = (): boolean => system() !== written;

/** Who reads, in the lines that the module takes. */
export const reader = (): string => "system=" + system() + "\n" + (site.reader ?? "") + "\n\n" + catalogue();

/** Told to the document when the units have changed. */
export const unitsChanged = "gripleaf-units";

function show(): void {
  for (const e of all("[data-imperial]")) {
    e.dataset.metric ??= e.textContent!;
    e.textContent = e.dataset[system()]!;
  }
  for (const b of all("[data-system]")) b.setAttribute("aria-pressed", String(b.dataset.system === system()));
}

export function units(): void {
  const last = memory.get("units");
  if ((last === "metric" || last === "imperial") && last !== written) {
    site.units = last;
    show();
  }
  document.addEventListener("click", (e) => {
    const button = (e.target as Element).closest<HTMLElement>("[data-system]");
    if (!button) return;
    site.units = button.dataset.system;
    memory.set("units", button.dataset.system!);
    show();
    document.dispatchEvent(new Event(unitsChanged));
  });
}
