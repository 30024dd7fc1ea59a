// The modules in the page: loaded when somebody comes near an explorer, and asked in the page itself.
import { address, script, site } from "./dom";
import { startEngine, type Engine } from "./engine";
import { reader } from "./units";

declare global {
  // Set by the script that holds a module's bytes, packed by gzip, in base64.
  var gripleafModule: string | undefined;
}

const fromDisk = location.protocol === "file:";

const unpacks = typeof DecompressionStream === "function";

/** Is there a chance at all? */
export const possible = typeof WebAssembly === "object" && Boolean(site.module) && (unpacks || !fromDisk);

/** The module whose bytes a script holds. */
function unpacked(base64: string): Promise<WebAssembly.Module> {
  const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return WebAssembly.compileStreaming(new Response(stream, { headers: { "content-type": "application/wasm" } }));
}

/** A module: its file, and the script with the same bytes for pages from the disk and from servers that compress nothing. */
export class Module {
  private compiled: Promise<WebAssembly.Module> | undefined;
  private engine: Engine | undefined;
  private starting: Promise<Engine> | undefined;
  private told = ""; // the reader that the engine knows
  private base64: string | undefined;

  /** How many bytes of it are here, and of how many; 0 where that is not known. */
  progress = { got: 0, size: 0 };

  constructor(private file: string, private script: string) {}

  /** Starts loading, and gives the engine once it is there. */
  ready(): Promise<Engine> {
    this.starting ??= (async () => {
      try {
        return (this.engine = await startEngine(await this.loaded(), () => true));
      } catch (e) {
        this.starting = undefined;
        throw e;
      }
    })();
    return this.starting;
  }

  /** The module itself, to start engines from. */
  loaded(): Promise<WebAssembly.Module> {
    this.compiled ??= this.compile().catch((e) => {
      this.compiled = undefined; // the next try begins anew: perhaps the line is back
      throw e;
    });
    return this.compiled;
  }

  /** The engine if it is there, with the reader's units told. */
  atHand(): Engine | undefined {
    if (this.engine && this.told !== reader()) this.engine("reader", (this.told = reader()));
    return this.engine;
  }

  /** Gives up an engine that trapped; the next call starts another one. */
  drop(): void {
    this.engine = this.starting = undefined;
    this.told = "";
  }

  private async fetched(file: string): Promise<Response> {
    const reply = await fetch(address(file));
    if (!reply.ok) throw new Error(reply.status + " " + file);
    const packed = reply.headers.has("content-encoding"); // then the length is not that of what comes out
    this.progress = { got: 0, size: packed ? 0 : Number(reply.headers.get("content-length") ?? 0) };
    const count = new TransformStream<Uint8Array, Uint8Array>({
      transform: (part, out) => {
        this.progress.got += part.length;
        out.enqueue(part);
      },
    });
    return new Response(reply.body!.pipeThrough(count), { headers: reply.headers, status: reply.status });
  }

  private async compile(): Promise<WebAssembly.Module> {
    if (fromDisk) {
      await script(this.script);
      return unpacked((this.base64 ??= globalThis.gripleafModule!)); // at once: the next module's script sets the same name
    }
    const reply = await this.fetched(this.file);
    const bare = !reply.headers.has("content-encoding") && !reply.headers.has("x-gripleaf-hash"); // what is kept for offline is here already
    if (!bare || !unpacks) return this.plain(reply);
    // The server compresses nothing: the script is a quarter of that.
    await reply.body!.cancel();
    try {
      return await unpacked((await (await this.fetched(this.script)).text()).split('"')[1]);
    } catch {
      return this.plain(await this.fetched(this.file));
    }
  }

  private async plain(reply: Response): Promise<WebAssembly.Module> {
    if (reply.headers.get("content-type")?.startsWith("application/wasm")) return WebAssembly.compileStreaming(reply);
    return WebAssembly.compile(await reply.arrayBuffer()); // a server that does not know the type of .wasm
  }
}

/** The module of the closed formulas, and of a site's own calculators; and that of the ones which ride simulated stops. */
const formulas = new Module(site.module!, site.moduleScript!);
const rides = new Module(site.rides!, site.ridesScript!);

/** The module that works a calculator out. */
export const moduleOf = (calculator: string): Module => ((site.ridden ?? "").split(" ").includes(calculator) ? rides : formulas);

/** The module for logs, which the explorers that take one name. */
let logs: Module | undefined;
export const measured = (at: DOMStringMap): Module => (logs ??= new Module(at.measured!, at.measuredScript!));
