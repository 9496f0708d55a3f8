// Run a Python snippet under Pyodide. In: one JSON document on stdin, {package, code, files}. Out: the snippet's stdout, byte for byte.
// The package is copied into Pyodide's own file system, so nothing is written back; `files` becomes a dict of that name.
import fs from "node:fs";
import path from "node:path";
import { loadPyodide } from "pyodide";

const { package: source, code, files } = JSON.parse(fs.readFileSync(0, "utf8"));
const python = await loadPyodide({ env: { HOME: "/home", PYTHONDONTWRITEBYTECODE: "1" } });

function copy(from, to) {
  python.FS.mkdirTree(to);
  for (const entry of fs.readdirSync(from, { withFileTypes: true })) {
    if (entry.name === "__pycache__") continue;
    const [here, there] = [path.join(from, entry.name), `${to}/${entry.name}`];
    if (entry.isDirectory()) copy(here, there);
    else python.FS.writeFile(there, fs.readFileSync(here));
  }
}

// Kept until the end: a pipe that is full would make a write fail half way, and Python would say the rest again.
const said = [];
const keep = (bytes) => said.push(Buffer.from(bytes)) && bytes.length;
const complain = (bytes) => (process.stderr.write(Buffer.from(bytes)), bytes.length);

copy(source, "/src/spareway");
python.runPython("import sys; sys.path.insert(0, '/src')");
python.setStdout({ write: keep });
python.setStderr({ write: complain });
python.globals.set("files", python.toPy(files));
try {
  python.runPython(code);
  python.runPython("import sys; sys.stdout.flush()");
} catch (error) {
  process.stderr.write(String(error));
  process.exitCode = 1;
}
process.stdout.write(Buffer.concat(said));
