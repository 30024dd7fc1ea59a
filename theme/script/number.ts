// Numbers as the page's language writes them; the counterpart of calculators/quantity.Locale.
import { site } from "./dom";

interface Signs {
  decimal: string;
  group: string;
  zero: number;
  indian: boolean;
}

function signs(): Signs {
  const is: Signs = { decimal: ".", group: ",", zero: 48, indian: false };
  for (const line of (site.reader ?? "").split("\n")) {
    const [name, value] = line.split("=");
    if (name === "indian") is.indian = true;
    else if (name === "zero" && value) is.zero = value.codePointAt(0)!;
    else if (name === "decimal" && value) is.decimal = value;
    else if (name === "group" && value) is.group = value;
  }
  return is;
}

/** Turns what was typed into the form of a link: ASCII digits, a point, no grouping; a unit stays as it is. */
export function linkForm(typed: string): string {
  const { decimal, group, zero } = signs();
  let text = typed.trim().replace(/[−‒–]/g, "-").replace(/[\u00a0\u202f\u2009]/g, " ");
  if (zero !== 48) text = [...text].map((c) => (c.codePointAt(0)! >= zero && c.codePointAt(0)! <= zero + 9 ? String(c.codePointAt(0)! - zero) : c)).join("");
  // A sign before exactly three digits groups thousands; every other one divides the whole from its parts.
  const grouped = new RegExp("(\\d)[" + (group === "." ? "\\." : group) + " ](?=\\d{3}(?!\\d))", "g");
  text = text.replace(grouped, "$1");
  if (decimal !== ".") text = text.replace(decimal, ".");
  return text.replace(/^([-+]?\d*),(\d+)/, "$1.$2");
}

/** Prints a number to so many decimals, as the module does. */
export function print(n: number, decimals: number): string {
  const { decimal, group, zero, indian } = signs();
  const [whole, part] = Math.abs(n).toFixed(decimals).split(".");
  let text = "";
  for (let i = 0; i < whole.length; i++) {
    const left = whole.length - i;
    if (i > 0 && whole.length > 4 && (indian && left > 3 ? left % 2 === 1 : left % 3 === 0)) text += group;
    text += whole[i];
  }
  if (part) text += decimal + part;
  text = text.replace(/\d/g, (d) => String.fromCodePoint(zero + Number(d)));
  return n < 0 && /[1-9]/.test(whole + (part ?? "")) ? "−" + text : text;
}

/** The shortest plain form of a number on a slider's grid. */
export function onGrid(n: number, step: number): string {
  const decimals = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
  return String(Number((Math.round(n / step) * step).toFixed(decimals)));
}
