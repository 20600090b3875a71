"use strict";
const facts = JSON.parse(document.getElementById("facts").textContent);
const by = (id) => document.getElementById(id);
const all = (what, inside = document) => [...inside.querySelectorAll(what)];
const said = (text) => { by("said").textContent = ""; setTimeout(() => { by("said").textContent = text; }, 50); };
const fixed = (volts) => volts.toFixed(2).replace("-", "−");

// A number as people type it: a comma is a point, k and M are thousands, OL is no number.
function number(text) {
  const plain = text.trim().replace(",", ".").replace("−", "-");
  if (/^o\.?l\.?$/i.test(plain)) return Infinity;
  const match = /^(-?\d*\.?\d+)\s*(m|k|M)?\s*(V|A|ohms?|Ω)?$/.exec(plain);
  if (!match) return NaN;
  return parseFloat(match[1]) * { m: 1e-3, k: 1e3, M: 1e6, "": 1 }[match[2] ?? ""];
}
function verdict(place, text, kind) {
  place.textContent = text;
  place.className = `verdict ${kind}`;
}

// -- the battery, and what follows it ---------------------------------------------------------
const rest = facts.batteries.map((_, n) => by(`rest-${n}`));
const typed = (n) => number(rest[n].value);
const known = () => rest.every((_, n) => Number.isFinite(typed(n)));
const moved = (n) => (Number.isFinite(typed(n)) ? typed(n) - facts.batteries[n].volts : 0);
// How far a reading goes up with the batteries as typed; those it does not ask for need not be.
const shares = (text) => text.split(" ").map(Number);
const lifted = (text) => shares(text).reduce((volts, k, n) => volts + k * moved(n), 0);
const ready = (text) => rest.length > 0
  && shares(text).every((k, n) => Math.abs(k) < 0.02 || Number.isFinite(typed(n)));
const here = (cell) => parseFloat(cell.dataset.v) + lifted(cell.dataset.k);

function follow() {
  for (const cell of all("[data-v]")) {
    cell.dataset.said ??= cell.textContent;
    const volts = here(cell), wide = 2 * parseFloat(cell.dataset.s || 0);
    const [low, high] = [volts - wide, volts + wide].map((v) => (volts > -wide ? Math.max(v, 0) : v));
    cell.textContent = !ready(cell.dataset.k) ? cell.dataset.said
      : wide ? `${fixed(low)} to ${fixed(high)} V` : fixed(volts);
  }
  for (const box of all(".yours")) compare(box);
  for (const way of all(".way[data-unit]")) way.textContent = range(way);
  const low = rest.findIndex((_, n) => typed(n) < facts.charge);
  const high = rest.find((_, n) => typed(n) > facts.batteries[n].volts + 0.6 * facts.system / 12);
  const called = rest.length > 1 && low >= 0 ? facts.batteries[low].id : "it";
  if (low >= 0) verdict(by("rested"), `Charge ${called} before anything else is judged.`, "off");
  else if (high) verdict(by("rested"), "More than a battery at rest shows: is a charger on?", "warn");
  else verdict(by("rested"), known() && rest.length ? "The bands below follow it." : "", "on");
}
function compare(box) {
  const cell = box.closest("tr").querySelector(".band"), place = box.nextElementSibling;
  const read = number(box.value);
  if (!box.value.trim() || !cell.dataset.v) return verdict(place, "", "");
  if (!Number.isFinite(read)) return verdict(place, "a number, such as 12.3", "warn");
  const off = read - here(cell), wide = 2 * parseFloat(cell.dataset.s);
  if (Math.abs(off) <= wide + 0.005) return verdict(place, "as a sound boat", "on");
  verdict(place, `${fixed(Math.abs(off) - wide)} V too ${off < 0 ? "low" : "high"}`, "off");
}

