// Python in a worker: the same app that a server runs, over jobs that the browser's database keeps.
import { loadPyodide } from "./py/pyodide.mjs";
import * as store from "./store.js";

const base = new URL("./", import.meta.url);
const SITE = "/lib/python3.14/site-packages";
let held;

async function start(root) {
  const t = [performance.now()];
  const zip = fetch(new URL("py/engine.zip", base)).then((r) => r.arrayBuffer());       // while the runtime loads
  const py = await loadPyodide({ indexURL: new URL("py/", base).href, lockFileURL: new URL("py/pyodide-lock.json", base).href });
  t.push(performance.now());
  py.unpackArchive(await zip, "zip", { extractDir: SITE });
  const db = await store.open();
  const kept = await store.all(db, "entries");
  t.push(performance.now());
  const { asked, put, taken, emptied } = py.runPython(`
from pyodide.ffi import to_js
from spareway.web.app import make_app
from spareway.web.bridge import ask
from spareway.web.shelf import MemoryShelf

shelf = MemoryShelf()
app = make_app(shelf, "phone")

async def asked(method, path, query, headers, body, root):
    status, out, data = await ask(app, method, path, query, headers.to_py(), body.to_bytes(), root)
    return to_js([status, out, data])

def put(kind, job, name, data):
    shelf.put(kind, job, name, data if isinstance(data, str) else data.to_bytes())

def taken():
    return to_js([[c.kind, c.job, c.name, c.data] for c in shelf.taken()])

emptied = shelf.emptied

from types import SimpleNamespace
SimpleNamespace(asked=asked, put=put, taken=taken, emptied=emptied)`);
  for (const { kind, job, name, data } of kept) put(kind, job, name, data);
  held = { db, asked, put, taken, emptied, root };
  t.push(performance.now());
  return { runtime_ms: t[1] - t[0], unpacked_ms: t[2] - t[1], loaded_ms: t[3] - t[2] };
}

// What could not be written down is not shown as kept either: the shelf is as the database has it.
async function answer(request) {
  try {
    return await answered(request);
  } catch (fault) {
    held.emptied();
    for (const { kind, job, name, data } of await store.all(held.db, "entries")) held.put(kind, job, name, data);
    throw fault;
  }
}

async function answered({ method, url, headers, body }) {
  const { pathname, search } = new URL(url);
  const [status, out, data] = await held.asked(method, decodeURIComponent(pathname).slice(held.root.length), search.slice(1), headers, new Uint8Array(body), held.root);
  const changes = held.taken();
  if (changes.length) {
    await store.write(held.db, "entries", (shelf) => {
      for (const [kind, job, name, kept] of changes) {
        if (kept === undefined || kept === null) shelf.delete([kind, job, name]);
        else shelf.put({ kind, job, name, data: kept });
      }
    });
  }
  return { status, headers: out, body: data };
}

let turn = Promise.resolve();                               // one request after another: a save never overtakes a save
onmessage = ({ data }) => {
  turn = turn.then(async () => {
    try {
      postMessage({ number: data.number, value: "start" in data ? await start(data.start) : await answer(data.request) });
    } catch (fault) {
      postMessage({ number: data.number, fault: String(fault.message ?? fault) });
    }
  });
};
