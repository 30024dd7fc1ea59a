// Metric or imperial: one switch for prose, fields, figures and tables, remembered.
import { all, memory, site } from "./dom";
import { catalogue } from "./words";

export type System = "metric" | "imperial";

export const system = (): System => (site.units === "imperial" ? "imperial" : "metric");

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
  if (memory.get("units") === "imperial") {
    site.units = "imperial";
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
