// The number that a question asks for: as it is typed, in SI, and as it is shown in the reader's unit.
import { one } from "./dom";
import { linkForm, print } from "./number";
import { quantity } from "./reply";
import { system } from "./units";

/** The unit in which a question asks: its SI value, and to how many decimals numbers are shown in it. */
function shown(question: HTMLElement): { scale: number; decimals: number } {
  const { scale, decimals, imperialScale, imperialDecimals } = question.dataset;
  return system() === "imperial" ? { scale: Number(imperialScale), decimals: Number(imperialDecimals) } : { scale: Number(scale), decimals: Number(decimals) };
}

export const field = (question: HTMLElement): HTMLInputElement | null => one<HTMLInputElement>(".answer input", question);

/** The SI value in the field: in the unit shown, or in one of the same kind that was written behind the number. */
export function typed(question: HTMLElement): number {
  const [, number, unit] = /^([-+]?[\d.]+)\s*(\S*)$/.exec(linkForm(field(question)!.value)) ?? [];
  if (number === undefined) return NaN;
  if (unit === "") return Number(number) * shown(question).scale;
  const known = question.dataset.units!.split(";").find((u) => u.split(" ")[0] === unit);
  return known ? Number(number) * Number(known.split(" ")[1]) : NaN;
}

/** Writes an SI value into the field. */
export function fill(question: HTMLElement, si: number): void {
  const { scale, decimals } = shown(question);
  field(question)!.value = print(si / scale, decimals);
}

/** Says an SI value with its unit. */
export function spoken(question: HTMLElement, si: number): string {
  const { scale, decimals } = shown(question);
  return quantity(print(si / scale, decimals), one(".answer-unit", question)!.textContent!);
}

/** The SI value as a number of that unit, for whoever keeps marks. */
export const marked = (question: HTMLElement, si: number): string => String(Number((si / shown(question).scale).toPrecision(6)));
