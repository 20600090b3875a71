// A window onto a sheet, which is fitted to it, zoomed and moved: by wheel with Ctrl, pinch,
// drag, buttons and keys. What the sheet holds is laid out in its own pixels.

const NARROW = 520; // a window less wide has its sheet laid out anew [px]
const MOST = 3; // largest zoom
const FITTED = 1.25; // no small sheet is blown up further to fill its window
const READABLE = 0.8; // a narrow window, or a sheet of many, begins with this zoom and not the whole
const NEARLY = 0.72; // from this zoom on the whole is shown all the same
const STEP = 1.3; // of a button or key
const REACH = 24; // a click beside a target is meant for it [px on screen]
const DRAG = 6; // a pointer that moved so far did not click [px]

/**
 * @param {HTMLElement} sheet
 * @param {(narrow: boolean) => void} laidOut told when the window becomes narrow or wide
 */
function windowOn(sheet, laidOut) {
  const view = make("div", { class: "view", role: "group", "aria-label": "Drawing" }, sheet);
  const at = { scale: 1, x: 0, y: 0, fit: 1 };
  const down = new Map();
  let size = { width: 0, height: 0 };
  let narrow = null;
  let one = false; // of many sheets
  let moved = 0;

  function place() {
    const bound = (value, length, room) =>
      length <= room ? (room - length) / 2 : Math.min(0, Math.max(room - length, value));
    at.x = bound(at.x, size.width * at.scale, view.clientWidth);
    at.y = bound(at.y, size.height * at.scale, view.clientHeight);
    sheet.style.transform = `translate(${at.x}px, ${at.y}px) scale(${at.scale})`;
    sheet.style.setProperty("--scale", at.scale);
    const larger =
      size.width * at.scale > view.clientWidth + 1 || size.height * at.scale > view.clientHeight + 1;
    view.classList.toggle("larger", larger);
  }

  function whole() {
    if (!view.clientWidth || !size.width) return;
    at.fit = Math.min(view.clientWidth / size.width, view.clientHeight / size.height, FITTED);
    at.scale = (narrow || one) && at.fit < NEARLY ? READABLE : at.fit;
    at.x = at.y = 0;
    place();
    const focused = sheet.querySelector(":focus");
    if (focused) reveal(focused);
  }

  /** What is out of sight is brought into it. */
  function reveal(target) {
    const [box, room] = [target.getBoundingClientRect(), view.getBoundingClientRect()];
    at.x += Math.max(0, room.left + 8 - box.left) - Math.max(0, box.right + 8 - room.right);
    at.y += Math.max(0, room.top + 8 - box.top) - Math.max(0, box.bottom + 8 - room.bottom);
    place();
  }

  function zoom(by, middle = { x: view.clientWidth / 2, y: view.clientHeight / 2 }) {
    const scale = Math.min(MOST, Math.max(at.fit, at.scale * by));
    at.x = middle.x - ((middle.x - at.x) * scale) / at.scale;
    at.y = middle.y - ((middle.y - at.y) * scale) / at.scale;
    at.scale = scale;
    place();
  }

  function inView({ clientX, clientY }) {
    const box = view.getBoundingClientRect();
    return { x: clientX - box.left, y: clientY - box.top };
  }

  function spread() {
    const [a, b] = [...down.values()];
    if (!b) return null;
    const middle = { clientX: (a.clientX + b.clientX) / 2, clientY: (a.clientY + b.clientY) / 2 };
    return { ...inView(middle), far: Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) };
  }

  function pointed(event) {
    const before = down.get(event.pointerId);
    if (!before) return;
    const was = spread();
    down.set(event.pointerId, event);
    const now = spread();
    if (now) {
      at.x += now.x - was.x;
      at.y += now.y - was.y;
      moved = DRAG + 1;
      zoom(now.far / was.far, now);
    } else if (view.classList.contains("larger")) {
      const [dx, dy] = [event.clientX - before.clientX, event.clientY - before.clientY];
      moved += Math.abs(dx) + Math.abs(dy);
      at.x += dx;
      at.y += dy;
      place();
    }
  }

  /** A click beside everything is meant for what is nearest, within reach. */
  function nearest({ clientX, clientY }) {
    const far = (target) => {
      const { left, right, top, bottom } = target.getBoundingClientRect();
      const [dx, dy] = [Math.max(left - clientX, 0, clientX - right), Math.max(top - clientY, 0, clientY - bottom)];
      return Math.hypot(dx, dy);
    };
    const targets = [...sheet.querySelectorAll("button")].map((target) => [far(target), target]);
    const [best] = targets.sort(([a], [b]) => a - b);
    return best && best[0] <= REACH ? best[1] : null;
  }

  view.addEventListener("pointerdown", (event) => {
    if (!down.size) moved = 0;
    down.set(event.pointerId, event);
  });
  view.addEventListener("pointermove", pointed);
  for (const kind of ["pointerup", "pointercancel", "pointerleave"]) {
    view.addEventListener(kind, ({ pointerId }) => down.delete(pointerId));
  }
  view.addEventListener("click", (event) => {
    if (moved <= DRAG) return;
    event.stopPropagation();
    event.preventDefault();
  }, true);
  view.addEventListener("click", (event) => {
    if (!event.target.closest("button")) nearest(event)?.click();
  });
  view.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && !event.metaKey) return; // the page's own scrolling
    event.preventDefault();
    event.stopPropagation();
    zoom(Math.exp(-event.deltaY / 200), inView(event));
  }, { passive: false });
  view.addEventListener("focusin", ({ target }) => reveal(target));
  new ResizeObserver(() => {
    if (!view.clientWidth) return;
    const thin = view.clientWidth < NARROW;
    if (thin !== narrow) laidOut((narrow = thin));
    whole();
  }).observe(view);

  return {
    view,
    /** What a key does to the window, or nothing. */
    keys: {
      "+": () => zoom(STEP), "=": () => zoom(STEP), "-": () => zoom(1 / STEP), 0: whole,
    },
    controls: [["smaller", () => zoom(1 / STEP)], ["larger", () => zoom(STEP)], ["whole", whole]],
    /** The sheet has this size now; what was zoomed stays so unless the size is another one. */
    sized(width, height, ofMany = false) {
      one = ofMany;
      sheet.style.width = `${width}px`;
      sheet.style.height = `${height}px`;
      view.style.aspectRatio = `${width} / ${height}`;
      const same = size.width === width && size.height === height;
      size = { width, height };
      if (same) place();
      else whole();
    },
  };
}
