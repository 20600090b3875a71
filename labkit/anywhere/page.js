// The page: a list of hunts, one hunt at a time with its bench, what is kept of it. Python runs in
// a worker; until it does, drawing and words stand there already and what is clicked waits for it.

const $ = (selector, within = document) => within.querySelector(selector);
const facts = JSON.parse($("#facts").textContent); // { title, offline, pieces, hunts: { slug: { title } } }
const KEPT = "labkit attempt ";
const NAME = "labkit learner";

/** Make an element with attributes (listeners under `on`) and children. */
function make(tag, { on = {}, ...attributes } = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  for (const [name, listener] of Object.entries(on)) element.addEventListener(name, listener);
  element.append(...children);
  return element;
}

// -- what is kept ---------------------------------------------------------------------------------

const attempts = new Map(); // every attempt known, by the name of its file
let kept = true;

function storage(use, otherwise) {
  try {
    return use(window.localStorage);
  } catch {
    kept = false;
    return otherwise;
  }
}

function recall() {
  storage((store) => {
    store.setItem("labkit tried", "1");
    for (let n = 0; n < store.length; n++) {
      const key = store.key(n);
      if (key.startsWith(KEPT)) attempts.set(key.slice(KEPT.length), store.getItem(key));
    }
  });
}

/** Add lines to an attempt. Where another window went on with it, they go to a file of their own. */
function keep(open, lines) {
  open.text += lines;
  if (!open.begun && !open.text.slice(0, -1).includes("\n")) return; // nothing was done yet
  storage((store) => {
    const there = store.getItem(KEPT + open.file);
    if (open.begun && there !== null && there !== open.stored) {
      open.file = open.file.replace(/\.jsonl$/, "-other-window.jsonl");
    }
    store.setItem(KEPT + open.file, open.text);
  });
  open.begun = true;
  open.stored = open.text;
  attempts.set(open.file, open.text);
  sayKept();
}

function sayKept() {
  const many = attempts.size;
  $("#kept").textContent = kept
    ? "What you do is kept in this browser, until you clear its data."
    : "This browser keeps nothing for this page: save the attempt as a file before you leave it.";
  $("#kept").classList.toggle("trouble", !kept);
  $("#save-all").hidden = !many;
  $("#save-all").textContent = many === 1 ? "Save the attempt as a file" : `Save all ${many} attempts`;
}

function save(file, text) {
  const url = URL.createObjectURL(new Blob([text], { type: "application/jsonl" }));
  make("a", { href: url, download: file }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}

/** What the lines of an attempt say, as far as this page needs it. */
function lineOf(text, number) {
  try {
    return JSON.parse(text.split("\n")[number]);
  } catch {
    return {};
  }
}

const isFinished = (text) => text.includes('"kind": "finished"');

function ofHunt(slug, learner) {
  const title = facts.hunts[slug].title;
  return [...attempts].filter(([, text]) => {
    const head = lineOf(text, 0);
    return head.title === title && head.learner === learner;
  }).sort(([a], [b]) => (a < b ? 1 : -1));
}

window.addEventListener("beforeunload", (event) => {
  if (!kept && attempts.size) event.preventDefault();
});

// -- Python ---------------------------------------------------------------------------------------

const waiting = new Map();
let asked = 0;
let worker = null;
let ready = false;

function call(name, ...args) {
  const id = ++asked;
  worker.postMessage({ id, call: name, args });
  return new Promise((resolve, reject) => waiting.set(id, { resolve, reject }));
}

function say(text) {
  $("#python").textContent = text;
}

function heard({ data }) {
  if (data.progress === "ready") {
    ready = true;
    document.documentElement.classList.add("ready");
    say("");
  } else if (data.progress) {
    say(`The bench is getting ready: ${data.progress}. What you click meanwhile is done then.`);
  } else if (data.id === undefined) {
    say(`The bench cannot start here (${data.failed}). The drawings and the worksheets can be used.`);
  } else {
    const { resolve, reject } = waiting.get(data.id);
    waiting.delete(data.id);
    if (data.failed === undefined) resolve(data.told);
    else reject(new Error(data.failed));
  }
}

/** Fetch a piece, counting what has come; or take it out of the page. */
async function piece(name, came = () => {}) {
  const embedded = document.getElementById(`piece-${name}`);
  if (embedded) {
    embedded.remove();
    return embedded.textContent;
  }
  const { file } = facts.pieces[name];
  const answer = await fetch(file);
  if (!answer.ok) throw new Error(`${file}: ${answer.status} ${answer.statusText}`);
  const [parts, reader] = [[], answer.body.getReader()];
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return new Uint8Array(await new Blob(parts).arrayBuffer());
    parts.push(value);
    came(value.length);
  }
}

