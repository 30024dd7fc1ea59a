// A worker with an engine of its own, for calculations that would hold the page up. It stays, and answers in turn.
import { startEngine, workerBody, type Partial } from "./engine";
import type { Module } from "./module";
import { reader } from "./units";

interface Turn {
  resolve(reply: string): void;
  reject(why: Error): void;
  partial?: Partial;
}

export class Aside {
  /** It has ended, by a trap or because it was stopped; another one has to be started. */
  over = false;
  /** Its engine is there. */
  ready = false;
  private turns: Turn[] = [];
  private worker: Worker | undefined;
  private started: Promise<unknown>;
  private told = "";
  private home = URL.createObjectURL(new Blob(["(" + workerBody + ")(" + startEngine + ")"], { type: "text/javascript" }));

  constructor(module: Module) {
    this.started = module.loaded().then((m) => this.over || this.start(m)).catch((e) => this.end(String(e)));
  }

  private start(module: WebAssembly.Module): void {
    const worker = (this.worker = new Worker(this.home));
    worker.onerror = (e) => this.end(e.message);
    worker.onmessage = ({ data }) => {
      const turn = this.turns[0];
      if (data.trap !== undefined) this.end(data.trap);
      else if (data.total) turn.partial?.(data.done, data.total, data.reply);
      else this.turns.shift()!.resolve(data.reply);
    };
    worker.postMessage({ module });
    this.ready = true;
  }

  /** Asks the engine, after all that was asked before. */
  ask(call: string, request: string, more: number[] = [], partial?: Partial): Promise<string> {
    if (this.told !== reader()) this.put("reader", (this.told = reader()), []).catch(() => {}); // the question itself fails as well
    return this.put(call, request, more, partial);
  }

  private put(call: string, request: string, more: number[], partial?: Partial): Promise<string> {
    return new Promise((resolve, reject) => {
      if (this.over) return reject(new Error("stopped"));
      this.turns.push({ resolve, reject, partial });
      void this.started.then(() => this.worker?.postMessage({ call, request, more }));
    });
  }

  /** Ends it, whatever it is at. */
  end(why = "stopped"): void {
    this.over = true;
    this.worker?.terminate();
    this.worker = undefined;
    URL.revokeObjectURL(this.home);
    for (const turn of this.turns.splice(0)) turn.reject(new Error(why));
  }
}
