// A bench to click. Python decides what happens and what is said; this file draws what it is told
// (traits drawing, meter, said, history, offers) and tells what was asked for ({ ask, with }).

const HANDS = {
  both: "red, then black",
  red: "red",
  black: "black",
  jumper: "jumper",
  "test lamp": "test lamp",
  spanner: "spanner",
};
const HINT =
  "Click a numbered point to place the red lead, another to place the black one; with one lead " +
  "in hand the other stays. Click a tinted part " +
  "to operate it, or to look at what it does. On a point, the keys R and B put a lead; Esc " +
  "lifts both. Take the jumper, the test lamp or the spanner in hand to use it on the drawing.";

/**
 * Make an element. `on` holds listeners, everything else is an attribute.
 * @param {string} tag
 * @param {Record<string, any>} attributes
 * @param {...(Node | string)} children
 */
function make(tag, { on = {}, ...attributes } = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== false && value != null) element.setAttribute(name, value === true ? "" : value);
  }
  for (const [name, listener] of Object.entries(on)) element.addEventListener(name, listener);
  element.append(...children);
  return element;
}

/** Parse SVG without running anything in it. */
function parse(text) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  return document.importNode(parsed, true);
}

/** Draw part of the bench anew without losing the keyboard's place in it. */
function redraw(place, children) {
  const key = place.contains(document.activeElement) && document.activeElement.dataset.key;
  place.replaceChildren(...children);
  if (key) place.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus({ preventScroll: true });
}

