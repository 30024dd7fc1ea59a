// A log that a reader brings to an explorer: chosen or dropped, read in the page, never sent anywhere.
import { all, one } from "./dom";
import type { Explorer } from "./explorer";
import { say } from "./words";

/** A log as the module takes it. */
export interface Log {
  name: string;
  text: string;
}

const most = 20_000_000; // bytes; the module takes a request of 20 MiB

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

/** The text of a file: in UTF-16 if it begins with the mark of that, else in UTF-8. What it means the module reads. */
async function textOf(file: File): Promise<string> {
  if (file.size > most) throw new Error(say("This log is too long; cut it down to the stop."));
  const bytes = await file.arrayBuffer();
  const [first, second] = new Uint8Array(bytes);
  const wide = first === 0xff && second === 0xfe ? "utf-16le" : first === 0xfe && second === 0xff ? "utf-16be" : "utf-8";
  return new TextDecoder(wide).decode(bytes);
}
