// The clock of an explorer: one moment of the stop, which the picture of the bike and the cursors of all figures show.
// Each picture is drawn by the module from the simulated stop; here is only the time.
import type { Frame, Span } from "./answer";
import { one } from "./dom";
import type { Explorer } from "./explorer";
import { print } from "./number";
import { draw as put, passed } from "./show";
import { Sound } from "./sound";
import { say } from "./words";

const slowness = 8;
const cycleLasts = 4; // s that one cycle of the controller takes on the screen
const stillStep = 0.25; // s between stills, for readers who want no motion

const still = matchMedia("(prefers-reduced-motion: reduce)");

/** How the clock goes. */
type Going =
  | { at: "rest" }
  | { at: "play"; rate: number; from: number; until: number } // from is when the moment 0 was, until is a moment
  | { at: "stills"; timer: number };

export class Clock {
  private place: HTMLElement;
  private drawing: HTMLElement;
  private slider: HTMLInputElement;
  private going: Going = { at: "rest" };
  private moment: number;
  private begun = false; // it has been played or moved: the first play begins at the start
  private asked = false; // a picture is on its way
  private next: (() => void) | undefined; // the newest one asked for meanwhile
  private cycle: Span | undefined;
  private sound = new Sound();

  constructor(private host: Explorer) {
    this.place = one(".replay", host)!;
    this.drawing = one(".replay-drawing", this.place)!;
    this.slider = one<HTMLInputElement>(".replay-slider", this.place)!;
    this.moment = Number(this.slider.value);
    this.place.addEventListener("click", (e) => this.press((e.target as Element).closest<HTMLElement>("[data-do]")));
    this.slider.addEventListener("input", (e) => {
      e.stopPropagation();
      this.rest();
      void this.show("time", Number(this.slider.value));
    });
    // The picture follows an answer once that is painted: the numbers come first.
    host.addEventListener("gripleaf-answer", () => {
      if (this.going.at === "rest") setTimeout(() => void this.show("time", this.moment, false), 0);
    });
    passed(this.slider);
  }

  private button(name: string): HTMLElement {
    return one(`[data-do=${name}]`, this.place)!;
  }

  private press(key: HTMLElement | null): void {
    switch (key?.dataset.do) {
      case "play":
        return this.going.at === "rest" ? this.play(this.rate) : this.rest();
      case "slow":
        key.setAttribute("aria-pressed", String(this.rate === 1));
        if (this.going.at === "play") this.run(this.rate, this.going.until);
        return;
      case "cycle":
        return this.oneCycle();
      case "sound":
        key.setAttribute("aria-pressed", String(this.sound.toggle()));
    }
  }

  private get rate(): number {
    return this.button("slow").getAttribute("aria-pressed") === "true" ? 1 / slowness : 1;
  }

  private get end(): number {
    return Number(this.slider.max);
  }

  /** Plays the stop from its start. */
  start(): void {
    this.rest();
    this.moment = 0;
    this.play(this.rate);
  }

  /** Brings the stop to where something is along what figures run along; false if it does not run along that. */
  seek(runs: string, at: number): boolean {
    if (runs !== "time" && runs !== "distance") return false;
    this.rest();
    void this.show(runs, at);
    return true;
  }

  /** Shows where the stop is somewhere along what figures run along. */
  private async show(runs: string, at: number, moved = true): Promise<void> {
    this.begun ||= moved;
    if (runs === "time") this.moment = at;
    if (this.asked) return void (this.next = () => void this.show(runs, at, moved));
    this.asked = true;
    const reply = await this.host.about("frame", "\n" + runs, at).catch(() => "{}");
    this.asked = false;
    const frame: Partial<Frame> = JSON.parse(reply);
    if (frame.svg) this.picture(frame as Frame, moved);
    else this.rest();
    const follows = this.next;
    this.next = undefined;
    follows?.();
  }

  private picture(frame: Frame, cursors: boolean): void {
    if (this.going.at !== "play") this.moment = frame.time;
    put(this.drawing, frame.svg);
    this.slider.max = String(Number(frame.duration.toFixed(3)));
    this.slider.value = String(frame.time);
    this.slider.setAttribute("aria-valuetext", print(frame.time, 2) + "\u00a0" + say("s"));
    passed(this.slider);
    this.cycle = frame.cycle;
    this.button("cycle").hidden = !frame.cycle;
    this.sound.hear(this.going.at === "rest" ? 0 : frame.pulse, this.going.at === "rest" ? 0 : frame.skid);
    if (cursors) this.host.point(Object.fromEntries(frame.places.map((p) => [p.runs, p.at])));
  }

  private rest(): void {
    if (this.going.at === "stills") clearTimeout(this.going.timer);
    this.going = { at: "rest" };
    this.sound.hear(0, 0);
    this.button("play").textContent = say("Play");
    this.button("play").setAttribute("aria-pressed", "false");
  }

  private play(rate: number, until = Infinity): void {
    if (!this.begun || this.moment >= this.end - 0.001) this.moment = 0;
    this.begun = true;
    this.button("play").textContent = say("Pause");
    this.button("play").setAttribute("aria-pressed", "true");
    this.run(rate, until);
    void this.show("time", this.moment).then(() => {
      if (still.matches) return this.nextStill(rate * stillStep, until);
      this.run(rate, until);
      this.tick(performance.now());
    });
  }

  private run(rate: number, until: number): void {
    this.going = { at: "play", rate, until, from: performance.now() - (this.moment * 1000) / rate };
  }

  private tick(now: number): void {
    if (this.going.at !== "play") return;
    const { rate, from, until } = this.going;
    void this.show("time", Math.max(0, ((now - from) / 1000) * rate));
    if (this.moment >= Math.min(until, this.end - 0.001)) return this.rest();
    requestAnimationFrame((t) => this.tick(t));
  }

  private nextStill(step: number, until: number): void {
    if (this.going.at === "rest") return;
    void this.show("time", this.moment + step);
    if (this.moment >= Math.min(until, this.end - 0.001)) return this.rest();
    this.going = { at: "stills", timer: window.setTimeout(() => this.nextStill(step, until), 1000) };
  }

  /** One cycle of the controller, so slowly that it can be followed. */
  private oneCycle(): void {
    if (!this.cycle) return;
    this.rest();
    const { from, to } = this.cycle;
    this.begun = true;
    this.moment = from;
    this.play((to - from) / cycleLasts, to);
  }
}
