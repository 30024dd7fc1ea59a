// The few ways in which pages are searched and made.

export const all = <T extends Element = HTMLElement>(selector: string, within: ParentNode = document): T[] => [...within.querySelectorAll<T>(selector)];

export const one = <T extends Element = HTMLElement>(selector: string, within: ParentNode = document): T | null => within.querySelector<T>(selector);

/** Makes an element. Attributes that are false are left out, those that are true are empty. */
export function make<K extends keyof HTMLElementTagNameMap>(tag: K, attributes: Record<string, string | boolean> = {}, ...children: (Node | string)[]): HTMLElementTagNameMap[K] {
  const e = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) if (value !== false) e.setAttribute(name, value === true ? "" : value);
  e.append(...children);
  return e;
}

/** Puts text on the clipboard; where the browser forbids it, gives false. */
export async function copy(text: string): Promise<boolean> {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    const area = make("textarea", { class: "aside" });
    area.value = text;
    document.body.append(area);
    area.select();
    const done = document.execCommand("copy");
    area.remove();
    return done;
  }
}

/** The site's root and the names of its files, as the page's head says them. */
export const site = document.documentElement.dataset;

export const address = (path: string): string => new URL((site.root ?? "") + path, document.baseURI).href;

/** Remembers for the next page; where nothing can be kept, forgets. */
export const memory = {
  get(name: string): string | null {
    try {
      return localStorage.getItem("gripleaf-" + name);
    } catch {
      return null;
    }
  },
  set(name: string, value: string): void {
    try {
      localStorage.setItem("gripleaf-" + name, value);
    } catch {
      // A private window or a full store: the choice holds for this page.
    }
  },
};

/** Loads a script of the site once. Scripts work from a folder as well, where fetch does not. */
const scripts = new Map<string, Promise<void>>();
export function script(path: string): Promise<void> {
  let loading = scripts.get(path);
  if (!loading) {
    loading = new Promise((resolve, reject) => {
      const tag = make("script", { src: address(path) });
      tag.onload = () => resolve();
      tag.onerror = () => {
        scripts.delete(path);
        reject(new Error(path));
      };
      document.head.append(tag);
    });
    scripts.set(path, loading);
  }
  return loading;
}
