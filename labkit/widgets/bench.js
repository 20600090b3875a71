// A bench to click. Python decides what happens and what is said; this file draws what it is told
// (traits drawing, meter, said, history, more, offers, naming) and tells what was asked for
// ({ ask, with }). `windowOn` is in paper.js, which stands before it.

const HANDS = {
  both: "red, then black",
  red: "red",
  black: "black",
  jumper: "jumper",
  "test lamp": "test lamp",
  "take apart": "take apart",
};
const HINT =
  "Click a numbered point to place the red lead, another to place the black one. " +
  "Click a tinted part to operate it, or to look at what it does.";
const LOOKING =
  "Keys: R and B put a lead on a point, Esc lifts both; + \u2212 0 zoom, as Ctrl and the wheel do.";
const BUSY = 40; // so long after something was asked it is seen to be worked on [ms]
const PATIENCE = 12000; // so long, and the reader is told what may be the matter [ms]
const LONG = 10; // what takes as long as this is asked about first [min]

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

  // What is asked for is seen to be worked on. The notebook's server may hold its second small packet back until the first is acknowledged,
  // which a silent page does 40 ms late or more; a word when the kernel has begun takes that along.
  let waiting = 0;
  let timers = [];
  function status({ content }) {
    if (content.execution_state === "busy") model.send({});
    else if (--waiting <= 0) rest();
  }
  function rest() {
    waiting = 0;
    timers.forEach(clearTimeout);
    el.classList.remove("busy", "late");
  }
  function ask(what, args = {}) {
    if (!waiting++) {
      timers = [["busy", BUSY], ["late", PATIENCE]].map(([name, ms]) =>
        setTimeout(() => el.classList.add(name), ms));
    }
    model.send({ ask: what, with: args }, { iopub: { status } });
  }

  // -- the drawing, with a button over everything that can be touched ------------------------
  const sheet = make("div", { class: "sheet" });
  const leads = make("div", { class: "leads", "aria-hidden": "true" });
  const paper = windowOn(sheet, (narrow) => ask("narrow", { narrow }));
  const hint = make("span", { class: "hint", "aria-hidden": "true" }, LOOKING);

  /** What a target is stands below the drawing, where it covers nothing. */
  function tell({ target, pointerType = "mouse" }) {
    if (pointerType !== "mouse") return;
    hint.textContent = target.closest?.(".sheet button")?.getAttribute("aria-label") ?? LOOKING;
  }
  for (const kind of ["pointerover", "focusin"]) sheet.addEventListener(kind, tell);
  sheet.addEventListener("pointerleave", tell);

  function over(box, attributes, label) {
    const style = `left:${box.x}px;top:${box.y}px;--wide:${box.width}px;--high:${box.height}px`;
    return make("button", { type: "button", style, "aria-label": label, ...attributes });
  }

  function words(place) {
    const here = model.get("meter").held.filter((held) => held.key === place.key);
    return [place.label, ...here.map(({ what }) => `${what} here`)].join("; ");
  }

  function point(place) {
    const on = { click: () => ask("touch", { key: place.key }), keydown: keys(place) };
    const box = { x: place.x, y: place.y, width: 26, height: 26 };
    const kind = place.apart ? "probe apart" : "probe";
    return over(box, { class: kind, "data-key": place.key, on }, words(place));
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
    const middle = { ...spot, x: spot.x + spot.width / 2, y: spot.y + spot.height / 2 };
    const key = spot.again ? null : `part ${spot.id}`;
    const tab = spot.again ? "-1" : null;
    const on = { click: () => ask("operate", { id: spot.id }) };
    return over(middle, { class: "handle", "data-key": key, tabindex: tab, on }, spot.label);
  }

  function drawSheet() {
    const { svg, width, height, points, parts, single, sheets } = model.get("drawing");
    sheet.classList.toggle("single", single);
    paper.sized(width, height, Boolean(sheets));
    redraw(sheet, [parse(svg), leads, ...points.map(point), ...parts.map(part)]);
    drawSheets(sheets);
  }

  // -- the sheets of a large boat: one is drawn, the others are a choice or a button away -----
  const chosen = make("div", { class: "row sheets" });
  const beside = make("nav", { class: "beside", "aria-label": "Sheets that share a node with this one" });

  function drawSheets(sheets) {
    chosen.hidden = beside.hidden = !sheets;
    if (!sheets) return;
    const { here, all } = sheets;
    const name = new Map(all);
    const go = (number) => ask("turn_sheet", { number });
    const by = (text, number, title) =>
      make("button", { type: "button", title, disabled: !name.has(number), "data-key": text, "aria-label": title,
        on: { click: () => go(number) } }, text);
    const list = make("select", { "data-key": "sheet", on: { change: ({ target }) => go(Number(target.value)) } },
      ...all.map(([number, title]) =>
        make("option", { value: number, selected: number === here }, `${number} of ${all.length}: ${title}`)));
    const left = beside.contains(document.activeElement);
    redraw(chosen, [make("label", {}, "Sheet ", list),
      by("\u2039", here - 1, "the sheet before"), by("\u203a", here + 1, "the next sheet")]);
    redraw(beside, [
      ...sheets.away.map((text) => make("p", {}, `On other sheets: ${text}.`)),
      ...sheets.beside.map(({ by: node, sheets: numbers }) =>
        make("div", { class: "row", role: "group", "aria-label": `by ${node}` }, make("span", { class: "by" }, `by ${node}:`),
          ...numbers.map((n) => by(`${n} ${name.get(n)}`, n, `to sheet ${n}, ${name.get(n)}`)))),
    ]);
    // whoever left by a button is now on another sheet, where that button may be no more
    if (left && !beside.contains(document.activeElement)) list.focus({ preventScroll: true });
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
    model.get("meter").functions.map((f) => [f.name, f.name.replace("-ac", " AC"), f.says]),
    (name) => ask("turn_to", { function: name }),
  );
  const hands = choice("hand", "In hand", Object.entries(HANDS), (hand) => ask("take", { hand }));
  const button = (text, done, title) =>
    make("button", { type: "button", title, "data-key": text, on: { click: done } }, text);
  const meter = make(
    "div",
    { class: "meter", role: "group", "aria-label": "Meter and tools" },
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
      button("Undo", () => ask("undo"), "put the leads back where they were"),
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
    message.textContent = said.message || (said.begun ? "" : HINT);
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
  const acts = make("form", { class: "acts" });
  const kept = {};

  /** A list to choose from, on which nothing is chosen beforehand where there is a choice. */
  function select(name, label, options, changed) {
    const listed = [...options];
    const required = listed.length > 1 && listed.every(([, value]) => value);
    if (required) listed.unshift(["choose", ""]);
    const on = {
      change: ({ target }) => {
        kept[name] = target.value;
        changed?.();
      },
    };
    const made = listed.map(([text, value]) => make("option", { value }, text));
    const box = make("select", { "aria-label": label, "data-key": name, required, on }, ...made);
    if (listed.some(([, value]) => value === kept[name])) box.value = kept[name];
    kept[name] = box.value;
    return make("label", {}, label, box);
  }

  /** Asks before something long or dear is done: the button changes into the question. */
  function sure(place, question, done) {
    const [before, asker] = [[...place.childNodes], document.activeElement];
    const back = () => (place.replaceChildren(...before), asker?.focus({ preventScroll: true }));
    const yes = button("Yes", () => (back(), done()));
    place.replaceChildren(
      make("span", { class: "sure", role: "alert" }, question),
      yes,
      button("No", back),
    );
    yes.focus({ preventScroll: true });
  }

  function drawActs() {
    const offers = model.get("offers");
    const names = offers.map((offer) => [offer.label, offer.action]);
    const listed = select("action", "Do", names, drawActs);
    const offer = offers.find((o) => o.action === kept.action);
    const fields = (offer?.fields ?? []).map((f) =>
      select(`${offer.action} ${f.name}`, f.label, f.options));
    const doer = make("button", { type: "submit", "data-key": "do it" }, "Do it");
    const last = make("span", { class: "row" }, doer);
    redraw(acts, [listed, ...fields, ...(offer ? [last] : [])]);
    acts.onsubmit = (event) => {
      event.preventDefault();
      const chosen = offer.fields.map((f) => [f.name, kept[`${offer.action} ${f.name}`]]);
      const args = Object.fromEntries(chosen.filter(([, value]) => value));
      const go = () => ask("do", { action: offer.action, ...args });
      if (offer.minutes < LONG) go();
      else sure(last, `That takes some ${offer.minutes.toFixed(0)} minutes. Do it?`, go);
    };
  }

  // -- what is wrong, and is it mended? ---------------------------------------------------------
  const naming = make("form", { class: "naming" });
  const verdict = make("p", { class: "verdict", role: "status" });

  function drawNaming() {
    const { parts, modes, said, proven, hint } = model.get("naming");
    naming.hidden = !parts;
    if (!parts) return;
    el.classList.toggle("proven", proven);
    const news = verdict.textContent !== said;
    verdict.textContent = said;
    const row = make("span", { class: "row" },
      make("button", { type: "submit", "data-key": "name it" }, "Name it"),
      button("Prove the repair", () => ask("prove")),
      ...(hint ? [make("button", { type: "button", "data-key": "hint", on: { click: () => ask("hint") } }, hint)] : []),
      button("Start anew", () =>
        sure(row, "Begin this hunt again, from the complaint?", () => ask("anew"))));
    redraw(naming, [
      select("part", "Part", parts, drawNaming),
      select("how", "How", modes[kept.part ?? ""]),
      row,
      verdict,
    ]);
    if (news && said) verdict.scrollIntoView({ block: "nearest" });
    naming.onsubmit = (event) => {
      event.preventDefault();
      ask("name", { part: kept.part, mode: kept.how });
    };
  }

  // -- the whole --------------------------------------------------------------------------------
  el.classList.add("labkit-bench");
  const others = document.querySelectorAll(".labkit-bench .bench").length;
  const number = others ? ` ${others + 1}` : ""; // two on a page are told apart by it
  // letters typed here are not the notebook's commands, which ask the one typed at
  el.addEventListener("focusin", ({ target }) => (target.dataset.lmSuppressShortcuts = "true"));
  const bench = make(
    "section",
    { "aria-label": `Bench${number}: ${model.get("title")}`, class: "bench", tabindex: "-1" },
    make("div", { class: "drawn" }, chosen, paper.view, make("div", { class: "under" }, hint,
      make("div", { class: "row", role: "group", "aria-label": "Zoom" },
        ...paper.controls.map(([text, done]) => button(text, done)))), beside),
    make("div", { class: "saying" }, cautions, message),
    make("div", { class: "side" }, meter, naming),
    make("div", { class: "log", role: "group", "aria-label": "Log" },
      acts, make("div", { class: "head" }, make("h3", {}, "Log"), minutes), lines),
  );
  bench.addEventListener("pointerdown", ({ target }) => {
    if (!target.closest("button, input, select, label")) bench.focus({ preventScroll: true });
  });
  bench.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const typed = event.target.closest("input, select");
    const does = { ...(typed ? {} : paper.keys), Escape: () => ask("lift") }[event.key];
    if (!does) return;
    event.preventDefault();
    event.stopPropagation();
    does();
  });
  el.append(bench);

  const draws = {
    drawing: () => (drawSheet(), drawLeads()),
    meter: drawMeter,
    said: drawSaid,
    history: drawLog,
    offers: drawActs,
    naming: drawNaming,
  };
  for (const [name, draw] of Object.entries(draws)) {
    draw();
    model.on(`change:${name}`, draw);
  }
  return () => {
    for (const [name, draw] of Object.entries(draws)) model.off(`change:${name}`, draw);
  };
}

/** The log grows on the page: only what is new of it is told. */
function initialize({ model }) {
  model.on("change:more", () => {
    const { from, lines } = model.get("more");
    model.set("history", [...model.get("history").slice(0, from), ...lines]);
  });
}

export default { initialize, render };
