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

/** Letters typed at a card are the card's own. */
function hush({ target }) {
  const card = ".labkit-card, .labkit-hunt, .labkit-ladder, .labkit-bench, .labkit-behind";
  if (target.closest(card)) target.dataset.lmSuppressShortcuts = "true"; // asked at the target
}

function render({ el }) {
  const button = document.createElement("button");
  button.className = "labkit-fold";
  button.hidden = "voila" in document.body.dataset; // where no code is to be seen anyway
  el.append(button);
  let book = null;
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
    stay(book.querySelector(".jp-WindowedPanel-outer") ?? book);
  });
  return () => {
    cancelAnimationFrame(waiting);
    document.removeEventListener("focusin", hush);
  };
}

export default { render };
