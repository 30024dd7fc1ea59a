// <gripleaf-explorer>: the calculator's first state is in the HTML already; this makes it answer to the hand.
import { fragment, states, write } from "./address";
import { all, one } from "./dom";
import { intake, type Log } from "./intake";
import { Aside } from "./aside";
import { calculators, measured, possible, type Module } from "./module";
import { linkForm, onGrid } from "./number";
import type { Answer, Complaint, Cursor, Reading } from "./answer";
import { isAnswer, type Reply } from "./reply";
import { passed, plate, results, show } from "./show";
import { Cursors } from "./cursor";
import { pairsOf, written } from "./query";
import { replay } from "./replay";
import { tool } from "./tools";
import { chosen, unitsChanged } from "./units";
import { say } from "./words";

const quietAfter = 700; // ms without a change until the summary is spoken
const tooLong = 250; // ms that a calculation may hold the page up
const oftenTooLong = 3; // times in a row, until the next ones go beside the page: one may be the device's hiccup
const silence = 20_000; // ms without a sign until a calculation beside the page is stopped
const young = 400; // ms after which a calculation beside the page is not waited for when the state changes
const settle = 250; // ms without a change until a long calculation begins
const pause = 120; // ms without a change until what can wait follows: the address, and figures out of sight

export class Explorer extends HTMLElement {
  /** The last good answer; none until the module has worked here. */
  answer: Answer | undefined;
  /** The answer that is held for comparison. */
  held: Answer | undefined;
  private log: Log | undefined; // it stays on the device, so the address does not hold it
  private earlier: Map<string, string> | undefined; // the state before there was a log
  private pairs = new Map<string, string>();
  private asked = 0;
  private long = false; // worked out beside the page
  private aside: Aside | undefined;
  private begun = 0; // when the calculation beside the page began; 0 while there is none
  private heavy = false; // the last one took long, so the next one waits until the hand rests
  private seen = new Set<string>(); // figures in the window or near it
  private due = new Set<string>(); // figures that show an earlier state, since nobody sees them
  private cursors: Cursors | undefined;
  private slow = 0; // calculations in a row that took too long
  private moving = false; // within one gesture: its first change makes an entry of the history
  private scheduled = false;
  private timers: Record<string, number> = {};
  private waiting: ((a: Answer) => void)[] = [];

  connectedCallback(): void {
    this.long = this.hasAttribute("data-long") || this.hasAttribute("data-own"); // nobody vouches that a site's own come to an end
    this.pairs = pairsOf(this.dataset.query!);
    if (!possible) return;
    for (const range of all<HTMLInputElement>(".dial-slider", this)) passed(range);
    this.addEventListener("input", (e) => this.onInput(e));
    this.addEventListener("change", (e) => this.onChange(e));
    this.addEventListener("keydown", (e) => this.onKey(e));
    this.addEventListener("click", (e) => {
      const button = (e.target as Element).closest<HTMLElement>("[data-do]");
      if (button) tool(this, button);
    });
    this.addEventListener("pointerdown", () => void this.prepare().catch(() => {}), { once: true });
    document.addEventListener(unitsChanged, () => this.work());
    this.cursors = new Cursors(this, this);
    replay(this);
    intake(this);
    new IntersectionObserver((seen, watch) => {
      if (!seen.some((s) => s.isIntersecting)) return;
      watch.disconnect();
      this.prepare().catch(() => this.unloaded());
    }, { rootMargin: "400px" }).observe(this);
    const watch = new IntersectionObserver((all) => this.watch(all), { rootMargin: "100px" });
    for (const figure of all(".plate", this)) watch.observe(figure);
    const state = states().get(this.id);
    if (state !== undefined) this.restore(state);
    else if (chosen()) this.work();
  }

  /** Takes a state: pairs as they stand in a link. */
  restore(pairs: string | undefined): void {
    this.pairs = pairs === undefined ? pairsOf(this.dataset.query!) : pairsOf("?" + pairs);
    this.work();
  }

  /** The query as it stands now, with the calculator's name. */
  get query(): string {
    const pairs = written(this.pairs);
    return this.dataset.calculator! + (pairs && "?" + pairs);
  }

  /** Loads what the explorer will be worked with. */
  private prepare(): Promise<unknown> {
    if (!this.long) return this.module.ready();
    this.helper();
    return this.module.loaded();
  }

  /** The worker of an explorer that is worked out beside the page. */
  private helper(): Aside {
    if (!this.aside || this.aside.over) this.aside = new Aside(this.module);
    return this.aside;
  }

  /** Asks something about the present state: beside the page if that is where it is worked out. */
  async about(call: string, rest = "", ...more: number[]): Promise<string> {
    const request = "calc:" + this.query + rest;
    if (this.long) return this.helper().ask(call, request, more);
    await this.module.ready();
    return this.module.atHand()!(call, request, ...more);
  }

