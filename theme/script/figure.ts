// <gripleaf-figure>: a figure that stands in the text by itself; the script redraws it when the units change.
import { one, site } from "./dom";
import { calculators, possible } from "./module";
import { isAnswer, type Reply } from "./reply";
import { plate } from "./show";
import { unitsChanged } from "./units";

export class LoneFigure extends HTMLElement {
  connectedCallback(): void {
    if (!possible) return;
    document.addEventListener(unitsChanged, () => this.draw());
    if (site.units === "imperial") this.draw();
  }

  private draw(): void {
    calculators.ready().then(
      () => {
        const reply: Reply = JSON.parse(calculators.atHand()!.work("calc:" + this.dataset.query!, this.dataset.figure!));
        if (isAnswer(reply)) plate(one(".plate", this), reply.figures[0]);
      },
      () => {}, // the figure stays as it is
    );
  }
}
