// Handles on figures: marks behind which an input stands can be dragged, and moved by keys where they stand.
import { all, make, one } from "./dom";
import { moveTo, nudge } from "./dials";
import { say } from "./words";

type Put = (name: string, value: string, clears?: string) => void;

/** The way of a handle: along x or y, from one place in scene units to another, which stand for SI values. */
interface Way {
  upright: boolean;
  from: number;
  to: number;
  low: number;
  high: number;
}

function wayOf(mark: SVGElement): Way {
  const [axis, ...numbers] = mark.dataset.way!.split(" ");
  const [from, to, low, high] = numbers.map(Number);
  return { upright: axis === "y", from, to, low, high };
}

/** Lets an explorer's inputs be moved in its figures. The handles follow each drawing. */
export function handles(host: HTMLElement, put: Put): void {
  for (const drawing of all(".plate-drawing", host)) fit(host, drawing, put);
  host.addEventListener("gripleaf-drawn", (e) => fit(host, one(".plate-drawing", e.target as HTMLElement)!, put));
}

/** Puts a handle over each mark that has an input behind it, and takes away those whose mark is gone. */
function fit(host: HTMLElement, drawing: HTMLElement, put: Put): void {
  const svg = one<SVGSVGElement>("svg", drawing)!;
  const marks = all<SVGElement>("[data-input]", svg).filter((m) => one(`.dial[data-input="${m.dataset.input}"] .dial-slider`, host));
  const there = all(".handle", drawing);
  marks.forEach((mark, i) => {
    const handle = there[i] ?? drawing.appendChild(begin(host, drawing, put));
    seat(host, svg, mark, handle);
  });
  for (const spare of there.slice(marks.length)) spare.remove();
}

/** Where a handle's mark is, in scene units: a dot, or a line from one end to the other. The browser is not asked, which would have to lay the page out. */
function middle(mark: SVGElement): [number, number] {
  if (mark instanceof SVGCircleElement) return [Number(mark.getAttribute("cx")), Number(mark.getAttribute("cy"))];
  const [x, y, toX, toY] = mark.getAttribute("d")!.match(/-?[\d.]+/g)!.map(Number);
  return [(x + toX) / 2, (y + toY) / 2];
}

function seat(host: HTMLElement, svg: SVGSVGElement, mark: SVGElement, handle: HTMLElement): void {
  const name = mark.dataset.input!;
  const slider = one<HTMLInputElement>(`.dial[data-input="${name}"] .dial-slider`, host)!;
  const { width, height } = svg.viewBox.baseVal;
  const [x, y] = middle(mark);
  handle.dataset.moves = name;
  handle.dataset.way = mark.dataset.way!;
  handle.style.left = (100 * x) / width + "%";
  handle.style.top = (100 * y) / height + "%";
  const upright = wayOf(mark).upright;
  handle.classList.toggle("upright", upright);
  const says: Record<string, string> = {
    "aria-label": say("{}: drag it in the picture", slider.getAttribute("aria-label")!),
    "aria-orientation": upright ? "vertical" : "horizontal",
    "aria-valuemin": slider.min,
    "aria-valuemax": slider.max,
    "aria-valuenow": slider.value,
    "aria-valuetext": slider.getAttribute("aria-valuetext") ?? slider.value,
  };
  for (const [attribute, value] of Object.entries(says)) if (handle.getAttribute(attribute) !== value) handle.setAttribute(attribute, value);
}

function begin(host: HTMLElement, drawing: HTMLElement, put: Put): HTMLElement {
  const handle = make("span", { class: "handle", role: "slider", tabindex: "0", dir: "ltr" });
  let held: Way | undefined; // the way as it was when the handle was taken: the axis may grow under it
  handle.addEventListener("pointerdown", (e) => {
    held = wayOf(handle as unknown as SVGElement);
    handle.setPointerCapture(e.pointerId);
    handle.focus({ preventScroll: true });
    e.preventDefault();
    e.stopPropagation();
  });
  handle.addEventListener("pointermove", (e) => {
    e.stopPropagation();
    if (held) drag(host, drawing, handle, held, e, put);
  });
  const leave = () => (held = undefined);
  handle.addEventListener("pointerup", leave);
  handle.addEventListener("pointercancel", leave);
  handle.addEventListener("keydown", (e) => {
    const steps = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 }[e.key];
    if (!steps) return;
    e.preventDefault();
    e.stopPropagation();
    nudge(host, handle.dataset.moves!, steps, put);
  });
  return handle;
}

function drag(host: HTMLElement, drawing: HTMLElement, handle: HTMLElement, way: Way, e: PointerEvent, put: Put): void {
  const svg = one<SVGSVGElement>("svg", drawing)!;
  const box = svg.getBoundingClientRect();
  const at = way.upright ? ((e.clientY - box.top) / box.height) * svg.viewBox.baseVal.height : ((e.clientX - box.left) / box.width) * svg.viewBox.baseVal.width;
  const si = way.low + ((at - way.from) / (way.to - way.from)) * (way.high - way.low);
  const row = one(`.dial[data-input="${handle.dataset.moves}"]`, host)!;
  moveTo(host, handle.dataset.moves!, si / Number(row.dataset.scale), put);
}