  /** Says what figures show at places. */
  async read(places: Cursor[]): Promise<Reading[]> {
    return JSON.parse(await this.about("reading", places.map((p) => "\n" + p.figure + " " + p.at).join(""))).readings ?? [];
  }

  /** Puts the cursor of all figures that run along the given things, in SI. */
  point(at: Record<string, number>): void {
    this.cursors?.along(at);
  }

  private watch(changes: IntersectionObserverEntry[]): void {
    for (const change of changes) {
      const name = (change.target as HTMLElement).dataset.figure!;
      if (change.isIntersecting) this.seen.add(name);
      else this.seen.delete(name);
    }
    if ([...this.due].some((name) => this.seen.has(name))) void this.rest();
  }

  /** Figures, and what comes with the query. */
  private wanted(figures: Iterable<string>): string {
    return "\n" + [...figures].join(" ") + (this.log ? "\n" + this.log.text : "");
  }

  /** Draws the figures that are due. */
  private async rest(): Promise<void> {
    const turn = this.asked;
    const reply: Reply = JSON.parse(await this.about("work", this.wanted(this.due)));
    if (turn !== this.asked || !isAnswer(reply) || !this.answer) return;
    for (const figure of reply.plates) {
      plate(this, figure);
      this.due.delete(figure.name);
    }
    this.answer.plates.push(...reply.plates);
    this.complete();
  }

  /** Tells those who wait for the whole answer, once it is there. */
  private complete(): void {
    if (this.due.size === 0) for (const resolve of this.waiting.splice(0)) resolve(this.answer!);
  }

  private get module(): Module {
    return this.log && this.dataset.measured ? measured(this.dataset) : calculators;
  }

  /** Takes a log, whose numbers stand in place of those that were set, or lets go of it and goes back to those. */
  bring(log: Log | undefined): void {
    if (log) this.earlier ??= new Map(this.pairs);
    else if (this.earlier) {
      this.pairs = this.earlier;
      this.earlier = undefined;
      if (states().has(this.id)) write(this.id, written(this.pairs), true);
    }
    this.log = log;
    this.answer = undefined;
    this.halt(); // another module may have to work this out
    this.dispatchEvent(new CustomEvent("gripleaf-log", { detail: log?.name }));
    this.work();
  }

