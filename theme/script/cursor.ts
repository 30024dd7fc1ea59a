// A line through all figures of an explorer that run along the same thing: under the pointer, or where the replay is.
import { all, make, one } from "./dom";

/** Where a cursor stands, in SI, by what runs along the figures: time, distance, … */
export type Place = Record<string, number>;

const numbers = (text: string | undefined): number[] => (text ?? "").split(" ").map(Number);

/** Puts the cursor of every figure that runs along one of the given things. */
export function setCursor(host: ParentNode, place: Place): void {
  for (const svg of all<SVGSVGElement>(".plate-drawing > .figure[data-plot]", host)) {
    const at = place[svg.dataset.runs ?? ""];
    if (at !== undefined) put(svg, at);
  }
}

function put(svg: SVGSVGElement, at: number): void {
  const [left, , width] = numbers(svg.dataset.plot);
  const [from, to] = numbers(svg.dataset.span);
  const share = (at - from) / (to - from);
  const line = one(".cursor", svg.parentElement!) ?? svg.parentElement!.appendChild(make("span", { class: "cursor", "aria-hidden": "true" }));
  line.hidden = !(share >= 0 && share <= 1);
  line.style.left = (100 * (left + width * share)) / svg.viewBox.baseVal.width + "%";
}

/** Lets the pointer carry the cursor over all figures of a host. */
export function cursors(host: HTMLElement): void {
  host.addEventListener("pointermove", (e) => {
    const svg = (e.target as Element).closest<SVGSVGElement>(".figure[data-plot]");
    if (!svg || !svg.dataset.runs) return;
    const [left, , width] = numbers(svg.dataset.plot);
    const [from, to] = numbers(svg.dataset.span);
    const box = svg.getBoundingClientRect();
    const x = ((e.clientX - box.left) / box.width) * svg.viewBox.baseVal.width;
    setCursor(host, { [svg.dataset.runs]: from + ((to - from) * (x - left)) / width });
  });
  host.addEventListener("pointerleave", () => all(".cursor", host).forEach((c) => c.remove()));
}