async function begin() {
  const source = new Blob([$("#unpacking").textContent, $("#worker").textContent], { type: "text/javascript" });
  worker = new Worker(URL.createObjectURL(source));
  worker.onmessage = heard;
  worker.onerror = (event) => heard({ data: { failed: event.message || "no worker can be had" } });
  const names = Object.keys(facts.pieces).filter((name) => name !== "first.json");
  const all = names.reduce((sum, name) => sum + facts.pieces[name].size, 0);
  let got = 0;
  const came = (size) => {
    got += size;
    say(`The bench is getting ready: ${Math.min(99, Math.round((100 * got) / all))} % has come.`);
  };
  const found = await Promise.all(names.map((name) => piece(name, came)));
  const pieces = Object.fromEntries(names.map((name, n) => [name, found[n]]));
  worker.postMessage({ pieces }, found.flatMap((one) => (one.buffer ? [one.buffer] : [])));
}

// -- one hunt -------------------------------------------------------------------------------------

let bench = null; // the script of the bench, as the notebook has it
let open = null; // { slug, file, text, stored, begun, dispose }

/** What the bench knows as its model: states to get, news to hear of, asks to send. */
function modelOf(states, answered) {
  const listeners = {};
  const changed = (name) => listeners[`change:${name}`]?.forEach((f) => f());
  return {
    get: (name) => states[name],
    set(name, value) {
      states[name] = value;
      changed(name);
    },
    on: (name, listener) => (listeners[name] ??= new Set()).add(listener),
    off: (name, listener) => listeners[name]?.delete(listener),
    send(message, { iopub } = {}) {
      if (!message.ask) return;
      const done = () => iopub?.status({ content: { execution_state: "idle" } });
      answered(message).finally(done);
    },
    tell(news) {
      Object.assign(states, news);
      Object.keys(news).forEach(changed);
    },
  };
}

function learner() {
  return $("#learner").value.trim().replace(/\s+/g, " ") || "learner";
}

/** The states a hunt begins with; its drawing stands on the page already. */
function first(slug) {
  if (facts.hunts[slug].states.survey) return {};
  const svg = new XMLSerializer().serializeToString($(`#hunt-${slug} figure svg`));
  const states = structuredClone(facts.hunts[slug].states);
  states.drawing.svg = svg;
  return states;
}

function show(slug, fresh = false) {
  leave();
  const section = $(`#hunt-${slug}`);
  const [former] = fresh ? [] : ofHunt(slug, learner()).filter(([, text]) => !isFinished(text));
  const [file, text] = former ?? ["", ""];
  const mine = (open = { slug, file, text, stored: text, begun: Boolean(text), dispose() {} });
  const table = $(".table", section);
  const over = $(".over", section);
  over.replaceChildren();
  section.classList.add("chosen");
  document.title = `${facts.hunts[slug].title} · ${facts.title}`;

  const failed = (error) => {
    $(".trouble", section).textContent = `That could not be done (${error.message}).`;
  };
  const take = (told) => {
    if (open !== mine) return;
    model.tell(told.states);
    keep(mine, told.lines);
    if (told.end && !over.childElementCount) looked(over, told.end);
  };
  const model = modelOf(first(slug), (message) => {
    if (message.ask === "anew") {
      show(slug, true);
      $("h2", section).focus();
      return Promise.resolve();
    }
    return call("ask", JSON.stringify(message)).then(take, failed);
  });
  table.replaceChildren();
  const place = make("div");
  table.append(place);
  const survey = facts.hunts[slug].states.survey;
  if (!survey) bench.initialize({ model });
  mine.dispose = (survey ? surveyed : bench.render)({ model, el: place });
  $(".trouble", section).textContent = "";
  call("open", slug, learner(), file, text).then((told) => {
    if (told.file !== mine.file) Object.assign(mine, { file: told.file, text: "", begun: false });
    $(".trouble", section).textContent = told.trouble;
    take(told);
  }, failed);
}