// -- the plan, one step at a time -------------------------------------------------------------
const edge = (way, name) => {
  if (!(name in way.dataset)) return name === "low" ? -Infinity : Infinity;
  const value = parseFloat(way.dataset[name]);
  const most = Math.max(...facts.batteries.map((battery) => battery.volts));
  return way.dataset.follows && value > most / 2 ? value + lifted(way.dataset.follows) : value;
};
function shown(value, unit) {
  const size = Math.abs(value);
  const [scale, mark] = size >= 1e6 ? [1e6, "M"] : size >= 1e3 ? [1e3, "k"]
    : size && size < 0.1 ? [1e-3, "m"] : [1, ""];
  return `${String(Number((value / scale).toPrecision(scale === 1 && size >= 10 ? 4 : 3)))
    .replace("-", "−")} ${mark}${unit === "ohm" ? "Ω" : unit}`;
}
function range(way) {
  const [low, high] = [edge(way, "low"), edge(way, "high")], unit = way.dataset.unit;
  if (low === -Infinity) return high === Infinity ? `any number of ${unit}` : `below ${shown(high, unit)}`;
  return high === Infinity ? `above ${shown(low, unit)}` : `${shown(low, unit)} to ${shown(high, unit)}`;
}
let path = ["step-0"];
const steps = all(".step");
const bar = document.createElement("p");
bar.className = "buttons";
bar.innerHTML = '<button type="button" id="back">One step back</button>'
  + '<button type="button" id="again">From the start</button>';
by("steps").after(bar);
function display(focus) {
  const now = path[path.length - 1];
  for (const step of steps) step.hidden = step.id !== now;
  const head = by(`${now}-head`);
  head.textContent = `Step ${path.length}`;
  by("back").disabled = by("again").disabled = path.length === 1;
  if (!focus) return;
  head.focus();
  head.scrollIntoView({ block: "start" });
  said(`Step ${path.length}. ${by(now).querySelector("b")?.textContent ?? ""}`);
}
function go(to) { path.push(to); display(true); keep(); }
function note(line) {
  const box = by("readings");
  if (!box.value.split("\n").includes(line)) box.value += (box.value && !box.value.endsWith("\n") ? "\n" : "") + line;
}
const line = (box) => {
  const [head, unit, tail] = box.dataset.line.split("|"), read = number(box.value);
  if (Number.isNaN(read)) return "";
  return `${head} ${read === Infinity ? "OL" : `${String(read)} ${unit}`}${tail}`;
};
function take(box) {
  const read = number(box.value), step = box.closest(".step");
  if (Number.isNaN(read)) { said("Type a number, such as 12.3, or OL."); box.focus(); return; }
  const ways = all(".ways .way", step);
  const way = read === Infinity ? ways.find((w) => w.dataset.word === "OL")
    : ways.find((w) => w.dataset.unit && read >= edge(w, "low") && read < edge(w, "high"));
  note(line(box));
  if (way) go(way.hash.slice(1));
  else { location.hash = "nothing"; said("The plan expected no such reading here."); keep(); }
}
by("steps").addEventListener("click", (event) => {
  const way = event.target.closest(".way");
  if (event.target.closest(".take")) take(event.target.closest(".field").querySelector("input"));
  if (!way) return;
  event.preventDefault();
  if (way.dataset.says) note(way.dataset.says);
  go(way.hash.slice(1));
});
by("steps").addEventListener("keydown", (event) => {
  if (event.key === "Enter" && event.target.matches(".reads")) take(event.target);
});
by("back").addEventListener("click", () => { if (path.length > 1) path.pop(); display(true); keep(); });
by("again").addEventListener("click", () => { path = ["step-0"]; display(true); keep(); });

