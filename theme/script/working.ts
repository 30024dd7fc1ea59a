// How an explorer's numbers are worked out: in the page, or beside it in a worker. A machine of few states.
import { Aside } from "./aside";
import type { Module } from "./module";
import { Timers } from "./timers";

/** How what is shown stands to what is set. */
export type State =
  | "printed" // as the builder wrote it: nothing was asked yet
  | "loading" // the module is on its way; what is shown is older than what is set
  | "waiting" // it will be worked out when the hand rests
  | "working" // it is being worked out beside the page
  | "shown" // what is shown belongs to what is set
  | "refused" // what is set is no state that works out; the last one that does is shown
  | "ended"; // it was stopped, or the calculator stumbled; the last good one is shown

/** Why a calculation has ended without an answer. */
export type End = { why: "unloaded" | "stopped" | "silent" } | { why: "trap"; message: string };

/** Whose numbers they are. */
interface Host {
  readonly module: Module;
  /** The request for the present state. */
  request(): string;
  /** Takes a reply; so far means that more is to come. older means that the state has changed since it was asked for. */
  take(reply: string, soFar: boolean, older: boolean): void;
  /** Is told each change of the machine's state. */
  entered(state: State): void;
  ended(end: End): void;
  /** Is told how far a calculation beside the page is. */
  progress(done: number | undefined, total: number): void;
  /** From now on it is worked out beside the page. */
  moved(): void;
}

const tooLong = 250; // ms that a calculation may hold the page up
const oftenTooLong = 3; // times in a row, until the next ones go beside the page: one may be the device's hiccup
export const silence = 20_000; // ms without a sign until a calculation beside the page is stopped
const young = 400; // ms after which a calculation beside the page is not waited for when the state changes
const settle = 250; // ms without a change until a long calculation begins

export class Working {
  state: State = "printed";
  private turn = 0; // counts what was set
  private aside: Aside | undefined;
  private begun = 0; // when the calculation beside the page began
  private heavy = false; // the last one took long, so the next one waits until the hand rests
  private slow = 0; // calculations in a row that took too long
  private timers = new Timers();

  /** beside says that it is worked out beside the page from the start. */
  constructor(private host: Host, private beside: boolean) {}

  private enter(state: State): void {
    if (this.state === state) return;
    this.state = state;
    this.host.entered(state);
  }

  /** Loads what it will be worked out with. */
  prepare(): Promise<unknown> {
    if (!this.beside) return this.host.module.ready();
    this.helper();
    return this.host.module.loaded();
  }

  /** Asks something: beside the page if that is where it is worked out. */
  async ask(call: string, request: string, ...more: number[]): Promise<string> {
    if (this.beside) return this.helper().ask(call, request, more);
    await this.host.module.ready();
    return this.host.module.atHand()!(call, request, ...more);
  }

  /** Works out what is set now. */
  renew(): void {
    const turn = ++this.turn;
    if (this.beside) return this.soon();
    if (this.host.module.atHand()) return this.here();
    this.enter("loading");
    this.host.module.ready().then(() => turn === this.turn && this.here(), () => turn === this.turn && this.end({ why: "unloaded" }));
  }

  /** What was set is no state that works out. */
  refused(): void {
    this.enter("refused");
  }

  /** Lets go of what is under way, since another module may have to work the next state out. */
  halt(): void {
    this.rested();
    this.aside?.end();
    this.aside = undefined;
  }

  /** Stops a calculation beside the page; what it has shown so far stays. */
  stop(): void {
    this.halt();
    this.end({ why: "stopped" });
  }

  private end(end: End): void {
    this.enter("ended");
    this.host.ended(end);
  }

  /** The worker of an explorer that is worked out beside the page. */
  private helper(): Aside {
    if (!this.aside || this.aside.over) this.aside = new Aside(this.host.module);
    return this.aside;
  }

  private here(): void {
    const from = performance.now();
    try {
      this.finish(this.host.module.atHand()!("first", this.host.request()), false);
    } catch (e) {
      this.host.module.drop();
      return this.end({ why: "trap", message: e instanceof Error ? e.message : String(e) });
    }
    this.slow = performance.now() - from > tooLong ? this.slow + 1 : 0;
    if (this.slow === oftenTooLong) {
      this.beside = true;
      this.host.moved();
    }
  }

  private finish(reply: string, older: boolean): void {
    if (!older) this.enter("shown");
    this.host.take(reply, false, older);
  }

  /**
   * Begins beside the page. A calculation that is under way is let end if it is young: the newest state follows it at
   * once. An old one is given up, and the next one waits until the hand rests.
   */
  private soon(): void {
    if (this.state === "working" && this.begun) {
      if (performance.now() - this.begun < young) return;
      this.halt();
      this.heavy = true;
    }
    this.enter(this.aside?.ready ? "waiting" : "loading");
    this.timers.later("settle", this.heavy ? settle : 0, () => this.start());
  }

  private start(): void {
    const { turn } = this;
    const begun = (this.begun = performance.now());
    const sign = () => this.timers.later("silence", silence, () => (this.halt(), this.end({ why: "silent" })));
    this.timers.later("progress", tooLong, () => this.host.progress(undefined, 0)); // a short one needs none
    sign();
    const partial = (done: number, total: number, reply: string): boolean => {
      if (begun !== this.begun) return false;
      sign();
      this.host.progress(done, total);
      if (turn === this.turn) this.host.take(reply, true, false);
      return true;
    };
    const ended = (then: () => void) => {
      if (begun !== this.begun) return; // it was given up
      this.rested();
      this.heavy = performance.now() - begun > young;
      then();
    };
    const loaded = () => {
      if (begun !== this.begun) return;
      this.enter("working");
      this.helper().ask("first", this.host.request(), [], partial).then(
        (reply) => ended(() => this.came(turn, reply)),
        (e: Error) => ended(() => this.end({ why: "trap", message: e.message })),
      );
    };
    this.host.module.loaded().then(loaded, () => ended(() => this.end({ why: "unloaded" })));
  }

  /** Hands on what came from beside the page. If the state has changed since, the newest follows. */
  private came(turn: number, reply: string): void {
    this.finish(reply, turn !== this.turn);
    if (turn !== this.turn) this.soon();
  }

  /** Nothing is worked out beside the page now. */
  private rested(): void {
    this.begun = 0;
    this.timers.never("silence", "progress");
    this.host.progress(undefined, -1);
  }
}
