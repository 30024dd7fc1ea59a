// A log that a reader brings to an explorer: chosen or dropped, read in the page, never sent anywhere.
import { all, one } from "./dom";
import type { Explorer } from "./explorer";
import { say } from "./words";

/** A log as the module takes it. */
export interface Log {
  name: string;
  text: string;
}

const mostFile = 20_000_000; // bytes of a file; a track holds much beside its numbers
const mostText = 1_000_000; // bytes of a table; the module takes a request of 1 MiB

/** Lets an explorer that takes logs have them. */
export function intake(host: Explorer): void {
  const place = one(".intake", host);
  if (!place) return;
  const field = one<HTMLInputElement>("input", place)!;
  const [open, shut] = all<HTMLButtonElement>("button", place);
  const named = one(".intake-file", place)!;
  const take = async (file: File | undefined) => {
    if (!file) return;
    try {
      host.bring({ name: file.name, text: await textOf(file) });
    } catch (e) {
      host.word(file.name + ": " + (e instanceof Error ? e.message : String(e)), true);
    }
  };
  open.addEventListener("click", () => field.click());
  shut.addEventListener("click", () => (host.bring(undefined), open.focus()));
  field.addEventListener("change", () => {
    void take(field.files?.[0]);
    field.value = ""; // the same file may be chosen again once it was changed
  });
  host.addEventListener("gripleaf-log", (e) => {
    named.textContent = (e as CustomEvent<string | undefined>).detail ?? "";
    named.hidden = shut.hidden = named.textContent === "";
    host.toggleAttribute("data-log", !named.hidden);
  });
  const over = (e: DragEvent, on: boolean) => {
    if (!e.dataTransfer?.types.includes("Files")) return;
    e.preventDefault();
    host.toggleAttribute("data-over", on);
  };
  host.addEventListener("dragover", (e) => over(e, true));
  host.addEventListener("dragleave", (e) => over(e, host.contains(e.relatedTarget as Node | null)));
  host.addEventListener("drop", (e) => {
    over(e, false);
    void take(e.dataTransfer?.files[0]);
  });
}

async function textOf(file: File): Promise<string> {
  const tooLong = () => new Error(say("This log is too long; cut it down to the stop."));
  if (file.size > mostFile) throw tooLong();
  const text = await file.text();
  const table = /^\ufeff?\s*</.test(text) ? tableOf(text) : text;
  if (new Blob([table]).size > mostText) throw tooLong();
  return table;
}

/** Turns a GPX track into a table: speeds if most points have one, else places. Each point keeps its line, as far as there is one for each, so that what is said of a row can be found. */
function tableOf(gpx: string): string {
  const track = new DOMParser().parseFromString(gpx, "application/xml");
  const points = [...track.getElementsByTagNameNS("*", "trkpt")];
  if (one("parsererror", track) || points.length === 0) throw new Error(say("This is no GPX track."));
  const part = (point: Element, name: string) => plain(point.getElementsByTagNameNS("*", name)[0]?.textContent);
  const bySpeed = 2 * points.filter((p) => part(p, "speed") !== "").length > points.length;
  const lines = linesOf(gpx, points.length);
  const rows = [bySpeed ? "time,speed (m/s)" : "time,latitude,longitude"];
  points.forEach((p, i) => {
    while (rows.length + 1 < lines[i]) rows.push("");
    rows.push(part(p, "time") + "," + (bySpeed ? part(p, "speed") : plain(p.getAttribute("lat")) + "," + plain(p.getAttribute("lon"))));
  });
  return rows.join("\n") + "\n";
}

const plain = (value: string | null | undefined): string => (value ?? "").trim().replace(/[\s,"]+/g, " ");

/** The lines on which the points begin; all 0 where that is not clear. */
function linesOf(gpx: string, count: number): number[] {
  const lines: number[] = [];
  let line = 1;
  let from = 0;
  for (const found of gpx.matchAll(/<(?:[\w.-]+:)?trkpt[\s/>]/g)) {
    for (let at = gpx.indexOf("\n", from); at >= 0 && at < found.index; at = gpx.indexOf("\n", from)) {
      line++;
      from = at + 1;
    }
    lines.push(line);
  }
  return lines.length === count ? lines : new Array<number>(count).fill(0);
}
