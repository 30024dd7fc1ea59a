// A cursor on figures: where the pointer is, the keys have put it, or the replay has come. It stands on all figures that
// run along the same thing, and each says what it shows there.
import type { Cursor, Reading } from "./answer";
import { all, make, one } from "./dom";
import { say } from "./words";

interface Teller {
  read(places: Cursor[]): Promise<Reading[]>;
  /** Brings the clock to a place; false if there is no clock that can go there. */
  seek(runs: string, at: number): boolean;
}

const between = 80; // ms between readings while the cursor moves

/** A drawing with a level axis, and the keys to its cursor. */
interface Drawing {
  name: string;
  place: HTMLElement;
  svg: SVGSVGElement;
  keys: HTMLInputElement;
}

const numbers = (text: string | undefined): number[] => (text ?? "").split(" ").map(Number);
const runs = (d: Drawing): string => d.svg.dataset.runs || d.name;
const valueAt = (d: Drawing, share: number): number => {
  const [from, to] = numbers(d.svg.dataset.span);
  return from + (to - from) * share;
};

export class Cursors {
  private drawings: Drawing[] = [];
  private at: Record<string, number> = {};
  private asking = false;
  private moved = false;

  constructor(private host: HTMLElement, private teller: Teller) {
    for (const plate of all(".plate", host)) {
      const place = one(".plate-drawing", plate)!;
      const svg = one<SVGSVGElement>("svg[data-plot]", place);
      if (svg) this.drawings.push(this.fit({ name: plate.dataset.figure!, place, svg, keys: keysOf(svg) }));
    }
    host.addEventListener("gripleaf-answer", () => this.along(this.at));
  }

  private fit(d: Drawing): Drawing {
    const point = (e: PointerEvent) => {
      const [left, , width] = numbers(d.svg.dataset.plot);
      const box = d.svg.getBoundingClientRect();
      const x = ((e.clientX - box.left) / box.width) * d.svg.viewBox.baseVal.width;
      this.share(d, Math.max(0, Math.min(1, (x - left) / width)), e.buttons > 0);
    };
    d.place.append(d.keys);
    d.place.addEventListener("pointermove", point);
    d.place.addEventListener("pointerdown", point);
    d.place.addEventListener("pointerleave", (e) => e.pointerType === "mouse" && document.activeElement !== d.keys && this.hide());
    d.keys.addEventListener("input", () => this.share(d, Number(d.keys.value) / 100, true));
    d.keys.addEventListener("focus", () => this.share(d, Number(d.keys.value) / 100, false));
    d.keys.addEventListener("blur", () => this.hide());
    return d;
  }

  /** Moves the cursor; who drags it moves the clock and all that hangs on it, where there is one. */
  private share(d: Drawing, share: number, drags: boolean): void {
    const at = valueAt(d, share);
    if (!drags || !this.teller.seek(runs(d), at)) this.along({ [runs(d)]: at });
  }

  /** Puts the cursor of every figure that runs along one of the given things, which are in SI. */
  along(at: Record<string, number>): void {
    this.at = at;
    for (const d of this.drawings) if (at[runs(d)] !== undefined) put(d, at[runs(d)]);
    this.ask();
  }

  private hide(): void {
    this.at = {};
    all(".cursor, .cursor-says", this.host).forEach((c) => c.remove());
  }

  /** Asks what the figures show, and once more if the cursor has moved by then. */
  private ask(): void {
    if (this.asking) return void (this.moved = true);
    const places = this.drawings.filter((d) => one(".cursor:not([hidden])", d.place)).map((d) => ({ figure: d.name, at: this.at[runs(d)] }));
    if (!places.length) return;
    this.asking = true;
    this.moved = false;
    this.teller.read(places).then((list) => list.forEach((r) => this.tell(r)), () => {}).then(() => {
      setTimeout(() => {
        this.asking = false;
        if (this.moved) this.ask();
      }, between);
    });
  }

  private tell({ figure, said }: Reading): void {
    const d = this.drawings.find((d) => d.name === figure)!;
    d.keys.setAttribute("aria-valuetext", said.map((s) => s.join(" ").trim()).join(", "));
    const lines = said.map(([name, quantity]) => make("span", {}, name + " ", make("b", {}, quantity)));
    one(".cursor-says", d.place)?.replaceChildren(...lines);
  }
}

/** The keys to a figure's cursor are a slider's, which also says to a screen reader what the figure shows. */
const keysOf = (svg: SVGSVGElement): HTMLInputElement =>
  make("input", { type: "range", class: "plate-keys", min: "0", max: "100", value: "0", dir: "ltr", "aria-label": say("What it shows at the cursor") + ": " + svg.getAttribute("aria-label")!.split(". ")[0] });

function put(d: Drawing, at: number): void {
  const [left, top, width, height] = numbers(d.svg.dataset.plot);
  const [from, to] = numbers(d.svg.dataset.span);
  const { width: wide, height: high } = d.svg.viewBox.baseVal;
  const share = (at - from) / (to - from);
  const line = one(".cursor", d.place) ?? d.place.appendChild(make("span", { class: "cursor", "aria-hidden": "true" }));
  const says = one(".cursor-says", d.place) ?? d.place.appendChild(make("span", { class: "cursor-says", "aria-hidden": "true" }));
  line.hidden = says.hidden = !(share >= 0 && share <= 1);
  line.style.left = (100 * (left + width * share)) / wide + "%";
  line.style.top = (100 * top) / high + "%";
  line.style.height = (100 * height) / high + "%";
  says.style.bottom = (100 * (high - top)) / high + "%";
  d.keys.value = String(Math.round(100 * share));
}
