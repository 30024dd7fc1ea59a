// <gripleaf-explorer>: the calculator's first state is in the HTML already; this makes it answer to the hand.
import { fragment, states, write } from "./address";
import type { Answer, Cursor, Reading } from "./answer";
import { Clock } from "./clock";
import { Cursors } from "./cursor";
import { dials, faults, nudge } from "./dials";
import { all, one } from "./dom";
import { handles } from "./handles";
import { intake, type Log } from "./intake";
import { measured, moduleOf, possible, type Module } from "./module";
import { pairsOf, written } from "./query";
import { isAnswer, type Reply } from "./reply";
import { happened, kept, plate, results, show } from "./show";
import { Timers } from "./timers";
import { tool } from "./tools";
import { chosen, unitsChanged } from "./units";
import { say } from "./words";
import { Working, silence, type End, type State } from "./working";

const quietAfter = 700; // ms without a change until the summary is spoken
const pause = 120; // ms without a change until what can wait follows: the address, figures out of sight, and bands
const gesture = 1000; // ms without a change until the next one makes an entry of the history

/** How many states stand beside each other at most. */
export const mostStates = 3;

/** Told to an explorer when its clock has come somewhere. */
export const pointed = "gripleaf-pointed";

/** What the reader has bet: an output and its value in SI. */
export interface Bet {
  output: string;
  value: number;
}

export class Explorer extends HTMLElement {
  /** The last good answer; none until the module has worked here. */
  answer: Answer | undefined;
  /** The states beside the present one, as pairs in a link. */
  kept: string[] = [];
  private bets: Bet[] = [];
  private log: Log | undefined; // it stays on the device, so the address does not hold it
  private earlier: Map<string, string> | undefined; // the state before there was a log
  private brought = false; // a log has just come and is not worked out yet
  private pairs = new Map<string, string>();
  private working!: Working;
  private seen = new Set<string>(); // figures in the window or near it
  private due = new Set<string>(); // figures that show an earlier state, since nobody sees them
  private cursors: Cursors | undefined;
  private clock: Clock | undefined;
  private moving = false; // within one gesture: its first change makes an entry of the history
  private resting = false; // in this frame it has been worked out already
  private late = false; // and something has been set since
  private timers = new Timers();
  private waiting: ((a: Answer) => void)[] = [];
  private put = (name: string, value: string, clears = ""): void => {
    for (const other of clears.split(" ")) this.pairs.delete(other);
    if (value === "") this.pairs.delete(name);
    else this.pairs.set(name, value);
    this.schedule();
  };

  connectedCallback(): void {
    this.pairs = pairsOf(this.dataset.query!);
    this.kept = this.begins;
    if (!possible) return;
    // Nobody vouches that a site's own calculators come to an end.
    this.working = new Working(this, this.hasAttribute("data-long") || this.hasAttribute("data-own"));
    dials(this, this.put);
    handles(this, this.put);
    this.addEventListener("click", (e) => {
      const button = (e.target as Element).closest<HTMLElement>("[data-do]");
      if (button) tool(this, button);
    });
    this.addEventListener("pointerdown", () => void this.working.prepare().catch(() => {}), { once: true });
    document.addEventListener(unitsChanged, () => this.renew());
    this.cursors = new Cursors(this, this);
    if (one(".replay", this)) this.clock = new Clock(this);
    intake(this);
    this.whenNear();
    const state = states().get(this.id);
    if (state !== undefined) this.restore(state);
    else if (chosen()) this.renew();
  }

  private get begins(): string[] {
    return this.dataset.begins?.split(" ") ?? [];
  }

  private whenNear(): void {
    new IntersectionObserver((seen, watch) => {
      if (!seen.some((s) => s.isIntersecting)) return;
      watch.disconnect();
      this.working.prepare().catch(() => this.ended({ why: "unloaded" }));
    }, { rootMargin: "400px" }).observe(this);
    const watch = new IntersectionObserver((changes) => this.watch(changes), { rootMargin: "100px" });
    for (const figure of all(".plate", this)) watch.observe(figure);
  }