function render({ model, el }) {
  const view = `labkit-${Math.random().toString(36).slice(2)}`; // each bench on a page its own radios

  // The notebook's server may hold its second small packet back until the first is acknowledged,
  // which a silent page does 40 ms late or more; a word when the kernel has begun takes that along.
  const begun = { status: ({ content }) => content.execution_state === "busy" && model.send({}) };
  const ask = (what, args = {}) => model.send({ ask: what, with: args }, { iopub: begun });

  // -- the drawing, with a button over everything that can be touched ------------------------
  const sheet = make("div", { class: "sheet", on: { keydown: escape } });
  const leads = make("div", { class: "leads", "aria-hidden": "true" });

  function escape(event) {
    if (event.key !== "Escape") return;
    event.preventDefault();
    event.stopPropagation();
    ask("lift");
  }

  function over(at, half, attributes, label) {
    const { width, height } = model.get("drawing");
    const style =
      `left:${(100 * (at.x - half.x)) / width}%;top:${(100 * (at.y - half.y)) / height}%;` +
      `width:${(200 * half.x) / width}%;height:${(200 * half.y) / height}%`;
    return make("button", { type: "button", style, "aria-label": label, title: label, ...attributes });
  }

  function words(place) {
    const here = model.get("meter").held.filter((held) => held.key === place.key);
    return [place.label, ...here.map(({ what }) => `${what} here`)].join("; ");
  }

  function point(place) {
    const on = { click: () => ask("touch", { key: place.key }), keydown: keys(place) };
    return over(place, { x: 13, y: 13 }, { class: "probe", "data-key": place.key, on }, words(place));
  }

  function keys(place) {
    const does = {
      r: () => ask("put", { lead: "red", key: place.key }),
      b: () => ask("put", { lead: "black", key: place.key }),
      ArrowRight: (event) => step(event.target, 1),
      ArrowLeft: (event) => step(event.target, -1),
    };
    return (event) => {
      const done = does[event.key.length === 1 ? event.key.toLowerCase() : event.key];
      if (!done || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      event.stopPropagation();
      done(event);
    };
  }

  function step(from, by) {
    const all = [...sheet.querySelectorAll(".probe")];
    all[(all.indexOf(from) + by + all.length) % all.length].focus();
  }

  function part(spot) {
    const half = { x: spot.width / 2, y: spot.height / 2 };
    const middle = { x: spot.x + half.x, y: spot.y + half.y };
    const key = spot.again ? null : `part ${spot.id}`;
    const tab = spot.again ? "-1" : null;
    const on = { click: () => ask("operate", { id: spot.id }) };
    return over(middle, half, { class: "handle", "data-key": key, tabindex: tab, on }, spot.label);
  }

  function drawSheet() {
    const { svg, width, height, points, parts, single } = model.get("drawing");
    sheet.classList.toggle("single", single);
    sheet.style.setProperty("--width", `${width}px`);
    sheet.style.aspectRatio = `${width} / ${height}`;
    redraw(sheet, [parse(svg), leads, ...points.map(point), ...parts.map(part)]);
  }

  function drawLeads() {
    const { width, height } = model.get("drawing");
    const box = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}">`;
    leads.replaceChildren(parse(`${box}${model.get("meter").leads}</svg>`));
    const buttons = sheet.querySelectorAll(".probe");
    model.get("drawing").points.forEach((place, n) => buttons[n]?.setAttribute("aria-label", words(place)));
  }

  // -- the meter ------------------------------------------------------------------------------
  const display = make("output", { class: "display" });
  const where = make("dl", { class: "where" });
  const spoken = make("p", { class: "spoken", role: "status", "aria-live": "polite" });

  function choice(name, legend, options, chosen) {
    const radios = options.map(([value, text, title]) => {
      const on = { change: () => chosen(value) };
      const radio = make("input", { type: "radio", name: `${view}-${name}`, value, on });
      return make("label", { title }, radio, make("span", {}, text));
    });
    return make("fieldset", { class: `choice ${name}` }, make("legend", {}, legend), ...radios);
  }

  const functions = choice(
    "function",
    "Meter",
    model.get("meter").functions.map((f) => [f.name, f.name, f.says]),
    (name) => ask("turn_to", { function: name }),
  );
  const hands = choice("hand", "In hand", Object.entries(HANDS), (hand) => ask("take", { hand }));
  const button = (text, done) => make("button", { type: "button", on: { click: done } }, text);
  const meter = make(
    "section",
    { class: "meter", "aria-label": "Meter" },
    display,
    spoken,
    where,
    functions,
    hands,
    make(
      "div",
      { class: "row" },
      button("Swap leads", () => ask("swap")),
      button("Lift off", () => ask("lift")),
      button("Read again", () => ask("read")),
    ),
  );

  /** Mark a choice when it is news: an answer to an older question must not undo a newer click. */
  function mark(box, value) {
    if (box.dataset.value === value) return;
    box.dataset.value = value;
    for (const radio of box.querySelectorAll("input")) radio.checked = radio.value === value;
  }

  function drawMeter() {
    const state = model.get("meter");
    display.textContent = state.display;
    display.classList.toggle("tone", state.tone);
    spoken.textContent = state.spoken + (state.tone ? ", with a tone" : "");
    where.replaceChildren(
      make("dt", { class: "red" }, "R"),
      make("dd", {}, state.red),
      make("dt", { class: "black" }, "B"),
      make("dd", {}, state.function === "clamp" ? "not used" : state.black),
    );
    mark(functions, state.function);
    mark(hands, state.hand);
    drawLeads();
  }

  // -- what was said, and the log -------------------------------------------------------------
  const message = make("p", { class: "message", role: "status" });
  const cautions = make("div", { class: "cautions", role: "alert" });
  const minutes = make("p", { class: "minutes" });
  const lines = make("ol", { class: "lines" });

  function drawSaid() {
    const said = model.get("said");
    message.textContent = said.message || (model.get("history").length ? "" : HINT);
    minutes.textContent = `${said.minutes} spent`;
    cautions.replaceChildren(
      ...said.hazards.map((text) => make("p", {}, make("strong", {}, "Caution. "), text)),
    );
  }

  function drawLog() {
    const added = model.get("history").slice(lines.children.length);
    lines.append(...added.map(line));
    lines.scrollTop = lines.scrollHeight;
  }

  function line({ number, done, shows, took, caution }) {
    const on = { click: () => ask("again", { number }) };
    return make(
      "li",
      { class: caution ? "caution" : null },
      make("span", { class: "done" }, done),
      make("span", { class: "shows" }, shows),
      make("span", { class: "took" }, took),
      make("button", { type: "button", "aria-label": `do line ${number} again: ${done}`, on }, "again"),
    );
  }

  // -- everything else that can be done ---------------------------------------------------------
  const acts = make("form", { class: "acts", "aria-label": "Do something else" });
  const kept = {};

  function select(name, label, options) {
    const on = { change: (event) => keep(name, event.target.value) };
    const listed = options.map(([text, value]) => make("option", { value }, text));
    const box = make("select", { "aria-label": label, "data-key": name, on }, ...listed);
    if (options.some(([, value]) => value === kept[name])) box.value = kept[name];
    kept[name] = box.value;
    return make("label", {}, label, box);
  }

  function keep(name, value) {
    kept[name] = value;
    if (name === "action") drawActs();
  }

  function drawActs() {
    const offers = model.get("offers");
    const listed = select("action", "Do", offers.map((offer) => [offer.label, offer.action]));
    const offer = offers.find((o) => o.action === kept.action) ?? offers[0];
    const fields = offer.fields.map((f) => select(`${offer.action} ${f.name}`, f.label, f.options));
    const doer = make("button", { type: "submit", "data-key": "do it" }, "Do it");
    redraw(acts, [listed, ...fields, doer]);
    acts.onsubmit = (event) => {
      event.preventDefault();
      const chosen = offer.fields.map((f) => [f.name, kept[`${offer.action} ${f.name}`]]);
      const args = Object.fromEntries(chosen.filter(([, value]) => value));
      ask("do", { action: offer.action, ...args });
    };
  }

  // -- the whole --------------------------------------------------------------------------------
  el.classList.add("labkit-bench");
  // letters typed here are not the notebook's commands, which ask the one typed at
  el.addEventListener("focusin", ({ target }) => (target.dataset.lmSuppressShortcuts = "true"));
  el.append(
    make(
      "section",
      { "aria-label": `Bench: ${model.get("title")}`, class: "bench" },
      make("div", { class: "paper", role: "group", "aria-label": "Drawing" }, sheet),
      cautions,
      message,
      make(
        "div",
        { class: "below" },
        meter,
        make(
          "section",
          { class: "log", "aria-label": "Log" },
          make("div", { class: "head" }, make("h3", {}, "Log"), minutes),
          lines,
          acts,
        ),
      ),
    ),
  );

  const draws = {
    drawing: () => (drawSheet(), drawLeads()),
    meter: drawMeter,
    said: drawSaid,
    history: drawLog,
    offers: drawActs,
  };
  for (const [name, draw] of Object.entries(draws)) {
    draw();
    model.on(`change:${name}`, draw);
  }
  return () => {
    for (const [name, draw] of Object.entries(draws)) model.off(`change:${name}`, draw);
  };
}

export default { render };
