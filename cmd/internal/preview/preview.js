// What the preview adds to the pages that it serves: it hears of every build
// and lets the page take over what is new, without loading it anew where that
// can be. It is no part of a site.
//
// A page that can load its calculators anew listens for "gripleaf:module" on
// the document and calls preventDefault; detail.paths are the new files.
(() => {
  "use strict";

  let edition = document.currentScript.dataset.edition;
  let source = null; // of events, while the page is seen
  let panel = null; // of faults, while there are any
  let note = null; // of what takes a while

  const deeds = {
    hello: () => {},
    page: () => location.reload(),
    style: ({ paths }) => swapStyles(paths) || location.reload(),
    module: ({ paths }) => {
      const event = new CustomEvent("gripleaf:module", { cancelable: true, detail: { paths } });
      if (document.dispatchEvent(event)) location.reload();
    },
    fault: ({ faults }) => showFaults(faults),
    mended: () => hideFaults(),
    busy: () => showNote("The calculators are being compiled. The page takes them over when they are ready."),
    rest: () => hideNote(),
  };

  function hear({ data }) {
    const message = JSON.parse(data);
    if (message.kind === "hello" && message.edition !== edition) {
      location.reload(); // builds were missed
      return;
    }
    if (message.kind === "hello") {
      hideFaults(); // the server says so if there are still some
      hideNote();
    }
    edition = message.edition;
    deeds[message.kind]?.(message);
  }

  // A browser has few connections for one server, and all its tabs share them,
  // so only pages that are seen have one. The others catch up by their edition.
  function listen() {
    if (document.hidden) {
      source?.close();
      source = null;
    } else if (!source || source.readyState === EventSource.CLOSED) {
      source = new EventSource(`/.gripleaf/events?page=${encodeURIComponent(location.pathname)}&edition=${edition}`);
      source.onmessage = hear;
    }
  }

  // withoutHash is a path without the hash that tells its versions apart.
  const withoutHash = (path) => path.replace(/\.[0-9a-f]{8,64}(?=\.\w+$)/, "");

  function swapStyles(paths) {
    let swapped = false;
    for (const link of document.querySelectorAll('link[rel~="stylesheet"]')) {
      const old = new URL(link.href, location.href);
      const path = paths.map((path) => `/${path}`).find((path) => withoutHash(path) === withoutHash(old.pathname));
      if (!path) continue;
      const next = link.cloneNode();
      next.removeAttribute("integrity");
      next.href = path === old.pathname ? `${path}?${edition}` : path;
      next.onload = () => link.remove(); // not before, or the page would flash
      next.onerror = () => next.remove(); // a file that is gone
      link.after(next);
      swapped = true;
    }
    return swapped;
  }

  const style = `
    :host { all: initial; position: fixed; inset: auto 0 0 0; z-index: 2147483647; direction: ltr; }
    section { max-height: 60vh; overflow: auto; padding: 1rem 1.25rem; background: #2a0e0e; color: #fff; font: 1rem/1.5 system-ui, sans-serif; border-top: 4px solid #ff8a80; }
    h2 { margin: 0; font-size: 1.125rem; }
    ol { margin: 0.5rem 0 0; padding: 0; list-style: none; }
    li { margin-top: 0.75rem; }
    code, pre { font: 0.875rem/1.5 ui-monospace, monospace; }
    pre { margin: 0.25rem 0; padding: 0.5rem; background: #000; white-space: pre-wrap; overflow-wrap: anywhere; }
    mark { background: none; color: #ff8a80; text-decoration: underline wavy; }
    p { margin: 0; }
    button { float: right; font: inherit; color: inherit; background: none; border: 1px solid; border-radius: 0.25rem; padding: 0.25rem 0.75rem; cursor: pointer; }
    button:focus-visible { outline: 3px solid #fff; outline-offset: 2px; }`;

  function element(name, ...children) {
    const made = document.createElement(name);
    made.append(...children);
    return made;
  }

  function showFaults(faults) {
    hideFaults();
    panel = element("div");
    panel.lang = "en";
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(style);
    const root = panel.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [sheet];
    const close = element("button", "Hide");
    close.type = "button";
    close.onclick = hideFaults;
    const title = element("h2", faults.length === 1 ? "1 fault" : `${faults.length} faults`);
    const state = element("p", "Until this is mended, the pages stay as they were.");
    const section = element("section", close, title, state, element("ol", ...faults.map(describe)));
    section.setAttribute("role", "alert");
    root.append(section);
    document.documentElement.append(panel);
  }

  function hideFaults() {
    panel?.remove();
    panel = null;
  }

  function showNote(text) {
    hideNote();
    note = element("div", text);
    note.lang = "en";
    note.setAttribute("role", "status");
    const look = { position: "fixed", insetInlineEnd: "1rem", insetBlockEnd: "1rem", zIndex: 2147483646, maxWidth: "24rem", padding: "0.5rem 1rem",
      background: "#14171a", color: "#fff", font: "1rem/1.5 system-ui, sans-serif", border: "1px solid #fff", borderRadius: "0.25rem" };
    Object.assign(note.style, look);
    document.documentElement.append(note);
  }

  function hideNote() {
    note?.remove();
    note = null;
  }

  // describe is one fault: its place, what is wrong, the line, and what to do.
  function describe({ file, line, column, length, excerpt, text, hint, notes = [] }) {
    const place = [file, line, column].filter(Boolean).join(":");
    const item = element("li", element("p", ...(place ? [element("code", place), " "] : []), text));
    if (excerpt && column) {
      const letters = Array.from(excerpt); // columns count characters, not UTF-16 units
      const [from, to] = [column - 1, column - 1 + (length ?? 0)];
      const part = (...ends) => letters.slice(...ends).join("");
      item.append(element("pre", part(0, from), element("mark", part(from, to)), part(to)));
    }
    if (hint) item.append(element("p", hint));
    for (const note of notes) {
      const where = [note.file, note.line, note.column].filter(Boolean).join(":");
      item.append(element("p", [where, note.text].filter(Boolean).join(" ")));
    }
    return item;
  }

  document.addEventListener("visibilitychange", listen);
  addEventListener("pageshow", listen);
  addEventListener("pagehide", () => {
    source?.close();
    source = null;
  });
  setInterval(listen, 2000); // a source that was refused does not come back by itself
  listen();
})();