  /** The link to this state on this page. */
  get link(): string {
    return location.href.replace(/#.*/, "") + fragment(this.id, written(this.pairs));
  }

  /** Back to the state that the lesson shows. */
  reset(): void {
    this.earlier = this.pairs = pairsOf(this.dataset.query!);
    this.bring(undefined);
    write(this.id, null, true);
  }

  /** Gives the answer to the present state, working it out first if need be. */
  whole(): Promise<Answer> {
    const current = this.answer?.query === this.query;
    if (current && this.due.size === 0) return Promise.resolve(this.answer!);
    return new Promise((resolve) => {
      this.waiting.push(resolve);
      if (current) void this.rest();
      else this.work();
    });
  }

  /** Moves an input by so many of its steps. */
  nudge(name: string, steps: number): void {
    const row = one(`.dial[data-input="${name}"]`, this)!;
    if (row.hasAttribute("data-read")) return;
    const pick = one<HTMLSelectElement>("select", row);
    if (pick) {
      pick.selectedIndex = Math.max(0, Math.min(pick.options.length - 1, pick.selectedIndex + Math.sign(steps)));
      return this.put(name, pick.value, row.dataset.clears);
    }
    const range = one<HTMLInputElement>(".dial-slider", row);
    if (!range) return;
    const to = Math.max(Number(range.min), Math.min(Number(range.max), Number(range.value) + steps * Number(range.step)));
    this.put(name, onGrid(to, Number(range.step)) + unitOf(row));
  }

  private onInput(e: Event): void {
    const range = e.target as HTMLInputElement;
    const row = range.closest<HTMLElement>(".dial");
    if (!row) return;
    if (range.type !== "range") {
      if (range.type === "text") range.dataset.typing = "";
      return;
    }
    passed(range);
    this.put(row.dataset.input!, range.value + unitOf(row));
  }

  private onChange(e: Event): void {
    const field = e.target as HTMLInputElement | HTMLSelectElement;
    const row = field.closest<HTMLElement>(".dial");
    if (!row) return;
    if (field.type === "text") this.typed(row, field as HTMLInputElement);
    else if (field instanceof HTMLSelectElement) this.put(row.dataset.input!, field.value, row.dataset.clears);
  }

  private typed(row: HTMLElement, field: HTMLInputElement): void {
    delete field.dataset.typing;
    const text = field.dataset.unit === undefined ? field.value.trim() : linkForm(field.value);
    const bare = /^[-+]?[\d.]+(e[-+]?\d+)?$/i.test(text);
    this.put(row.dataset.input!, bare ? text + unitOf(row) : text);
  }

  private onKey(e: KeyboardEvent): void {
    const field = e.target as HTMLInputElement;
    const row = field.closest<HTMLElement>(".dial");
    if (!row || field.type !== "text") return;
    const steps = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[e.key];
    if (e.key === "Enter") this.typed(row, field);
    else if (steps && one(".dial-slider", row)) {
      e.preventDefault();
      if (field.dataset.typing !== undefined) this.typed(row, field);
      this.nudge(row.dataset.input!, steps);
    }
  }

  /** Gives an input a value; empty takes it away. What a preset sets anew loses its own value. */
  private put(name: string, value: string, clears = ""): void {
    for (const other of clears.split(" ")) this.pairs.delete(other);
    if (value === "") this.pairs.delete(name);
    else this.pairs.set(name, value);
    this.schedule();
  }

  /** Works once a frame, however often a slider reports. */
  private schedule(): void {
    if (this.scheduled) return;
    this.scheduled = true;
    requestAnimationFrame(() => {
      this.scheduled = false;
      this.work();
      this.later("address", pause, () => {
        write(this.id, written(this.pairs), !this.moving);
        this.moving = true;
      });
      this.later("gesture", 1000, () => (this.moving = false));
    });
  }

  private later(name: string, ms: number, then: () => void): void {
    clearTimeout(this.timers[name]);
    this.timers[name] = window.setTimeout(then, ms);
  }

  /** Works the present state out and shows it. */
  private work(): void {
    const turn = ++this.asked;
    if (this.long) return this.soonBeside();
    if (this.module.atHand()) return this.workHere();
    this.module.ready().then(() => turn === this.asked && this.workHere(), () => turn === this.asked && this.unloaded());
  }

  private workHere(): void {
    const from = performance.now();
    try {
      this.take(JSON.parse(this.module.atHand()!("work", "calc:" + this.query + this.wanted(this.seen))));
    } catch (e) {
      this.module.drop();
      this.trap(e instanceof Error ? e.message : String(e));
      return;
    }
    this.slow = performance.now() - from > tooLong ? this.slow + 1 : 0;
    if (this.slow === oftenTooLong) {
      this.long = true;
      this.word(say("This takes a while on your device, so from now on it is worked out beside the page."));
    }
  }

  /**
   * Begins beside the page. A calculation that is under way is let end if it is young: the newest state follows it at
   * once. An old one is given up, and the next one waits until the hand rests.
   */
  private soonBeside(): void {
    if (this.begun) {
      if (performance.now() - this.begun < young) return;
      this.halt();
      this.heavy = true;
    }
    this.later("settle", this.heavy ? settle : 0, () => this.workBeside());
  }

  private workBeside(): void {
    const row = one(".bench-run", this)!;
    const bar = one<HTMLProgressElement>("progress", row)!;
    const turn = this.asked;
    const begun = (this.begun = performance.now());
    const sign = () => this.later("silence", silence, () => (this.halt(), this.silent()));
    this.later("row", tooLong, () => (row.hidden = false)); // a short one needs no progress
    sign();
    bar.removeAttribute("value");
    const partial = (n: number, total: number, reply: string): boolean => {
      if (begun !== this.begun) return false;
      sign();
      bar.max = total;
      bar.value = n;
      if (turn === this.asked) this.take(JSON.parse(reply), true);
      return true;
    };
    const ended = (then: () => void) => {
      if (begun !== this.begun) return; // it was given up
      this.rested();
      this.heavy = performance.now() - begun > young;
      then();
    };
    const work = () => this.helper().ask("work", "calc:" + this.query + this.wanted(this.seen), [], partial);
    this.module.loaded().then(
      () => work().then((reply) => ended(() => this.took(turn, JSON.parse(reply))), (e: Error) => ended(() => this.trap(e.message))),
      () => ended(() => this.unloaded()),
    );
  }

  /** Shows what came from beside the page. If the state has changed since, it is of results only, and the newest follows. */
  private took(turn: number, reply: Reply): void {
    if (turn === this.asked) return this.take(reply);
    if (isAnswer(reply)) results(this, reply);
    this.soonBeside();
  }

  /** Nothing is worked out beside the page now. */
  private rested(): void {
    this.begun = 0;
    clearTimeout(this.timers.silence);
    clearTimeout(this.timers.row);
    one(".bench-run", this)!.hidden = true;
  }

  /** Ends what is worked out beside the page. */
  private halt(): void {
    this.rested();
    this.aside?.end();
    this.aside = undefined;
  }

  /** Stops a calculation beside the page; what it has shown so far stays. */
  stop(): void {
    this.halt();
    this.word(say("Stopped. What you see is as far as it came."));
  }

  private unloaded(): void {
    this.word(say("The calculator could not be loaded; what you see is its first state."), true);
  }

  private silent(): void {
    this.toggleAttribute("data-stale", true);
    this.word(say("Stopped: for {} seconds the calculator gave no sign. The last good result is still shown.", String(silence / 1000)), true);
  }

  private trap(message: string): void {
    this.toggleAttribute("data-stale", true);
    this.word(say("The calculator stumbled over this state and was started anew ({}). The last good result is still shown.", message), true);
  }

  private take(reply: Reply, soFar = false): void {
    this.faults(isAnswer(reply) ? [] : reply.faults);
    if (!isAnswer(reply)) return;
    show(this, reply);
    this.toggleAttribute("data-stale", false);
    if (soFar) return;
    this.answer = reply;
    this.pairs = pairsOf(reply.query);
    this.later("speak", quietAfter, () => (one(".bench-speech", this)!.textContent = reply.summary));
    const there = reply.plates.map((f) => f.name);
    this.due = new Set(all(".plate", this).map((p) => p.dataset.figure!).filter((name) => !there.includes(name)));
    if (this.due.size) this.later("rest", this.waiting.length ? 0 : pause, () => void this.rest());
    this.complete();
    this.dispatchEvent(new CustomEvent("gripleaf-answer"));
  }

  /** Shows each fault at its field, and those without one above all fields. */
  private faults(list: Complaint[]): void {
    for (const row of all(".dial[data-fault]", this)) {
      delete row.dataset.fault;
      one(".dial-fault", row)?.remove();
      one("input, select", row)!.removeAttribute("aria-invalid");
    }
    this.toggleAttribute("data-stale", list.length > 0);
    const elsewhere: string[] = [];
    for (const fault of list) {
      const row = one(`.dial[data-input="${CSS.escape(fault.input)}"]`, this);
      if (row) atField(row, fault);
      else elsewhere.push(fault.text + (fault.hint && ": " + fault.hint));
    }
    this.word(elsewhere.join("\n"), true);
    if (elsewhere.length > 0) one(".bench-speech", this)!.textContent = elsewhere.join("; ");
  }

  /** Says something above the instrument; nothing takes it away again. */
  word(text: string, bad = false): void {
    const place = one(".bench-word", this)!;
    place.hidden = text === "";
    place.textContent = text;
    place.classList.toggle("bad", bad);
  }
}

function atField(row: HTMLElement, fault: Complaint): void {
  row.dataset.fault = "";
  const field = one("input, select", row)!;
  field.setAttribute("aria-invalid", "true");
  const p = document.createElement("p");
  p.className = "dial-fault";
  p.setAttribute("role", "alert");
  p.textContent = fault.text.replace(row.dataset.input + ": ", "");
  if (fault.hint) p.append(Object.assign(document.createElement("small"), { textContent: fault.hint }));
  row.append(p);
}

const unitOf = (row: HTMLElement): string => one<HTMLInputElement>(".dial-field input", row)!.dataset.unit ?? "";

/** Follows the history, and links within the page to a state of one of its explorers. */
export function followAddress(): void {
  const read = () => {
    const now = states();
    for (const explorer of all<Explorer>("gripleaf-explorer")) {
      const state = now.get(explorer.id);
      if (state !== undefined || explorer.answer) explorer.restore(state);
    }
  };
  addEventListener("popstate", read);
  addEventListener("hashchange", read);
  document.addEventListener("click", (e) => {
    const link = (e.target as Element).closest<HTMLAnchorElement>('a[href*="#"]');
    if (!link || e.ctrlKey || e.metaKey || e.shiftKey) return;
    const [page, hash] = link.href.split("#");
    const mark = hash.indexOf("?");
    const explorer = mark > 0 && page === location.href.replace(/#.*/, "") && document.getElementById(hash.slice(0, mark));
    if (!(explorer instanceof Explorer)) return;
    e.preventDefault();
    write(explorer.id, hash.slice(mark + 1), true);
    explorer.restore(hash.slice(mark + 1));
    explorer.scrollIntoView({ block: "start", behavior: "smooth" });
    one<HTMLElement>("input:not([type=range]), select", explorer)?.focus({ preventScroll: true });
  });
}

/** Goes to the explorer that the address names, which is no element's id for the browser. */
export function goToState(): void {
  const first = [...states().keys()][0];
  if (first) document.getElementById(first)?.scrollIntoView({ block: "start" });
}
