// What the module answers: the JSON of calculators/kit.AppendPage and AppendFaults.

export interface Input {
  name: string;
  text: string;
  number?: string;
  unit?: string;
  unitName?: string;
  position?: number;
  from?: number;
  to?: number;
  step?: number;
  word?: string;
  given: boolean;
  read: boolean; // from the attachment: it cannot be set beside it
  set: boolean;
}

export interface Output {
  name: string;
  label: string;
  number: string;
  unit: string;
  sentence: string;
  band: string; // within which limits nine of ten lie, in the unit of the number
  value: number;
  low?: number;
  high?: number;
  scale: number;
  decimals: number;
  main: boolean;
  moot: boolean; // does not apply to this state
}

export interface Grid {
  headings: string[];
  rows: string[][];
}

export interface Figure {
  name: string;
  title: string;
  svg: string;
  table: Grid;
}

export interface Answer {
  query: string;
  summary: string;
  happened: string; // cause and effect, in whole sentences
  whole: boolean; // nothing was left out for quickness
  inputs: Input[];
  outputs: Output[];
  figures: Figure[];
  series: Grid[];
}

export interface Fault {
  input: string;
  text: string;
  hint: string;
}

export type Reply = Answer | { faults: Fault[] };

export const isAnswer = (r: Reply): r is Answer => !("faults" in r);

/** A number with its unit: a no-break space between, save before a degree sign. */
export const quantity = (number: string, unit: string): string => number + (unit === "" || unit === "°" ? "" : "\u00a0") + unit;
