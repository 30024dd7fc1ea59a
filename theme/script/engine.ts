// The module's host: just enough of WASI preview 1 for a Go reactor that computes and never touches a file.

/**
 * What the module is asked through: a call's name, its request, and numbers that go with it; gives the reply's JSON.
 * "work" takes a query and the figures wanted, "frame" a query and a moment of its replay, "reading" a query and places
 * on its figures, "reader" who reads. One call at a time; a call that traps leaves the engine unusable.
 */
export type Engine = (call: string, request: string, ...more: number[]) => string;

/** Hears how far a long calculation is; returns false to stop it. */
export type Partial = (done: number, total: number, reply: string) => boolean;

/**
 * Starts the module. The function's own text is sent to a worker as well, so it uses nothing from around it.
 */
export async function startEngine(module: WebAssembly.Module, partial: Partial): Promise<Engine> {
  const unsupported = 52; // ENOSYS
  let memory: WebAssembly.Memory;
  let last = ""; // what the module wrote to its error stream: the reason of a panic
  const decoder = new TextDecoder();
  const view = () => new DataView(memory.buffer);
  const text = (at: number, length: number) => decoder.decode(new Uint8Array(memory.buffer, at >>> 0, length));
  const none = (counts: number, bytes: number) => {
    view().setUint32(counts, 0, true);
    view().setUint32(bytes, 0, true);
    return 0;
  };
  const wasi: Record<string, (...a: any[]) => number> = {
    args_get: () => 0,
    args_sizes_get: none,
    environ_get: () => 0,
    environ_sizes_get: none,
    sched_yield: () => 0,
    clock_time_get: (_id: number, _precision: bigint, at: number) => {
      view().setBigUint64(at, BigInt(Math.round(performance.now() * 1e6)), true);
      return 0;
    },
    random_get: (at: number, length: number) => {
      crypto.getRandomValues(new Uint8Array(memory.buffer, at, length));
      return 0;
    },
    fd_write: (_fd: number, vectors: number, count: number, written: number) => {
      let total = 0;
      for (let i = 0; i < count; i++) {
        const at = view().getUint32(vectors + 8 * i, true);
        const length = view().getUint32(vectors + 8 * i + 4, true);
        last = (last + text(at, length)).slice(-600);
        total += length;
      }
      view().setUint32(written, total, true);
      return 0;
    },
    fd_fdstat_get: (_fd: number, at: number) => {
      new Uint8Array(memory.buffer, at, 24).fill(0);
      view().setUint8(at, 2); // a character device
      return 0;
    },
    // A wait of the scheduler: nothing else runs here, so every wait is over at once.
    poll_oneoff: (subscriptions: number, events: number, count: number, stored: number) => {
      for (let i = 0; i < count; i++) {
        new Uint8Array(memory.buffer, events + 32 * i, 32).fill(0);
        view().setBigUint64(events + 32 * i, view().getBigUint64(subscriptions + 48 * i, true), true);
        view().setUint8(events + 32 * i + 10, view().getUint8(subscriptions + 48 * i + 8));
      }
      view().setUint32(stored, count, true);
      return 0;
    },
    proc_exit: (code: number) => {
      throw new Error("the module ended with " + code);
    },
  };
  const instance = await WebAssembly.instantiate(module, {
    wasi_snapshot_preview1: new Proxy(wasi, { get: (has, name: string) => has[name] ?? (() => unsupported), has: () => true }),
    gripleaf: { partial: (done: number, total: number, at: number, length: number) => (partial(done, total, text(at, length)) ? 1 : 0) },
  });
  const module_ = instance.exports as Record<string, any>;
  memory = module_.memory;
  module_._initialize();
  return (call, request, ...more) => {
    if (!module_[call]) throw new Error("the module has no " + call);
    const bytes = new TextEncoder().encode(request);
    last = "";
    try {
      const at = module_.room(bytes.length) >>> 0;
      new Uint8Array(memory.buffer, at, bytes.length).set(bytes);
      const length = module_[call](bytes.length, ...more);
      return text(module_.address(), length);
    } catch (e) {
      throw new Error((/panic: .*/.exec(last) ?? [String(e)])[0]);
    }
  };
}

/** The body of the worker, sent as text together with startEngine. It is given the module, then calls, one by one. */
export function workerBody(start: typeof startEngine): void {
  const post = (message: unknown) => (self as unknown as Worker).postMessage(message);
  let engine: Promise<Engine>;
  let said = 0;
  onmessage = async ({ data }: MessageEvent) => {
    try {
      if (data.module) {
        engine = start(data.module, (done, total, reply) => {
          const now = performance.now();
          if (now - said > 100) {
            said = now;
            post({ done, total, reply });
          }
          return true;
        });
      } else post({ reply: (await engine)(data.call, data.request, ...data.more) });
    } catch (e) {
      post({ trap: e instanceof Error ? e.message : String(e) });
    }
  };
}
