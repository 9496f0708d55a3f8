// The page owns the engine: the service worker hands it each request of the app, and a worker answers it in Python.
import "./hand.js";                                        // a screen may stand at once: its hand is there first
import { answeredBy } from "./asked.js";
import * as shown from "./shown.js";
import { policy } from "./trust.js";

const base = new URL("./", import.meta.url);
const started = performance.now();
const marks = (window.marks = {});
const said = document.querySelector("#starting"), waking = document.querySelector("#waking");

const waiting = new Map();
let engine, number = 0;
function ask(message) {
  return new Promise((done, failed) => {
    waiting.set(++number, { done, failed });
    engine.postMessage({ number, ...message });
  });
}

// Only a worker that starts under the service worker gets its files from the cache.
function begin() {
  engine = new Worker(policy.createScriptURL(new URL("worker.js", base).href), { type: "module" });
  engine.onmessage = ({ data }) => {
    const { done, failed } = waiting.get(data.number);
    waiting.delete(data.number);
    data.fault ? failed(new Error(data.fault)) : done(data.value);
  };
  return ask({ start: base.pathname.replace(/\/$/, "") });
}

// One page at a time: each would keep its own copy of a job, and the later save would undo the earlier.
function alone() {
  return new Promise((mine) => {
    const late = setTimeout(() => tell("Spareway is open in another tab of this browser. Close that one, and this one goes on."), 800);
    navigator.locks.request("spareway", () => { clearTimeout(late); mine(); return new Promise(() => {}); });
  });
}

// Everything is in the cache before the engine starts, so that nothing is fetched twice.
const registered = navigator.serviceWorker
  ? navigator.serviceWorker.register(policy.createScriptURL(new URL("sw.js", base).href), { scope: base.pathname })
  : Promise.reject(new Error("it needs https, and no private window"));
registered.catch(() => {});                                 // said where it matters
async function kept() {
  tell("Fetching everything once, for use with no signal");
  const taken = new Promise((done) => navigator.serviceWorker?.addEventListener("controllerchange", done, { once: true }));
  const registration = await registered;
  if (registration.active && !sessionStorage.again) {                                // a reload past the cache is not handed to it
    sessionStorage.again = "yes";
    location.reload();
  }
  return taken;
}

function tell(words) {
  said.textContent = words;
  if (said.isConnected) return;
  waking.textContent = words;                               // a screen stands already where "Starting" stood
  waking.hidden = false;
}

// The first screen as it was last shown, while nothing was written since; the engine wakes behind it, and what is entered meanwhile
// waits for it.
const here = location.pathname.startsWith(`${base.pathname}app`) ? location.pathname + location.search : `${base.pathname}app/`;
let awake = false;
async function first() {
  await htmx.ajax("GET", here, { target: "#screen", swap: "innerHTML" });
  history.replaceState({ htmx: true }, "", here);
  marks.shown_ms = performance.now() - started;
}

const ready = (async () => {
  if (!navigator.serviceWorker?.controller) await kept();      // with no signal the registration fails, or hangs: not waited for
  marks.kept_ms = performance.now() - started;
  await alone();
  marks.early = Boolean(await shown.answer(here));
  if (marks.early) {
    await first();
    setTimeout(() => (waking.hidden = awake), 500);
    await new Promise((painted) => requestAnimationFrame(() => setTimeout(painted)));
  }
  return begin();
})();
async function answered(request) {
  const told = !awake && request.method === "GET" && (await shown.answer(request.url));
  return told || (await ready, ask({ request }));
}
answeredBy(answered);
navigator.serviceWorker?.addEventListener("message", async ({ data, ports }) => {
  if (!data.request) return;
  try {
    ports[0].postMessage({ value: await answered(data.request) });
  } catch (fault) {
    ports[0].postMessage({ fault: String(fault.message ?? fault) });
  }
});
try {
  Object.assign(marks, await ready);
} catch (fault) {
  tell(`This browser cannot keep the pages or start them; what was kept before is untouched. ${fault.message}`);
  throw fault;
}
awake = waking.hidden = true;
delete sessionStorage.again;
navigator.storage?.persist?.();
marks.ready_ms = performance.now() - started;
if (!marks.early) await first();
document.documentElement.dataset.ready = "yes";

// ---- a newer version asks before it takes over -----------------------------------------------------------------------------
const newer = document.querySelector("#newer");
const offer = (worker) => {
  newer.hidden = false;
  newer.querySelector("button").onclick = () => worker.postMessage({ takeOver: true });
};
const registration = await registered.catch(() => null);
if (registration?.waiting) offer(registration.waiting);
registration?.addEventListener("updatefound", () => {
  const worker = registration.installing;
  worker.addEventListener("statechange", () => worker.state === "installed" && navigator.serviceWorker.controller && offer(worker));
});
navigator.serviceWorker.addEventListener("controllerchange", () => location.reload());
