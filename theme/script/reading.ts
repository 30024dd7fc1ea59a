// Which stops were read: a lesson counts once its end was in sight; the map shows it. It stays on this device.
import { all, memory, one } from "./dom";

const list = (): string[] => (memory.get("read") ?? "").split(" ").filter(Boolean);

export function reading(): void {
  const read = list();
  for (const stop of all("[data-stop]")) stop.classList.toggle("is-read", read.includes(stop.dataset.stop!));
  const lesson = document.body.dataset.lesson;
  const end = lesson && one(".onward");
  if (!end) return;
  new IntersectionObserver((seen, watch) => {
    if (!seen.some((s) => s.isIntersecting)) return;
    watch.disconnect();
    if (!list().includes(lesson)) memory.set("read", [...list(), lesson].join(" "));
  }).observe(end);
}
