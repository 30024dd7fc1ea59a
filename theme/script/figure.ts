// <gripleaf-figure>: a figure that stands in the text by itself. It has a cursor, can go on stage, and is drawn anew
// when the units change.
import type { Cursor, Reading } from "./answer";
import { Cursors } from "./cursor";
import { one } from "./dom";
import { moduleOf, possible } from "./module";
import { isAnswer, type Reply } from "./reply";
import { plate } from "./show";
import { stage } from "./stage";
import { chosen, unitsChanged } from "./units";

export class LoneFigure extends HTMLElement {
  connectedCallback(): void {
    if (!possible) return;
    one("[data-do=stage]", this)!.addEventListener("click", () => stage(this));
    document.addEventListener(unitsChanged, () => void this.draw());
    new Cursors(this, this);
    if (chosen()) void this.draw();
  }

  private async ask(call: string, rest: string): Promise<string> {
    const module = moduleOf(this.dataset.query!.split("?")[0]);
    await module.ready();
    return module.atHand()!(call, "calc:" + this.dataset.query! + "\n" + rest);
  }

  /** Says what the figure shows at places. */
  async read(places: Cursor[]): Promise<Reading[]> {
    return JSON.parse(await this.ask("reading", places.map((p) => p.figure + " " + p.at).join("\n"))).readings ?? [];
  }

  seek(): boolean {
    return false; // it has no clock
  }

  private async draw(): Promise<void> {
    const reply: Reply = JSON.parse(await this.ask("work", this.dataset.figure!).catch(() => '{"faults":[]}')); // without it the figure stays as it is
    if (isAnswer(reply)) plate(this, reply.plates[0]);
  }
}
