// In a package for learning systems: tells the system how the reader gets on with a lesson, by the run-time of SCORM 1.2 or
// 2004 (ADL), whichever the package is for. Elsewhere nobody answers, and it does nothing.

/** The system's side: what its calls take and give are texts. */
type RunTime = Record<string, (...texts: string[]) => string>;

/** What the two editions call the same things (SCORM 1.2 RTE, 3.4; SCORM 2004 RTE, 4.2). */
const editions = {
  "1.2": {
    api: "API", calls: "LMS", end: "LMSFinish", mode: "cmi.core.lesson_mode", state: "cmi.core.lesson_status", score: "cmi.core.score.", time: "cmi.core.session_time",
    exit: "cmi.core.exit", left: "", response: "student_response", between: ",", wrong: "wrong",
  },
  "2004": {
    api: "API_1484_11", calls: "", end: "Terminate", mode: "cmi.mode", state: "cmi.completion_status", score: "cmi.score.", time: "cmi.session_time",
    exit: "cmi.exit", left: "normal", response: "learner_response", between: "[,]", wrong: "incorrect",
  },
};
type Edition = keyof typeof editions;

/** The run-time stands in a window around this one, or around the one that opened it. */
function search(name: string): RunTime | undefined {
  for (let start: Window | null = window; start; start = start.top?.opener ?? null) {
    for (let w = start; ; w = w.parent) {
      try {
        const found = (w as unknown as Record<string, RunTime | undefined>)[name];
        if (found) return found;
      } catch {
        break; // a window of another site
      }
      if (w.parent === w) break;
    }
  }
  return undefined;
}

const two = (n: number) => n.toFixed(2).replace(/\.?0+$/, "");

class Session {
  private readonly began = Date.now();
  private readonly questions = [...document.querySelectorAll<HTMLElement>(".question")];
  private readonly first = new Map<string, boolean>(); // was the first answer right, by the question's id
  private readonly words;
  private complete: boolean;

  constructor(private readonly edition: Edition, private readonly runTime: RunTime) {
    this.words = editions[edition];
    this.complete = this.get(this.words.state) === "completed";
    for (const [, id, right] of this.get("cmi.suspend_data").matchAll(/([^\s=]+)=([01])/g)) this.first.set(id, right === "1");
    if (!this.complete) this.set(this.words.state, "incomplete");
    document.addEventListener("answered", (e) => this.answered(e.target as HTMLElement, (e as CustomEvent).detail));
    if (!this.questions.length) this.readToTheEnd();
    addEventListener("pagehide", () => this.end(), { once: true });
  }

  private call(name: string, ...texts: string[]): string {
    return String(this.runTime[this.words.calls + name](...texts));
  }
  private get(element: string): string {
    return this.call("GetValue", element);
  }
  private set(element: string, value: string): void {
    this.call("SetValue", element, value);
  }

  /** A question counts by its first answer. */
  private answered(question: HTMLElement, answer: { right: boolean; given: string }): void {
    if (this.first.has(question.id)) return;
    this.first.set(question.id, answer.right);
    this.tell(question, answer);
    const right = [...this.first.values()].filter((is) => is).length / this.questions.length;
    this.set(this.words.score + "min", "0");
    this.set(this.words.score + "max", "100");
    this.set(this.words.score + "raw", two(100 * right));
    if (this.edition === "2004") this.set("cmi.score.scaled", two(right));
    this.set("cmi.suspend_data", [...this.first].map(([id, is]) => id + "=" + Number(is)).join(" "));
    if (this.first.size >= this.questions.length) this.done();
    this.call("Commit", "");
  }

  private tell(question: HTMLElement, answer: { right: boolean; given: string }): void {
    const at = "cmi.interactions." + this.get("cmi.interactions._count") + ".";
    this.set(at + "id", question.id);
    const choices = question.querySelector(".choice") !== null;
    this.set(at + "type", choices ? "choice" : "numeric");
    if (this.edition === "2004") this.set(at + "description", question.querySelector("p")?.textContent?.slice(0, 250) ?? "");
    this.set(at + this.words.response, choices ? [...answer.given].join(this.words.between) : answer.given);
    this.set(at + "result", answer.right ? "correct" : this.words.wrong);
  }

  private readToTheEnd(): void {
    const last = document.querySelector("article.lesson > :last-child");
    const watch = new IntersectionObserver((seen) => {
      if (!seen.some((s) => s.isIntersecting)) return;
      watch.disconnect();
      this.done();
      this.call("Commit", "");
    });
    if (last) watch.observe(last);
  }

  private done(): void {
    this.complete = true;
    this.set(this.words.state, "completed");
  }

  private end(): void {
    const s = (Date.now() - this.began) / 1000;
    const part = (n: number) => String(Math.floor(n)).padStart(2, "0");
    const clock = part(s / 3600).padStart(4, "0") + ":" + part((s / 60) % 60) + ":" + (s % 60).toFixed(2).padStart(5, "0");
    this.set(this.words.time, this.edition === "1.2" ? clock : "PT" + two(s) + "S");
    this.set(this.words.exit, this.complete ? this.words.left : "suspend");
    this.call("Commit", "");
    this.runTime[this.words.end]("");
  }
}

/** While a lesson reports it stays where it is: links out of it open beside it. */
function beside(e: Event): void {
  const link = (e.target as Element).closest<HTMLAnchorElement>("a[href]");
  if (!link || link.href.split("#")[0] === location.href.split("#")[0]) return;
  link.target = "_blank";
  link.rel = "noopener";
}

const script = document.currentScript as HTMLScriptElement;
const edition = script.dataset.edition as Edition;
const runTime = search(editions[edition].api);
// A reader who came by a link of the package is in another item's window: this lesson would report in that item's name.
const opened = !document.referrer.startsWith(new URL(".", script.src).href);
if (runTime && opened && String(runTime[editions[edition].calls + "Initialize"]("")) === "true") {
  document.addEventListener("click", beside, true);
  const mode = String(runTime[editions[edition].calls + "GetValue"](editions[edition].mode));
  if (mode === "browse" || mode === "review") addEventListener("pagehide", () => runTime[editions[edition].end](""), { once: true });
  else new Session(edition, runTime);
}

export {}; // its names are its own