  /** Takes states: pairs as they stand in a link, the present ones first; undefined is what the page shows at first. */
  restore(list: string[] | undefined): void {
    this.pairs = list ? pairsOf("?" + list[0]) : pairsOf(this.dataset.query!);
    this.kept = list ? list.slice(1, mostStates) : this.begins;
    this.renew();
  }

  private named(pairs: string): string {
    return this.dataset.calculator! + (pairs && "?" + pairs);
  }

  /** The query as it stands now, with the calculator's name. */
  get query(): string {
    return this.named(written(this.pairs));
  }

  /** The present state, those beside it, and what was bet, as the module takes them. */
  private get view(): string {
    const beside = this.log ? [] : this.kept.map((pairs) => this.named(written(pairsOf("?" + pairs))));
    const bets = this.bets.map((b) => "bet:" + b.output + "=" + b.value);
    return ["calc:" + this.query, ...beside, ...bets].join(" ");
  }

  /** Asks something about the present state. */
  about(call: string, rest = "", ...more: number[]): Promise<string> {
    return this.working.ask(call, this.view + rest, ...more);
  }

  /** Says what figures show at places. */
  async read(places: Cursor[]): Promise<Reading[]> {
    return JSON.parse(await this.about("reading", places.map((p) => "\n" + p.figure + " " + p.at).join(""))).readings ?? [];
  }

  /** Puts the cursor of all figures that run along the given things, in SI. */
  point(at: Record<string, number>): void {
    this.cursors?.along(at);
    this.dispatchEvent(new CustomEvent(pointed, { detail: at }));
  }

  /** Brings the clock to where the reader points along something; false if there is none that can go there. */
  seek(runs: string, at: number): boolean {
    return this.clock?.seek(runs, at) ?? false;
  }

  private watch(changes: IntersectionObserverEntry[]): void {
    for (const change of changes) {
      const name = (change.target as HTMLElement).dataset.figure!;
      if (change.isIntersecting) this.seen.add(name);
      else this.seen.delete(name);
    }
    if ([...this.due].some((name) => this.seen.has(name))) void this.rest();
  }

  get module(): Module {
    return this.log && this.dataset.measured ? measured(this.dataset) : moduleOf(this.dataset.calculator!);
  }

  request(): string {
    return this.view + this.wanted(this.seen);
  }

  /** Figures, and what comes with the query. */
  private wanted(figures: Iterable<string>): string {
    return "\n" + [...figures].join(" ") + (this.log ? "\n" + this.log.text : "");
  }

  /** Draws the figures that are due, and tells what a quick answer has left out. */
  private async rest(): Promise<void> {
    const asked = this.view;
    const reply: Reply = JSON.parse(await this.about("work", this.wanted(this.due)));
    if (asked !== this.view || !isAnswer(reply) || !this.answer) return;
    if (!this.answer.whole) {
      results(this, reply);
      kept(this, reply);
      happened(this, reply);
      this.answer = { ...reply, plates: this.answer.plates };
    }
    for (const figure of reply.plates) {
      plate(this, figure);
      this.due.delete(figure.name);
    }
    const fresh = new Set(reply.plates.map((p) => p.name));
    this.answer.plates = [...this.answer.plates.filter((p) => !fresh.has(p.name)), ...reply.plates];
    this.complete();
  }

  /** Tells those who wait for the whole answer, once it is there. */
  private complete(): void {
    if (this.due.size === 0 && this.answer!.whole) for (const resolve of this.waiting.splice(0)) resolve(this.answer!);
  }

