// On stage: one explorer or figure alone in a 16:9 field, moved by keys, for a projector or a camera.
import { all, make, one } from "./dom";
import type { Explorer } from "./explorer";
import { say } from "./words";

const backgrounds = ["black", "paper", "green", "none"];

/** Puts an explorer or a figure on stage until Escape is pressed. background may name one of these. */
export function stage(host: HTMLElement & Partial<Pick<Explorer, "nudge" | "reset">>, background = backgrounds[0]): void {
  const back = document.activeElement as HTMLElement | null;
  const dials = all(".dial", host);
  const plates = all(".plate, .replay", host);
  const rest = all("body > *, main > *, .lesson > *").filter((e) => !e.contains(host));
  let chosen = 0;
  let shown = plates[0]?.matches(".replay") && plates.length > 1 ? 1 : 0;
  const mark = () => {
    dials.forEach((d, i) => d.toggleAttribute("data-chosen", i === chosen));
    plates.forEach((p, i) => p.toggleAttribute("data-shown", i === shown));
    dials[chosen]?.scrollIntoView({ block: "nearest" }); // there may be more than fit
  };
  const leave = () => {
    host.classList.remove("on-stage");
    document.documentElement.classList.remove("on-stage-page");
    rest.forEach((e) => (e.inert = false));
    keys.remove();
    dials.forEach((d) => d.removeAttribute("data-chosen"));
    removeEventListener("keydown", press, true);
    removeEventListener("pointermove", awake);
    clearTimeout(resting);
    document.removeEventListener("fullscreenchange", changed);
    if (document.fullscreenElement) void document.exitFullscreen();
    back?.focus();
  };
  const changed = () => document.fullscreenElement || leave();
  // Hints, ring and pointer go away while the hand rests: somebody may be recording.
  let resting = 0;
  const awake = () => {
    host.classList.remove("at-rest");
    clearTimeout(resting);
    resting = window.setTimeout(() => host.classList.add("at-rest"), 2500);
  };
  const other = (by: number) => {
    const hosts = all<typeof host>(".explorer, .lone");
    const next = hosts[hosts.indexOf(host) + by];
    if (!next) return;
    leave();
    stage(next, host.dataset.background);
  };
  const press = (e: KeyboardEvent) => {
    const steps = e.shiftKey ? 10 : 1;
    const name = dials[chosen]?.dataset.input;
    const figure = Number(e.key) - 1;
    if (e.key === "Escape") leave();
    else if ((e.target as Element).matches(".plate-keys")) return; // they move the cursor
    else if (e.key === "ArrowDown") chosen = (chosen + 1) % dials.length;
    else if (e.key === "ArrowUp") chosen = (chosen + dials.length - 1) % dials.length;
    else if (e.key === "ArrowRight" && name) host.nudge!(name, steps);
    else if (e.key === "ArrowLeft" && name) host.nudge!(name, -steps);
    else if (e.key === "Home" && host.reset) host.reset();
    else if (e.key === "n" || e.key === "p") return other(e.key === "n" ? 1 : -1);
    else if (e.key === "b") host.dataset.background = backgrounds[(backgrounds.indexOf(host.dataset.background!) + 1) % backgrounds.length];
    else if (plates[figure]) shown = figure;
    else return;
    e.preventDefault();
    e.stopPropagation();
    mark();
  };
  const close = make("button", { type: "button", class: "press" }, say("Leave the stage"));
  close.onclick = leave;
  const keys = make("div", { class: "stage-keys" }, make("p", {}, dials.length ? say("↑ ↓ choose, ← → change, 1–9 figure, B background, N and P other explorers, Home back to the start, Esc leave") : say("B background, Tab to the cursor, Esc leave")), close);
  host.dataset.background = backgrounds.includes(background) ? background : backgrounds[0];
  host.classList.add("on-stage");
  host.append(keys);
  document.documentElement.classList.add("on-stage-page");
  rest.forEach((e) => (e.inert = true));
  addEventListener("keydown", press, true);
  addEventListener("pointermove", awake);
  awake();
  mark();
  close.focus();
  document.documentElement.requestFullscreen?.().then(() => document.addEventListener("fullscreenchange", changed), () => {});
}

/** Goes on stage at once where the address asks for it: ?stage=stop&background=none. */
export function stageFromAddress(): void {
  const wish = new URLSearchParams(location.search);
  const host = wish.get("stage") && one(":is(gripleaf-explorer, gripleaf-figure)#" + CSS.escape(wish.get("stage")!));
  if (host) stage(host, wish.get("background") ?? undefined);
}
