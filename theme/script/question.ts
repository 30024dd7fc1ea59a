// Self-tests: an answer is judged at once, and practice comes again with other numbers. Right before an explorer a question
// is a bet: the explorer opens once it is made or skipped.
import type { Answer } from "./answer";
import { all, memory, one, site } from "./dom";
import { states } from "./address";
import { Explorer } from "./explorer";
import { moduleOf, possible } from "./module";
import { linkForm, print } from "./number";
import { pairsOf, written } from "./query";
import { isAnswer, quantity, type Reply } from "./reply";
import { unitsChanged } from "./units";
import { say } from "./words";

function verdict(question: HTMLElement, right: boolean | undefined, text: string): void {
  const p = one(".verdict", question)!;
  p.dataset.said = right === undefined ? "" : right ? "right" : "wrong";
  p.textContent = text;
}

/** Tells whoever wants to know, such as a learning system, that an answer has been given. */
function told(question: HTMLElement, right: boolean, given: string): void {
  question.dispatchEvent(new CustomEvent("answered", { bubbles: true, detail: { right, given } }));
}

function choose(question: HTMLElement, input: HTMLInputElement): void {
  const label = input.closest<HTMLElement>(".choice")!;
  if (input.type === "radio") all(".choice", question).forEach((c) => delete c.dataset.said);
  if (!input.checked) return void delete label.dataset.said;
  if (question.dataset.bets) {
    open(question);
    remember(question, String(all("input", question).indexOf(input)));
  }
  const right = label.dataset.right === "true";
  label.dataset.said = right ? "right" : "wrong";
  const missing = all('.choice[data-right="true"]:not([data-said])', question).length;
  verdict(question, right, right ? (missing ? say("Right, and there is more.") : say("Right.")) : say("Not so. Try again."));
  const given = all<HTMLInputElement>(".choice input", question).map((c, i) => (c.checked ? String.fromCharCode(97 + i) : ""));
  if (!right || !missing) told(question, right, given.join(""));
}

/** How far an answer may be off, SI: a share of the value, or half a unit of its last place. */
function tolerance(within: string, value: number): number {
  const share = /^([\d.]+)\s*%$/.exec(within);
  return share ? (Math.abs(value) * Number(share[1])) / 100 : Math.abs(value) * 0.05;
}

const moduleFor = (question: HTMLElement) => moduleOf(question.dataset.query!.split("?")[0]);

async function work(question: HTMLElement): Promise<Answer | undefined> {
  if (!possible) return undefined;
  const module = moduleFor(question);
  await module.ready();
  const reply: Reply = JSON.parse(module.atHand()!("work", "calc:" + question.dataset.query + "\n"));
  return isAnswer(reply) ? reply : undefined;
}

/** The SI value that was typed: in the unit shown, or in one of the same kind that was written behind the number. */
function valueOf(question: HTMLElement, typed: string, scale: number): number {
  const [, number, unit] = /^([-+]?[\d.]+)\s*(\S*)$/.exec(linkForm(typed)) ?? [];
  if (number === undefined) return NaN;
  if (unit === "") return Number(number) * scale;
  const known = question.dataset.units!.split(";").find((u) => u.split(" ")[0] === unit);
  return known ? Number(number) * Number(known.split(" ")[1]) : NaN;
}

async function check(question: HTMLElement): Promise<void> {
  const typed = one<HTMLInputElement>(".answer input", question)!.value;
  // What was not drawn anew stands in the page; the module is not waited for.
  const known = question.dataset.anew === undefined && site.units !== "imperial" && !moduleFor(question).atHand();
  const output = (known ? undefined : await work(question).catch(() => undefined))?.findings.find((o) => o.name === question.dataset.output);
  const value = output?.value ?? Number(question.dataset.value);
  const scale = output?.scale ?? Number(question.dataset.scale);
  const said = valueOf(question, typed, scale);
  if (Number.isNaN(said)) return verdict(question, false, say("Write a number."));
  const right = Math.abs(said - value) <= tolerance(question.dataset.within ?? "", value) + 1e-9;
  const shown = output ? output.text : unit(question, value, scale);
  told(question, right, String(Number((said / scale).toPrecision(6))));
  if (question.dataset.bets) {
    open(question, said);
    remember(question, typed);
    return verdict(question, right || undefined, say("Your bet: {}. Worked out: {}.", unit(question, said, scale, output?.decimals), shown));
  }
  verdict(question, right, right ? say("Right: {}.", shown) : said > value ? say("Not so: that is too much. Try again.") : say("Not so: that is too little. Try again."));
}