  /** Takes a log, whose numbers stand in place of those that were set, or lets go of it and goes back to those. */
  bring(log: Log | undefined): void {
    if (log) this.earlier ??= new Map(this.pairs);
    else if (this.earlier) {
      this.pairs = this.earlier;
      this.earlier = undefined;
      if (states().has(this.id)) write(this.id, this.list, true);
    }
    this.log = log;
    this.brought = log !== undefined;
    this.answer = undefined;
    this.working.halt(); // another module may have to work this out
    this.dispatchEvent(new CustomEvent("gripleaf-log", { detail: log?.name }));
    this.renew();
  }

  /** All states as the address has them. */
  private get list(): string[] {
    return [written(this.pairs), ...this.kept];
  }

  /** The link to these states on this page. */
  get link(): string {
    return location.href.replace(/#.*/, "") + fragment(this.id, this.list);
  }

  /** Keeps the present state beside those that follow. */
  keep(): void {
    const now = written(this.pairs);
    if (this.kept.length < mostStates - 1 && !this.kept.includes(now)) this.kept = [...this.kept, now];
    this.changed();
  }

  /** Lets go of a state that was kept. */
  drop(index: number): void {
    this.kept = this.kept.filter((_, i) => i !== index);
    this.changed();
  }

  private changed(): void {
    write(this.id, this.list, true);
    this.renew();
  }

  /** Is closed until the reader has said what they expect. */
  get closed(): boolean {
    return this.hasAttribute("data-closed");
  }

  open(): void {
    this.removeAttribute("data-closed");
  }

  /** Takes what the reader expects; it is drawn into the figures. */
  bet(bets: Bet[]): void {
    this.bets = bets;
    this.renew();
  }

  /** Shows the stop from its start. */
  ride(): void {
    void this.whole().then(() => this.clock?.start());
  }

  /** Back to the state that the lesson shows. */
  reset(): void {
    this.earlier = this.pairs = pairsOf(this.dataset.query!);
    this.kept = this.begins;
    this.bring(undefined);
    write(this.id, null, true);
  }

  /** Gives the answer to the present state, working it out first if need be. */
  whole(): Promise<Answer> {
    const current = this.working.state === "shown" && this.answer;
    if (current && this.due.size === 0 && current.whole) return Promise.resolve(current);
    return new Promise((resolve) => {
      this.waiting.push(resolve);
      if (current) void this.rest();
      else this.renew();
    });
  }

  /** Moves an input by so many of its steps. */
  nudge(name: string, steps: number): void {
    nudge(this, name, steps, this.put);
  }

  /** Works at once, and then once a frame, however often a slider reports. */
  private schedule(): void {
    if (this.resting) return void (this.late = true);
    this.resting = true;
    this.late = false;
    requestAnimationFrame(() => {
      this.resting = false;
      if (this.late) this.schedule();
    });
    this.renew();
    this.timers.later("address", pause, () => {
      write(this.id, this.list, !this.moving);
      this.moving = true;
    });
    this.timers.later("gesture", gesture, () => (this.moving = false));
  }

  private renew(): void {
    this.timers.never("rest");
    this.working.renew();
  }

  /** Stops a calculation beside the page. */
  stop(): void {
    this.working.stop();
  }

  take(text: string, soFar: boolean, older: boolean): void {
    const reply: Reply = JSON.parse(text);
    if (older) {
      if (isAnswer(reply)) results(this, reply); // what was set since stays as it is
      return;
    }
    this.complain(isAnswer(reply) ? [] : reply.faults);
    if (!isAnswer(reply)) return;
    show(this, reply);
    if (!soFar) this.settle(reply);
  }

  private settle(answer: Answer): void {
    this.answer = answer;
    this.pairs = pairsOf(answer.query);
    kept(this, answer);
    happened(this, answer);
    this.timers.later("speak", quietAfter, () => (one(".explorer-speech", this)!.textContent = (answer.summary + " " + answer.happened).trim()));
    const there = answer.whole ? answer.plates.map((f) => f.name) : [];
    this.due = new Set(all(".plate", this).map((p) => p.dataset.figure!).filter((name) => !there.includes(name)));
    if (this.due.size || !answer.whole) this.timers.later("rest", this.waiting.length ? 0 : pause, () => void this.rest());
    this.complete();
    this.dispatchEvent(new CustomEvent("gripleaf-answer"));
  }

  entered(state: State): void {
    this.dataset.state = state;
    this.toggleAttribute("data-stale", state === "refused" || state === "ended" || state === "loading");
    one(".explorer-frame", this)!.setAttribute("aria-busy", String(state === "loading" || state === "waiting" || state === "working"));
    if (state === "loading") this.loading();
    else if (state !== "working") this.progress(undefined, -1);
  }

  /** Says how much of the module is here while it is waited for. */
  private loading(): void {
    const { got, size } = this.module.progress;
    this.far(say("loading, {}", size ? say("{} of {}", megabytes(got), megabytes(size)) : megabytes(got)));
    this.progress(size ? got : undefined, size);
    if (this.working.state === "loading") this.timers.later("loading", 200, () => this.working.state === "loading" && this.loading());
  }

  private far(text: string): void {
    one(".explorer-far", this)!.textContent = text;
  }

  progress(done: number | undefined, total: number): void {
    const row = one(".explorer-run", this)!;
    const bar = one<HTMLProgressElement>("progress", row)!;
    row.hidden = total < 0;
    if (total <= 0 || done === undefined) return bar.removeAttribute("value");
    bar.max = total;
    bar.value = done;
    if (this.working.state !== "loading") this.far("");
  }

  moved(): void {
    this.word(say("This takes a while on your device, so from now on it is worked out beside the page."));
  }

  ended(end: End): void {
    this.progress(undefined, -1);
    switch (end.why) {
      case "stopped":
        this.toggleAttribute("data-stale", false);
        return this.word(say("Stopped. What you see is as far as it came."));
      case "unloaded":
        return this.word(say("The calculator could not be loaded; what you see is its first state."), true);
      case "silent":
        return this.word(say("Stopped: for {} seconds the calculator gave no sign. The last good result is still shown.", String(silence / 1000)), true);
      case "trap":
        return this.word(say("The calculator stumbled over this state and was started anew ({}). The last good result is still shown.", end.message), true);
    }
  }

  /** Tells what is wrong: at the fields, and above all of them what belongs to none. */
  private complain(list: Parameters<typeof faults>[1]): void {
    const elsewhere = faults(this, list).map((fault) => fault.text + (fault.hint && ": " + fault.hint));
    if (list.length > 0) this.working.refused();
    // What a log does not say the reader can say at once: its unit, for one.
    if (this.brought) one<HTMLElement>(".dial[data-fault] :is(input, select)", this)?.focus();
    this.brought = false;
    this.word(elsewhere.join("\n"), true);
    if (elsewhere.length > 0) one(".explorer-speech", this)!.textContent = elsewhere.join("; ");
  }

  /** Says something above the instrument; nothing takes it away again. */
  word(text: string, bad = false): void {
    const place = one(".explorer-word", this)!;
    place.hidden = text === "";
    place.textContent = text;
    place.classList.toggle("bad", bad);
  }
}

const megabytes = (bytes: number): string => (bytes / 1e6).toFixed(1) + "\u00a0MB";

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
    explorer.open();
    const list = [hash.slice(mark + 1)];
    write(explorer.id, list, true);
    explorer.restore(list);
    explorer.scrollIntoView({ block: "start", behavior: "smooth" });
    one<HTMLElement>("input:not([type=range]), select", explorer)?.focus({ preventScroll: true });
  });
}

/** Goes to the explorer that the address names, which is no element's id for the browser. */
export function goToState(): void {
  const first = [...states().keys()][0];
  if (first) document.getElementById(first)?.scrollIntoView({ block: "start" });
}
