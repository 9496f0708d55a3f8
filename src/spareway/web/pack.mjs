// node pack.mjs PYODIDE_DIR WORK, where WORK is JSON: a list of { from, to, prefix, told, keep, drop }
// Compiles zips of Python sources with the very Python that will run them. told: beginnings of the
// names whose docstrings somebody reads; keep: top folders left as source (anyio reads its own); drop: top entries, or whole
// names, left out. Stored, not deflated: the transport packs the whole better than zip can pack each file.
import fs from "node:fs";
import { pathToFileURL } from "node:url";

const [dir, work] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(`${dir}/pyodide.mjs`));
const py = await loadPyodide();                             // one for all of them: its start takes longer than the compiling
for (const wanted of JSON.parse(work)) {
  py.FS.writeFile("/in.zip", new Uint8Array(fs.readFileSync(wanted.from)));
  py.globals.set("wanted", py.toPy(wanted));
  py.runPython(`
import importlib.util, marshal, zipfile
unchecked = importlib.util.MAGIC_NUMBER + (1).to_bytes(4, "little")      # never compared with a source file
with zipfile.ZipFile("/in.zip") as old, zipfile.ZipFile("/out.zip", "w", zipfile.ZIP_STORED) as new:
    for name in sorted(old.namelist()):
        top, data = name.split("/")[0], old.read(name)
        if name.endswith("/") or top in wanted["drop"] or name in wanted["drop"]:
            continue
        if name.endswith(".py") and top not in wanted["keep"]:
            level = 0 if name.startswith(tuple(wanted["told"])) else 2
            code = compile(data, wanted["prefix"] + name, "exec", dont_inherit=True, optimize=level)
            name, data = name + "c", unchecked + importlib.util.source_hash(data) + marshal.dumps(code)
        new.writestr(zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0)), data)
`);
  fs.writeFileSync(wanted.to, py.FS.readFile("/out.zip"));
}
