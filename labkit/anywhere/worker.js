// Python off the page's main thread. The page hands over the pieces it starts from and then asks;
// answers come in the order of what was asked. `bytesOf` is in unpacking.js, which stands before it.

const EMBEDDED = "https://page.invalid/"; // nothing is fetched from there: see `fetch` below
let page = null;
let turn = Promise.resolve();
let begin;
let weighing; // the timer that goes on weighing readings
const PAUSE = 400; // after something was asked [ms]
const SLICE = 0.008; // at a time, so that whoever asks waits no longer [s]
const started = new Promise((resolve) => (begin = resolve));

async function start(packed) {
  const say = (progress) => postMessage({ progress });
  say("unpacking");
  const names = Object.keys(packed);
  const plain = await Promise.all(names.map((name) => bytesOf(packed[name])));
  const pieces = Object.fromEntries(names.map((name, n) => [name, plain[n]]));
  self.fetch = async (asked) => {
    const name = String(asked.url ?? asked).split("/").pop();
    if (!pieces[name]) throw new Error(`${name}: is not among the pieces of this page`);
    const type = name.endsWith(".wasm") ? "application/wasm" : "application/octet-stream";
    return new Response(pieces[name], { headers: { "content-type": type } });
  };
  const load = (name) =>
    import(URL.createObjectURL(new Blob([pieces[name]], { type: "text/javascript" })));
  const [{ loadPyodide }, { default: factory }] = await Promise.all([
    load("pyodide.mjs"), load("pyodide.asm.mjs"),
  ]);
  say("starting Python");
  const python = await loadPyodide({
    indexURL: EMBEDDED,
    packageBaseUrl: EMBEDDED,
    createPyodideModule: factory,
    lockFileContents: JSON.parse(new TextDecoder().decode(pieces["pyodide-lock.json"])),
  });
  say("loading the workbook");
  for (const name of ["libraries.zip", "labkit.zip", "hunts.zip"]) {
    python.unpackArchive(pieces[name], "zip", { extractDir: "/lab" });
  }
  page = python.runPython(`
import sys
sys.path.insert(0, "/lab")
sys.dont_write_bytecode = True
from pathlib import Path
from labkit.anywhere.play import Page
Page(Path("/lab/exercises"))
`);
  for (const name of names) delete pieces[name];
  postMessage({ progress: "ready" });
}

async function answer({ id, call, args }) {
  clearTimeout(weighing);
  try {
    await started; // what is asked before the pieces have come waits for them
    postMessage({ id, told: JSON.parse(page[call](...args)) });
    weighing = setTimeout(weigh, PAUSE);
  } catch (error) {
    postMessage({ id, failed: reason(error) });
  }
}

/** Weigh readings while nobody asks for anything, a little at a time. */
function weigh() {
  if (JSON.parse(page.weigh(SLICE))) weighing = setTimeout(weigh, 0);
}

function reason(error) {
  return String(error?.message ?? error).trim().split("\n").pop();
}

self.onmessage = ({ data }) => {
  if (!data.pieces) {
    turn = turn.then(() => answer(data));
    return;
  }
  begin(start(data.pieces));
  started.catch((error) => postMessage({ failed: reason(error) }));
};