// -- conclusion and proof ---------------------------------------------------------------------
function prove() {
  const [source, load] = [number(by("source").value), number(by("load").value)], place = by("proven");
  if (!Number.isFinite(source) || !Number.isFinite(load)) return verdict(place, "", "");
  if (load > source + 0.05) return verdict(place, "More at the load than at the battery: read both again, while it runs.", "warn");
  const lost = Math.max(source - load, 0), share = lost / facts.system, { critical, other, flat } = facts.limits;
  const text = `${fixed(lost)} V lost, ${(100 * share).toFixed(1)} %`;
  if (source < flat * facts.system) return verdict(place, `${text}; but the battery itself is low: charge it, and prove it again.`, "warn");
  if (share <= critical) return verdict(place, `${text}: fit for any load.`, "on");
  if (share <= other) return verdict(place, `${text}: within ${100 * other} %, not within ${100 * critical} %.`, "on");
  verdict(place, `${text}: more than ${100 * other} %; it is not repaired yet.`, "off");
}

// -- notes: kept, and taken out ---------------------------------------------------------------
const place = `labkit page ${facts.file} ${document.title}`;
const boxes = all("input, textarea").filter((box) => box.id !== "text");
function restore() {
  let kept = null;
  try {
    kept = JSON.parse(localStorage.getItem(place) ?? "null");
    localStorage.setItem(`${place} `, "1");
    localStorage.removeItem(`${place} `);
    verdict(by("kept"), "What you type is kept on this device, in this browser.", "on");
  } catch {
    verdict(by("kept"), "This browser keeps nothing for this page: take your notes out as text before you close it.", "warn");
  }
  if (!kept) return;
  for (const box of boxes) if (box.id in (kept.boxes ?? {})) box.value = kept.boxes[box.id];
  if (Array.isArray(kept.path) && kept.path.length && kept.path.every((id) => by(id))) path = kept.path;
}
function keep() {
  write();
  const values = Object.fromEntries(boxes.filter((box) => box.value).map((box) => [box.id, box.value]));
  try { localStorage.setItem(place, JSON.stringify({ boxes: values, path })); } catch {
    verdict(by("kept"), "What you typed last could not be kept: take your notes out as text.", "warn");
  }
}
const quoted = (text) => `"${text.replace(/["\\$`]/g, "'")}"`;
function write() {
  const read = [...rest, ...all(".yours")].filter((box) => box.value.trim()).map(line);
  const noted = by("readings").value.split("\n").map((text) => text.trim());
  const lines = [...new Set([...read, ...noted])].filter(Boolean);
  const remarks = by("remarks").value.split("\n").filter((text) => text.trim()).map((text) => `# ${text}`);
  const done = ["part", "shows", "why", "what"].filter((id) => by(id).value.trim())
    .map((id) => `# ${by(id).labels[0].textContent}: ${by(id).value.trim()}`);
  const proof = by("source").value.trim() && by("load").value.trim()
    ? [`# labkit job prove ${facts.file} --source ${by("source").value.trim()} --load ${by("load").value.trim()}`
      + ["part", "what", "why"].filter((id) => by(id).value.trim())
        .map((id) => ` --${id} ${quoted(by(id).value.trim())}`).join("")] : [];
  by("text").value = [`# ${facts.file}`, ...lines, ...remarks, ...done, ...proof].join("\n") + "\n";
}
by("copy").addEventListener("click", async () => {
  by("text").select();
  try { await navigator.clipboard.writeText(by("text").value); said("Copied."); } catch {
    said(document.execCommand("copy") ? "Copied." : "It is selected: copy it by hand.");
  }
});
by("save").addEventListener("click", () => {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([by("text").value], { type: "text/plain" }));
  link.download = facts.file.replace(/(\.job)?\.toml$/, "") + "-readings.txt";
  link.click();
  said("Saved among your downloads.");
});
by("clear").addEventListener("click", () => {
  if (!confirm("Wipe everything typed on this page?")) return;
  for (const box of boxes) box.value = box.defaultValue;
  path = ["step-0"];
  follow(); prove(); display(false); keep();
  said("Wiped.");
});
document.addEventListener("input", (event) => {
  if (event.target.id.startsWith("rest-")) follow();
  if (event.target.matches(".yours")) compare(event.target);
  prove(); keep();
});
for (const button of all("button[hidden]")) button.hidden = false;
restore(); follow(); prove(); display(false); write();
