// Compiles a folder of Python by the very Python that is to run it, and packs it into an archive.
// node compile.mjs PYODIDE FOLDER ARCHIVE OPTIMIZE

import { createRequire } from "node:module";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [runtime, folder, archive, optimize] = process.argv.slice(2);
globalThis.require = createRequire(import.meta.url);
const { loadPyodide } = await import(pathToFileURL(path.join(runtime, "pyodide.mjs")).href);
const python = await loadPyodide({ indexURL: runtime + path.sep });
for (const [name, root] of [["/from", folder], ["/to", path.dirname(archive)]]) {
  python.FS.mkdir(name);
  python.FS.mount(python.FS.filesystems.NODEFS, { root }, name);
}
python.globals.set("archive", `/to/${path.basename(archive)}`);
python.globals.set("optimize", Number(optimize));
python.runPython(`
import pathlib, py_compile, zipfile

root, made = pathlib.Path("/from"), "/made.pyc"
with zipfile.ZipFile(archive, "w", zipfile.ZIP_STORED) as packed:
    for path in sorted(root.rglob("*")):
        name = str(path.relative_to(root))
        info = zipfile.ZipInfo(name + "c" * (path.suffix == ".py"), (2020, 1, 1, 0, 0, 0))
        if path.suffix == ".py":
            py_compile.compile(
                str(path), made, name, doraise=True, optimize=optimize,
                invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH)
            packed.writestr(info, pathlib.Path(made).read_bytes())
        elif path.is_file():
            packed.writestr(info, path.read_bytes())
`);
process.exit(0);