const unit = (question: HTMLElement, value: number, scale: number, decimals = 1): string =>
  quantity(print(value / scale, decimals), one(".answer-unit", question)!.textContent!);

/** Draws other numbers for practice, and tells the text. */
async function again(question: HTMLElement): Promise<void> {
  const pairs = pairsOf(question.dataset.query!);
  for (const draw of question.dataset.draws!.split(";")) {
    const [name, from, to, step, unit] = draw.split(" ");
    const steps = Math.floor((Number(to) - Number(from)) / Number(step) + 1e-9);
    const value = Number(from) + Math.floor(Math.random() * (steps + 1)) * Number(step);
    pairs.set(name, Number(value.toFixed(6)) + unit);
  }
  const id = question.dataset.query!.split("?")[0];
  question.dataset.query = id + "?" + written(pairs);
  question.dataset.anew = "";
  one<HTMLInputElement>(".answer input", question)!.value = "";
  one(".verdict", question)!.textContent = "";
  await retell(question);
}

async function retell(question: HTMLElement): Promise<void> {
  const answer = await work(question);
  for (const span of all("[data-draw]", question)) {
    const input = answer?.dials.find((i) => i.name === span.dataset.draw);
    if (input) {
      span.removeAttribute("data-imperial");
      span.textContent = input.text;
    }
  }
  const fresh = answer?.findings.find((o) => o.name === question.dataset.output);
  const why = one(".why .unscripted", question);
  if (fresh && why) why.textContent = fresh.text;
}

/** A bet is kept on the device, so that the explorer is open when the reader comes back. */
const placeOf = (question: HTMLElement): string => "bet " + location.pathname + "#" + question.id;

const remember = (question: HTMLElement, bet: string): void => memory.set(placeOf(question), bet);

const explorerOf = (question: HTMLElement): Explorer | null => {
  const e = document.getElementById(question.dataset.bets!);
  return e instanceof Explorer ? e : null;
};

/** Opens the explorer that was bet on, and draws the bet into its figures. */
function open(question: HTMLElement, value?: number): void {
  const explorer = explorerOf(question);
  if (!explorer) return;
  explorer.inert = false;
  explorer.removeAttribute("data-veil");
  question.dataset.open = "";
  const same = question.dataset.query?.split("?")[0] === explorer.dataset.calculator;
  if (value !== undefined && same) explorer.bet([{ output: question.dataset.output!, value }]);
}

/** Closes the explorers that are bet on, or takes the bets of an earlier visit. */
function bets(): void {
  if (!possible) return;
  for (const question of all(".question[data-bets]")) {
    const explorer = explorerOf(question);
    const before = memory.get(placeOf(question));
    const field = one<HTMLInputElement>(".answer input", question);
    if (explorer && states().has(explorer.id)) {
      open(question); // who comes by a link to a state wants to see that
    } else if (before === null && explorer) {
      explorer.inert = true;
      explorer.dataset.veil = say("It opens once you have said what you expect.");
    } else if (before && field) {
      field.value = before;
      open(question, valueOf(question, before, Number(question.dataset.scale)));
    } else if (before) {
      const choice = all<HTMLInputElement>("input", question)[Number(before)];
      if (choice) (choice.checked = true), choose(question, choice);
    }
  }
}

export function questions(): void {
  bets();
  document.addEventListener("change", (e) => {
    const input = e.target as HTMLInputElement;
    const question = input.closest<HTMLElement>(".question");
    if (question && input.closest(".choice")) choose(question, input);
  });
  document.addEventListener("click", (e) => {
    const key = (e.target as Element).closest<HTMLElement>("[data-do]");
    const question = key?.closest<HTMLElement>(".question");
    if (!question) return;
    if (key!.dataset.do === "check") void check(question);
    if (key!.dataset.do === "again") void again(question);
    if (key!.dataset.do === "skip") {
      open(question);
      remember(question, "");
    }
  });
  document.addEventListener("keydown", (e) => {
    const question = (e.target as Element).closest<HTMLElement>(".question");
    if (question && e.key === "Enter" && (e.target as Element).closest(".answer")) void check(question);
  });
  document.addEventListener(unitsChanged, () => {
    for (const q of all(".question[data-draws]")) if (q.dataset.draws) void retell(q);
  });
}
