// What a script plays by the page's own Python: node play.mjs PYODIDE LIBRARIES LABKIT SCRIPT FOLDER DATA

import fs from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [runtime, libraries, labkit, script, folder, data] = process.argv.slice(2);
globalThis.require = createRequire(import.meta.url);
const { loadPyodide } = await import(pathToFileURL(path.join(runtime, "pyodide.mjs")).href);
const python = await loadPyodide({ indexURL: runtime + path.sep });
for (const file of [libraries, labkit]) {
  python.unpackArchive(new Uint8Array(fs.readFileSync(file)), "zip", { extractDir: "/lab" });
}
python.FS.mkdir("/folder");
python.FS.mount(python.FS.filesystems.NODEFS, { root: folder }, "/folder");
python.FS.writeFile("/lab/script.py", fs.readFileSync(script));
python.globals.set("data", fs.readFileSync(data, "utf8"));
process.stdout.write(python.runPython(`
import sys
sys.path.insert(0, "/lab")
sys.dont_write_bytecode = True
import script
script.played("/folder", data)
`));
process.exit(0);
