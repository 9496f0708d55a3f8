// Python in a worker: the same app that a server runs, over jobs that the browser's database keeps.
import { loadPyodide } from "./py/pyodide.mjs";
import createModule from "./py/pyodide.asm.mjs";
import * as shown from "./shown.js";
import * as store from "./store.js";
import * as woken from "./woken.js";

const base = new URL("./", import.meta.url);
const FILES = { "/lib/python314.zip": "py/python_stdlib.zip", "/lib/engine.zip": "py/engine.zip" };
const IDLE_MS = 2500;                                       // longer than `shown` waits before it keeps
let held, idle;

const WAKE = `
import gc, sys
sys.path.append("/lib/engine.zip")
from pyodide.ffi import to_js
from spareway.web.app import make_app
from spareway.web.bridge import at_once
from spareway.web.shelf import MemoryShelf
from spareway.web.waking import walked

shelf = MemoryShelf()
app = make_app(shelf, "phone")
emptied = shelf.emptied

def asked(method, path, query, headers, body, root):
    status, out, data = at_once(app, method, path, query, headers.to_py(), body.to_bytes(), root)
    return to_js([status, out, data])

def put(kind, job, name, data):
    shelf.put(kind, job, name, data if isinstance(data, str) else data.to_bytes())

def taken():
    return to_js([[c.kind, c.job, c.name, c.data] for c in shelf.taken()])

walked()
gc.collect()`;
// what a memory brought along must not share with every other start from it
const AWAKE = `
import random
random.seed()`;

// From the memory kept of an earlier start, or, where there is none or it does not fit, from nothing.
async function runtime(kept) {
  const settings = { indexURL: new URL("py/", base).href, lockFileURL: new URL("py/pyodide-lock.json", base).href };
  if (!kept) {
    const engine = fetch(new URL(FILES["/lib/engine.zip"], base)).then((r) => r.arrayBuffer());        // while the runtime loads
    const py = await loadPyodide({ ...settings, _makeSnapshot: true, createPyodideModule: createModule });
    py.FS.writeFile("/lib/engine.zip", new Uint8Array(await engine), { canOwn: true });
    py.runPython(WAKE);
    return py;
  }
  const createPyodideModule = async (given) => {
    const module = woken.filled(await createModule(given), kept);
    for (const [path, name] of Object.entries(FILES)) fetchedWhenRead(module.FS, path, new URL(name, base));
    return module;
  };
  const py = await loadPyodide({ ...settings, _loadSnapshot: kept.head, stdLibURL: settings.lockFileURL, createPyodideModule });
  py.runPython(AWAKE);
  return py;
}

// What a memory was made of is hardly ever read again: a module that no screen needed before. Reading cannot wait, so the fetch does not.
function fetchedWhenRead(FS, path, address) {
  FS.writeFile(path, "");
  const { node } = FS.lookupPath(path);
  let data;
  const read = () => {
    if (data) return data;
    const asked = new XMLHttpRequest();
    asked.open("GET", address, false);
    asked.responseType = "arraybuffer";
    asked.send();
    if (asked.status !== 200) throw new Error(`${address} is not kept`);
    return (data = new Uint8Array(asked.response));
  };
  Object.defineProperties(node, { contents: { get: read }, usedBytes: { get: () => read().length } });
}

async function start(root) {
  const t = [performance.now()], traced = Error.stackTraceLimit;
  Error.stackTraceLimit = 0;                                // the runtime makes errors as it starts; a trace of each would be a parse of all of it
  const database = store.open().then(async (db) => [db, await store.all(db, "entries")]);
  let kept, py;
  try {
    kept = await woken.kept();
    t.push(performance.now());
    py = await runtime(kept);
  } catch (fault) {
    if (!(await woken.dropped())) throw fault;
    return start(root);                                     // it was of another browser than this one, or of a broken disk
  }
  t.push(performance.now());
  Error.stackTraceLimit = traced;
  const [asked, put, taken, emptied] = ["asked", "put", "taken", "emptied"].map((name) => py.globals.get(name));
  if (!kept) woken.keep(py.makeMemorySnapshot());           // before anything of a job is in it
  const [db, entries] = await database;
  for (const { kind, job, name, data } of entries) put(kind, job, name, data);
  held = { db, asked, put, taken, emptied, root };
  t.push(performance.now());
  return { woken: Boolean(kept), read_ms: t[1] - t[0], runtime_ms: t[2] - t[1], filled_ms: t[3] - t[2] };
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
  const [status, out, data] = held.asked(method, decodeURIComponent(pathname).slice(held.root.length), search.slice(1), headers, new Uint8Array(body), held.root);
  const changes = held.taken();
  if (changes.length) {
    await shown.forget();
    await store.write(held.db, "entries", (shelf) => {
      for (const [kind, job, name, kept] of changes) {
        if (kept === undefined || kept === null) shelf.delete([kind, job, name]);
        else shelf.put({ kind, job, name, data: kept });
      }
    });
  }
  const told = { status, headers: out, body: data };
  if (!changes.length) shown.keep({ method, url }, told);
  return told;
}

// The first screen of all too, which is where an icon leads; asked for while nobody asks for anything.
async function firstKept() {
  const url = new URL("app/", base).href;
  if (!(await shown.answer(url))) await answered({ method: "GET", url, headers: [["hx-request", "true"]], body: new ArrayBuffer(0) });
}

let turn = Promise.resolve();                               // one request after another: a save never overtakes a save
onmessage = ({ data }) => {
  clearTimeout(idle);
  idle = setTimeout(() => (turn = turn.then(firstKept).catch(() => {})), IDLE_MS);        // what is wrong there is said to whoever asks for it
  turn = turn.then(async () => {
    try {
      postMessage({ number: data.number, value: "start" in data ? await start(data.start) : await answer(data.request) });
    } catch (fault) {
      postMessage({ number: data.number, fault: String(fault.message ?? fault) });
    }
  });
};