/** A survey in place of a bench: what is fitted, claims to tick, and what is said to them. */
function surveyed({ model, el }) {
  const paint = () => {
    const told = model.get("survey");
    if (!told) return;
    const row = (kind, cells) => make("tr", {}, ...cells.map((cell) => make(kind, {}, cell)));
    const head = make("thead", {}, row("th", ["", "as drawn", "as found aboard"]));
    const table = make("table", { class: "fitted" }, head, make("tbody", {}, ...told.fitted.map((cells) => row("td", cells))));
    const boxes = told.claims.map((claim) => {
      const box = make("input", { type: "checkbox", value: claim });
      box.checked = told.ticked.includes(claim);
      return make("label", {}, box, claim);
    });
    const answer = () => model.send({ ask: "answer", with: {
      ticked: [...el.querySelectorAll("input:checked")].map((box) => box.value) } });
    const legend = make("legend", {}, facts.hunts[location.hash.replace("#hunt-", "")].states.survey);
    el.replaceChildren(table, make("fieldset", {}, legend, ...boxes),
      make("button", { type: "button", class: "plain", on: { click: answer } }, "Answer"),
      make("p", { class: "verdict", role: "status" }, told.said && `${told.right ? "✓" : "✗"} ${told.said}`),
      make("p", {}, told.report && `The surveyor wrote: ${told.report}`));
  };
  model.on("change:survey", paint);
  return () => model.off("change:survey", paint);
}

function looked(over, { said, path, advised }) {
  const written = (html) => document.createRange().createContextualFragment(html);
  const parts = [make("h3", {}, "Looked back on")];
  if (path) parts.push(written(path));
  if (advised) {
    const details = make("details", {}, make("summary", {}, "The advised path, beside yours"));
    details.append(written(advised));
    parts.push(details);
  }
  over.replaceChildren(...parts, ...said.map((text) => written(`<p>${text}</p>`)));
}

function leave() {
  open?.dispose();
  for (const table of document.querySelectorAll(".table")) table.replaceChildren();
  for (const section of document.querySelectorAll(".hunt")) section.classList.remove("chosen");
  open = null;
}

// -- the whole ------------------------------------------------------------------------------------

function list() {
  const who = learner();
  for (const link of document.querySelectorAll("#hunts a")) {
    const mine = ofHunt(link.hash.slice("#hunt-".length), who);
    const done = mine.some(([, text]) => isFinished(text));
    $("span", link.parentElement).textContent = done ? "✓ proven" : mine.length ? "begun" : "";
  }
}

const hunts = [...document.querySelectorAll("#hunts li")];
const taught = new Map(hunts.map((hunt) => [hunt, $("h2", hunt.closest("section")).textContent]));

/** Lay the list out anew: under what hunts teach, or under how hard they are. */
function arrange(headingOf) {
  const groups = new Map();
  for (const hunt of hunts) {
    const heading = headingOf(hunt);
    if (!groups.has(heading)) groups.set(heading, make("ol"));
    groups.get(heading).append(hunt);
  }
  const sections = [...groups].map(([heading, listed]) => make("section", {}, make("h2", {}, heading), listed));
  $("#hunts").replaceChildren(...sections);
}

const hardness = (hunt) => (hunt.dataset.level === "0" ? "Nobody knows how hard" : `Level ${hunt.dataset.level} of 5`);

function route() {
  const slug = location.hash.replace("#hunt-", "");
  const chosen = Object.hasOwn(facts.hunts, slug);
  $("#list").hidden = chosen;
  $("#back").hidden = !chosen;
  if (chosen) show(slug);
  else {
    leave();
    list();
    document.title = facts.title;
  }
  window.scrollTo(0, 0);
  if (route.moved) (chosen ? $(`#hunt-${slug} h2`) : $("h1")).focus({ preventScroll: true });
  route.moved = true;
}

recall();
$("#learner").value = storage((store) => store.getItem(NAME), "") ?? "";
$("#learner").addEventListener("change", () => {
  storage((store) => store.setItem(NAME, learner()));
  if (open) show(open.slug);
  else list();
});
$("#save-all").addEventListener("click", () => {
  for (const [file, text] of attempts) save(file, text);
});
$("#order").addEventListener("change", ({ target }) =>
  arrange(target.value === "level" ? hardness : (hunt) => taught.get(hunt)));
for (const button of document.querySelectorAll(".save")) {
  button.addEventListener("click", () => open && save(open.file, open.text));
}
sayKept();
const firsts = piece("first.json").then(bytesOf).then((bytes) => JSON.parse(new TextDecoder().decode(bytes)));
const began = begin().catch((error) => heard({ data: { failed: error.message } }));
bench = (await import(URL.createObjectURL(
  new Blob([$("#bench").textContent], { type: "text/javascript" })))).default;
for (const [slug, first] of Object.entries(await firsts)) Object.assign(facts.hunts[slug], first);
window.addEventListener("hashchange", route);
route();
await began;
if (facts.offline && "serviceWorker" in navigator && location.protocol.startsWith("http")) {
  navigator.serviceWorker.register("offline.js").catch(() => {});
}
