// A question right before an explorer is a bet: the explorer opens once it is made or skipped, and shows what was bet. Where
// the bet is a place on the explorer's road, the reader sets a cone there, and the bike rides to where it stops.
import { states } from "./address";
import { field, fill, spoken, typed } from "./asked";
import { all, memory, one } from "./dom";
import { Explorer, pointed } from "./explorer";
import { possible } from "./module";
import { unitsChanged } from "./units";

/** A bet is kept on the device, in SI or as the place of a choice, so that the explorer is open when the reader comes back. */
const placeOf = (question: HTMLElement): string => "bet " + location.pathname + "#" + question.id;

const explorerOf = (question: HTMLElement): Explorer | null => {
  const e = document.getElementById(question.dataset.bets!);
  return e instanceof Explorer ? e : null;
};

/** Takes a bet: a number in SI, the place of a choice, or none. */
export function bet(question: HTMLElement, on: number | undefined): void {
  memory.set(placeOf(question), on === undefined ? "" : String(on));
  open(question, on);
  if (one(".guess", question)) explorerOf(question)?.ride();
}

/** Opens the explorer that was bet on, and draws a number that was bet into its figures. */
function open(question: HTMLElement, on: number | undefined): void {
  const explorer = explorerOf(question);
  explorer?.open();
  if (on !== undefined && question.dataset.query?.split("?")[0] === explorer?.dataset.calculator) explorer!.bet([{ output: question.dataset.output!, value: on }]);
}

/** Makes cones answer to the hand, and gives back the bets of an earlier visit: again takes up the place of a choice. */
export function bets(again: (question: HTMLElement, choice: HTMLInputElement) => void): void {
  for (const question of all(".question[data-bets]")) {
    const explorer = explorerOf(question);
    if (!possible || (explorer && states().has(explorer.id))) open(question, undefined); // who comes by a link to a state wants to see that
    const road = one(".guess", question);
    if (road && explorer) cone(question, road, explorer);
    const before = memory.get(placeOf(question));
    if (before === null || !possible) continue;
    const choice = all<HTMLInputElement>(".choice input", question)[Number(before)];
    if (before === "") open(question, undefined);
    else if (field(question)) {
      fill(question, Number(before));
      field(question)!.dispatchEvent(new Event("input", { bubbles: true }));
      open(question, Number(before));
    } else if (choice) (choice.checked = true), again(question, choice);
  }
}

/** The cone and the field say the same, whichever is moved; the bike goes where the explorer's clock has come. */
function cone(question: HTMLElement, road: HTMLElement, explorer: Explorer): void {
  const range = one<HTMLInputElement>(".guess-cone", road)!;
  const stand = (): void => {
    const at = typed(question);
    if (Number.isNaN(at)) return;
    range.value = String(at);
    range.setAttribute("aria-valuetext", spoken(question, at));
  };
  range.addEventListener("input", () => {
    fill(question, Number(range.value));
    range.setAttribute("aria-valuetext", spoken(question, Number(range.value)));
  });
  field(question)!.addEventListener("input", stand);
  document.addEventListener(unitsChanged, () => {
    if (field(question)!.value) fill(question, Number(range.value));
    stand();
  });
  explorer.addEventListener(pointed, (e) => {
    const at: number | undefined = (e as CustomEvent<Record<string, number>>).detail.distance;
    if (at !== undefined) road.style.setProperty("--at", String(Math.min(1, at / Number(range.max))));
  });
}
