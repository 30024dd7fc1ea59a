// A word of the glossary shows its meaning where it stands: under the pointer, in focus, or at a first tap.
import { all, make, one } from "./dom";

let shown: HTMLElement | undefined;

function hide(): void {
  shown?.remove();
  shown = undefined;
  for (const t of all(".term[aria-describedby]")) t.removeAttribute("aria-describedby");
}

function show(term: HTMLElement): void {
  hide();
  const source = one(`.term[data-means][data-term="${CSS.escape(term.dataset.term!)}"]`);
  if (!source) return;
  const meaning = new DOMParser().parseFromString(source.dataset.means!, "text/html").body.textContent!;
  shown = make("div", { class: "meaning", id: "meaning", role: "tooltip" }, make("b", {}, source.dataset.name!), meaning);
  document.body.append(shown);
  const box = term.getBoundingClientRect();
  const left = Math.max(8, Math.min(box.left, innerWidth - shown.offsetWidth - 8));
  const below = box.bottom + shown.offsetHeight + 8 < innerHeight;
  shown.style.left = left + scrollX + "px";
  shown.style.top = (below ? box.bottom + 6 : box.top - shown.offsetHeight - 6) + scrollY + "px";
  term.setAttribute("aria-describedby", "meaning");
}

const termOf = (e: Event): HTMLElement | null => (e.target as Element).closest?.(".term") ?? null;

export function terms(): void {
  let explained: HTMLElement | null = null; // the term whose meaning was there before the finger came down
  document.addEventListener("pointerdown", (e) => {
    const term = termOf(e);
    explained = term?.hasAttribute("aria-describedby") ? term : null;
  }, true);
  document.addEventListener("focusin", (e) => (termOf(e) ? show(termOf(e)!) : hide()));
  document.addEventListener("pointerover", (e) => {
    if (e.pointerType === "mouse" && termOf(e)) show(termOf(e)!);
  });
  document.addEventListener("pointerout", (e) => {
    const to = e.relatedTarget as Element | null;
    if (e.pointerType === "mouse" && termOf(e) && !to?.closest?.(".meaning")) hide();
  });
  document.addEventListener("click", (e) => {
    const term = termOf(e);
    // The first tap explains, the second goes to the glossary.
    if (term && (e as PointerEvent).pointerType === "touch" && explained !== term) {
      e.preventDefault();
      show(term);
    } else if (!term && !(e.target as Element).closest(".meaning")) hide();
  });
  document.addEventListener("keydown", (e) => e.key === "Escape" && hide());
}
