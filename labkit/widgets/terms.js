// The meaning of a trade word under it: by hover, focus and tap.

const TEXTS = ".jp-RenderedMarkdown, .labkit-card .widget-html-content, .labkit-say, .labkit-hunt > .widget-html .widget-html-content";
const NOT_IN = "a, button, code, pre, h1, h2, h3, h4, th, label, .labkit-term, [role=alert], .katex, mjx-container";
const SETTLED = 400; // a page that changes is left alone for so long [ms]
const GOING = 250; // the way from a word to its meaning takes so long [ms]

/**
 * Mark the first place of each term in each text of a page, and say what it means there.
 * @param {HTMLElement} book
 * @param {string[][]} terms meaning, then the forms of the word
 * @returns {() => void} what undoes it
 */
function explained(book, terms) {
  const means = new Map();
  for (const [meaning, ...forms] of terms) for (const form of forms) means.set(form.toLowerCase(), [forms[0], meaning]);
  const all = [...means.keys()].sort((a, b) => b.length - a.length);
  const escaped = all.map((word) => word.replace(/[.*+?^${}()|[\]\\]/g, "\\$&"));
  const anyOf = new RegExp(`(?<![\\w-])(${escaped.join("|")})(?![\\w-])`, "gi");

  const bubble = document.createElement("div");
  bubble.className = "labkit-meaning";
  bubble.id = `labkit-meaning-${Math.random().toString(36).slice(2)}`;
  bubble.setAttribute("role", "tooltip");
  bubble.hidden = true;
  document.body.append(bubble);
  let shown = null;
  let going = 0;

  function show(word) {
    clearTimeout(going);
    if (shown !== word) hide();
    shown = word;
    bubble.textContent = means.get(word.textContent.toLowerCase())[1];
    bubble.hidden = false;
    word.setAttribute("aria-describedby", bubble.id);
    place();
  }

  /** The meaning goes with its word when the page is moved. */
  function place() {
    if (!shown) return;
    const at = shown.getBoundingClientRect();
    const left = Math.max(8, Math.min(at.left, innerWidth - bubble.offsetWidth - 8));
    const below = at.bottom + bubble.offsetHeight + 8 < innerHeight;
    bubble.style.left = `${left}px`;
    bubble.style.top = `${below ? at.bottom + 2 : at.top - bubble.offsetHeight - 2}px`;
  }

  function hide() {
    clearTimeout(going);
    shown?.removeAttribute("aria-describedby");
    shown = null;
    bubble.hidden = true;
  }

  function leave() {
    clearTimeout(going);
    going = setTimeout(hide, GOING);
  }

  bubble.addEventListener("pointerenter", () => clearTimeout(going));
  bubble.addEventListener("pointerleave", leave);
  const gone = new AbortController();
  document.addEventListener("keydown", ({ key }) => key === "Escape" && hide(), { signal: gone.signal });
  document.addEventListener("pointerdown", ({ target }) => {
    if (!target.closest?.(".labkit-term, .labkit-meaning")) hide();
  }, { signal: gone.signal });
  book.addEventListener("scroll", place, { capture: true, signal: gone.signal });

  function term(text) {
    const word = document.createElement("span");
    word.className = "labkit-term";
    word.tabIndex = 0;
    word.textContent = text;
    word.addEventListener("pointerenter", ({ pointerType }) => pointerType === "mouse" && show(word));
    word.addEventListener("pointerleave", ({ pointerType }) => pointerType === "mouse" && leave());
    word.addEventListener("focus", () => show(word));
    word.addEventListener("blur", hide);
    word.addEventListener("click", () => show(word));
    return word;
  }

  /** A text has each of its terms marked once. */
  function mark(text) {
    const said = new Set([...text.querySelectorAll(".labkit-term")].map((word) => means.get(word.textContent.toLowerCase())[0]));
    const walker = document.createTreeWalker(text, NodeFilter.SHOW_TEXT);
    const nodes = [];
    while (walker.nextNode()) if (!walker.currentNode.parentElement.closest(NOT_IN)) nodes.push(walker.currentNode);
    for (const node of nodes) {
      const parts = [];
      let last = 0;
      for (const { 0: found, index } of node.data.matchAll(anyOf)) {
        const [word] = means.get(found.toLowerCase());
        if (said.has(word)) continue;
        said.add(word);
        parts.push(node.data.slice(last, index), term(found));
        last = index + found.length;
      }
      if (parts.length) node.replaceWith(...parts, node.data.slice(last));
    }
  }

  let settling = 0;
  const watch = new MutationObserver(() => {
    clearTimeout(settling);
    settling = setTimeout(all_texts, SETTLED);
  });
  function all_texts() {
    watch.disconnect();
    book.querySelectorAll(TEXTS).forEach(mark);
    watch.observe(book, { childList: true, subtree: true });
  }
  all_texts();
  return () => {
    watch.disconnect();
    clearTimeout(settling);
    gone.abort();
    bubble.remove();
  };
}
