// Things that follow after a while, each by its name: what is put off again begins to wait anew.

export class Timers {
  private running: Record<string, number> = {};

  later(name: string, ms: number, then: () => void): void {
    clearTimeout(this.running[name]);
    this.running[name] = window.setTimeout(then, ms);
  }

  never(...names: string[]): void {
    for (const name of names) clearTimeout(this.running[name]);
  }
}
