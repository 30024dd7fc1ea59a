// What the module answers: an answer, whose types are generated, or what is wrong.
import type { Answer, Complaint } from "./answer";

export type Reply = Answer | { faults: Complaint[] };

export const isAnswer = (r: Reply): r is Answer => !("faults" in r);

/** A number with its unit: a no-break space between, save before a degree sign. */
export const quantity = (number: string, unit: string): string => number + (unit === "" || unit === "°" ? "" : "\u00a0") + unit;
