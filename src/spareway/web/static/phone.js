// The page owns the engine: the service worker hands it each request of the app, and a worker answers it in Python.
import { policy } from "./trust.js";

const base = new URL("./", import.meta.url);
const started = performance.now();
const marks = (window.marks = {});
const said = document.querySelector("#starting");

const engine = new Worker(policy.createScriptURL(new URL("worker.js", base).href), { type: "module" });
const waiting = new Map();
let number = 0;
const ask = (message) => new Promise((done, failed) => {
  waiting.set(++number, { done, failed });
  engine.postMessage({ number, ...message });
});
engine.onmessage = ({ data }) => {
  const { done, failed } = waiting.get(data.number);
  waiting.delete(data.number);
  data.fault ? failed(new Error(data.fault)) : done(data.value);
};
const ready = ask({ start: base.pathname.replace(/\/$/, "") });

navigator.serviceWorker.addEventListener("message", async ({ data, ports }) => {
  if (!data.request) return;
  try {
    await ready;
    ports[0].postMessage({ value: await ask({ request: data.request }) });
  } catch (fault) {
    ports[0].postMessage({ fault: String(fault.message ?? fault) });
  }
});

const registered = navigator.serviceWorker.register(policy.createScriptURL(new URL("sw.js", base).href), { scope: base.pathname });
registered.catch((fault) => {
  if (!navigator.serviceWorker.controller) said.textContent = `This page cannot be kept for use with no signal: ${fault.message}`;
});
if (!navigator.serviceWorker.controller) {             // with no signal the registration may hang: never waited for later
  said.textContent = "Fetching everything once, for use with no signal";
  await new Promise((done) => navigator.serviceWorker.addEventListener("controllerchange", done, { once: true }));
}
marks.kept_ms = performance.now() - started;
Object.assign(marks, await ready);
navigator.storage?.persist?.();
marks.ready_ms = performance.now() - started;

const here = location.pathname.startsWith(`${base.pathname}app`) ? location.pathname + location.search : `${base.pathname}app/`;
await htmx.ajax("GET", here, { target: "#screen", swap: "innerHTML" });
history.replaceState({ htmx: true }, "", here);
marks.shown_ms = performance.now() - started;
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
