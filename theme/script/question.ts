// Self-tests: an answer is judged at once, and practice comes again with other numbers. Right before an explorer a question
// is a bet.
import type { Answer } from "./answer";
import { field, marked, spoken, typed } from "./asked";
import { bet, bets } from "./bet";
import { all, one } from "./dom";
import { moduleOf, possible } from "./module";
import { pairsOf, written } from "./query";
import { isAnswer, type Reply } from "./reply";
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
  if (question.dataset.bets) bet(question, all("input", question).indexOf(input));
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

async function work(question: HTMLElement): Promise<Answer | undefined> {
  if (!possible) return undefined;
  const module = moduleOf(question.dataset.query!.split("?")[0]);
  await module.ready();
  const reply: Reply = JSON.parse(module.atHand()!("work", "calc:" + question.dataset.query + "\n"));
  return isAnswer(reply) ? reply : undefined;
}

async function check(question: HTMLElement): Promise<void> {
  const said = typed(question);
  if (Number.isNaN(said)) return verdict(question, false, say("Write a number."));
  // What was not drawn anew stands in the page; the module is not waited for.
  const output = question.dataset.anew === undefined ? undefined : (await work(question).catch(() => undefined))?.findings.find((o) => o.name === question.dataset.output);
  const value = output?.value ?? Number(question.dataset.value);
  const right = Math.abs(said - value) <= tolerance(question.dataset.within ?? "", value) + 1e-9;
  const shown = output ? output.text : spoken(question, value);
  told(question, right, marked(question, said));
  if (question.dataset.bets) {
    bet(question, said);
    return verdict(question, right || undefined, say("Your bet: {}. Worked out: {}.", spoken(question, said), shown));
  }
  verdict(question, right, right ? say("Right: {}.", shown) : said > value ? say("Not so: that is too much. Try again.") : say("Not so: that is too little. Try again."));
}

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
  field(question)!.value = "";
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

export function questions(): void {
  bets(choose);
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
      e.preventDefault();
      bet(question, undefined);
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
