// The head of a lesson: folds code away, and keeps the reader's place while all cells are run.

const BOOK = ".jp-NotebookPanel-notebook, .jp-Notebook";
const PATIENCE = 60000; // a lesson has run by then [ms]
const QUIET = 3000; // so long after the last jump all cells have run [ms]
const OWN = ["wheel", "touchstart", "keydown", "pointerdown"]; // what a reader moves a page with

/** Puts the page back at its top, where this cell is, until the reader moves it or all have run. */
function stay(scroller) {
  const began = performance.now();
  let last = began;
  const stop = new AbortController();
  for (const kind of OWN) {
    scroller.addEventListener(kind, () => stop.abort(), { passive: true, signal: stop.signal });
  }
  const back = () => {
    const now = performance.now();
    if (now - began > PATIENCE || (now - last > QUIET && now - began > 20000)) return stop.abort();
    if (scroller.scrollTop > 2) {
      scroller.scrollTop = 0;
      last = now;
    }
  };
  scroller.addEventListener("scroll", back, { signal: stop.signal });
  back();
}

/** An output wider than the page, which scrolls, can be reached by the keyboard that scrolls it. */
function reachable(book) {
  const watch = new ResizeObserver(() => {
    for (const output of book.querySelectorAll(".jp-OutputArea-output")) {
      if (output.scrollWidth > output.clientWidth + 1) output.tabIndex = 0;
      else output.removeAttribute("tabindex");
    }
  });
  watch.observe(book.querySelector(".jp-WindowedPanel-viewport") ?? book);
  return watch;
}

/** Letters typed at a card are the card's own. */
function hush({ target }) {
  const card = ".labkit-card, .labkit-hunt, .labkit-ladder, .labkit-bench, .labkit-behind";
  if (target.closest(card)) target.dataset.lmSuppressShortcuts = "true"; // asked at the target
}

/** A link to a lesson beside this one; the notebook's application opens it where it can. */
function lesson([file, title], words) {
  const here = location.pathname;
  const folder = here.match(/\/(?:tree|notebooks)\/(.*\/)?[^/]*$/);
  const link = document.createElement("a");
  link.href = here.slice(0, here.lastIndexOf("/") + 1) + encodeURIComponent(file);
  link.textContent = `${words}: ${title}`;
  if (folder) {
    link.dataset.commandlinkerCommand = "docmanager:open";
    link.dataset.commandlinkerArgs = JSON.stringify({ path: decodeURIComponent(folder[1] ?? "") + file });
  }
  return link;
}

/** Links to the lessons before and after this one. */
function course({ before, after }) {
  const nav = document.createElement("nav");
  nav.className = "labkit-course";
  nav.setAttribute("aria-label", "Lessons");
  if (before) nav.append(lesson(before, "Before"));
  if (after) nav.append(lesson(after, "Next"));
  return nav;
}

function render({ model, el }) {
  const button = document.createElement("button");
  button.className = "labkit-fold";
  button.hidden = "voila" in document.body.dataset; // where no code is to be seen anyway
  el.append(button, course(model.get("beside")));
  let book = null;
  let unexplain = () => {};
  let widths = null;
  const say = () => {
    button.textContent = book?.classList.contains("labkit-code") ? "Hide the code" : "Show the code";
  };
  button.addEventListener("click", () => {
    book?.classList.toggle("labkit-code");
    say();
  });
  say();
  document.addEventListener("focusin", hush);
  let waiting = requestAnimationFrame(function find() {
    book = el.closest(BOOK);
    if (!book) {
      waiting = requestAnimationFrame(find); // not on the page yet
      return;
    }
    book.classList.add("labkit-lesson");
    unexplain = explained(book, model.get("terms"));
    widths = reachable(book);
    stay(book.querySelector(".jp-WindowedPanel-outer") ?? book);
  });
  return () => {
    cancelAnimationFrame(waiting);
    unexplain();
    widths?.disconnect();
    document.removeEventListener("focusin", hush);
  };
}

export default { render };
