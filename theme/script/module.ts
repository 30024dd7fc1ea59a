// The module in the page: loaded when somebody comes near an explorer, asked in the page itself while that is quick,
// and in a worker when it is not.
import { address, script, site } from "./dom";
import { startEngine, workerBody, type Engine } from "./engine";
import { reader } from "./units";

declare global {
  // Set by the script that holds the module's bytes in base64.
  var gripleafModule: string | undefined;
}

const fromDisk = location.protocol === "file:";

async function bytes(): Promise<ArrayBuffer> {
  if (!fromDisk) return (await fetched()).arrayBuffer();
  await script(site.moduleScript!);
  const text = atob(globalThis.gripleafModule!);
  const out = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) out[i] = text.charCodeAt(i);
  return out.buffer;
}

async function fetched(): Promise<Response> {
  const reply = await fetch(address(site.module!));
  if (!reply.ok) throw new Error(reply.status + " " + site.module);
  return reply;
}

async function compile(): Promise<WebAssembly.Module> {
  if (!fromDisk) {
    try {
      return await WebAssembly.compileStreaming(await fetched());
    } catch (e) {
      if (e instanceof WebAssembly.CompileError) throw e; // else a server that does not know the type of .wasm
    }
  }
  return WebAssembly.compile(await bytes());
}

let compiled: Promise<WebAssembly.Module> | undefined;
let engine: Engine | undefined;
let starting: Promise<Engine> | undefined;
let told = ""; // the reader that the engine knows

/** Is there a chance at all? */
export const possible = typeof WebAssembly === "object" && Boolean(site.module);

/** Starts loading, and gives the engine once it is there. */
export function ready(): Promise<Engine> {
  starting ??= (async () => {
    try {
      compiled ??= compile();
      return (engine = await startEngine(await compiled, () => true));
    } catch (e) {
      compiled = starting = undefined; // the next try begins anew: perhaps the line is back
      throw e;
    }
  })();
  return starting;
}

/** The engine if it is there, with the reader's units told. */
export function atHand(): Engine | undefined {
  if (engine && told !== reader()) engine.reader((told = reader()));
  return engine;
}

/** Gives up an engine that trapped; the next call starts another one. */
export function drop(): void {
  engine = starting = undefined;
  told = "";
}

/** A calculation beside the page. */
export interface Run {
  stop(): void;
}

/** Where a run says what it has. */
export interface Listener {
  partial(done: number, total: number, reply: string): void;
  end(reply: string): void;
  trap(message: string): void;
}

/** Works a query out in a worker. */
export function beside(query: string, figures: string, to: Listener): Run {
  let worker: Worker | undefined;
  let stopped = false;
  const home = URL.createObjectURL(new Blob(["(" + workerBody + ")(" + startEngine + ")"], { type: "text/javascript" }));
  const finish = () => {
    worker?.terminate();
    URL.revokeObjectURL(home);
  };
  (async () => {
    const wasm = await bytes();
    if (stopped) return;
    worker = new Worker(home);
    worker.onerror = (e) => (finish(), to.trap(e.message));
    worker.onmessage = ({ data }) => {
      if (data.trap !== undefined) to.trap(data.trap);
      else if (data.end) to.end(data.reply);
      else return to.partial(data.done, data.total, data.reply);
      finish();
    };
    worker.postMessage({ bytes: wasm, reader: reader(), query, figures }, [wasm]);
  })().catch((e) => to.trap(String(e)));
  return {
    stop() {
      stopped = true;
      finish();
    },
  };
}
