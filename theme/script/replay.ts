// The stop, replayed: each picture is drawn by the module from the simulated stop; here is only the clock.
import type { Frame } from "./answer";
import { one } from "./dom";
import type { Explorer } from "./explorer";
import { draw as put, passed } from "./show";
import { say } from "./words";
import { print } from "./number";

const slowness = 8;
const stillStep = 0.25; // s between stills, for readers who want no motion

const still = matchMedia("(prefers-reduced-motion: reduce)");

/** Makes an explorer's replay answer to its keys and follow its state. */
export function replay(host: Explorer): void {
  const place = one(".replay", host);
  if (!place) return;
  const drawing = one(".replay-drawing", place)!;
  const slider = one<HTMLInputElement>(".replay-slider", place)!;
  const play = one<HTMLButtonElement>("[data-do=play]", place)!;
  const slow = one<HTMLButtonElement>("[data-do=slow]", place)!;
  let playing = 0; // the id of the next picture, 0 at rest
  let from = 0; // when this run of the clock began, and at which moment
  let moment = Number(slider.value);

  let asked = false; // a picture is on its way
  let next: (() => void) | undefined; // the newest one asked for meanwhile
  const draw = async (time: number, cursor = true): Promise<void> => {
    moment = time;
    if (asked) return void (next = () => void draw(time, cursor));
    asked = true;
    const reply = await host.about("frame", "", time).catch(() => "{}");
    asked = false;
    const frame: Partial<Frame> = JSON.parse(reply);
    if (frame.svg) picture(frame as Frame, cursor);
    else stop();
    const follows = next;
    next = undefined;
    follows?.();
  };
  const picture = (frame: Frame, cursor: boolean): void => {
    moment = frame.time;
    put(drawing, frame.svg);
    slider.max = String(Number(frame.duration.toFixed(3)));
    slider.value = String(frame.time);
    slider.setAttribute("aria-valuetext", print(frame.time, 2) + "\u00a0" + say("s"));
    passed(slider);
    if (cursor) host.point({ time: frame.time, distance: frame.position });
  };
  const stop = (): void => {
    cancelAnimationFrame(playing);
    clearTimeout(playing);
    playing = 0;
    play.textContent = say("Play");
    play.setAttribute("aria-pressed", "false");
  };
  const rate = () => (slow.getAttribute("aria-pressed") === "true" ? 1 / slowness : 1);
  const atEnd = () => moment >= Number(slider.max) - 0.001;
  const tick = (now: number): void => {
    void draw((now - from) / 1000 * rate());
    if (atEnd()) return stop();
    playing = requestAnimationFrame(tick);
  };
  const nextStill = (): void => {
    void draw(moment + stillStep);
    if (atEnd()) return stop();
    playing = window.setTimeout(nextStill, 1000);
  };
  const start = (): void => {
    if (atEnd()) moment = 0;
    play.textContent = say("Pause");
    play.setAttribute("aria-pressed", "true");
    playing = -1; // until the first picture is there
    void draw(moment).then(() => {
      if (!playing) return;
      if (still.matches) return nextStill();
      from = performance.now() - (moment * 1000) / rate();
      playing = requestAnimationFrame(tick);
    });
  };
  place.addEventListener("click", (e) => {
    const key = (e.target as Element).closest<HTMLElement>("[data-do]");
    if (key === play) playing ? stop() : start();
    if (key !== slow) return;
    slow.setAttribute("aria-pressed", String(rate() === 1));
    from = performance.now() - (moment * 1000) / rate();
  });
  slider.addEventListener("input", (e) => {
    e.stopPropagation();
    if (playing) stop();
    void draw(Number(slider.value));
  });
  // The picture follows an answer once that is painted: the numbers come first.
  host.addEventListener("gripleaf-answer", () => {
    if (!playing) setTimeout(() => void draw(moment, false), 0);
  });
  passed(slider);
}
