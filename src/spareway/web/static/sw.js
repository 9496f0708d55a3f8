// Keeps every file of one version, and hands the app's requests to the page that asked. FILES and VERSION are written by the build.
const VERSION = "%VERSION%";
const FILES = %FILES%;
const scope = new URL(self.registration.scope);

self.addEventListener("install", (event) => event.waitUntil((async () => {
  const kept = await caches.open(VERSION);
  await kept.addAll(FILES.map((file) => new Request(new URL(file, scope), { cache: "reload" })));       // all, or the old version stays
})()));

self.addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys()) if (name !== VERSION) await caches.delete(name);
  await self.clients.claim();
})()));

self.addEventListener("message", ({ data }) => { if (data.takeOver) self.skipWaiting(); });       // a person said so

async function fromEngine(request, asker) {
  const body = await request.arrayBuffer();
  const page = (await self.clients.get(asker)) ?? (await self.clients.matchAll({ type: "window" }))[0];      // its own engine, first of all
  if (!page) return new Response("Open the first page again.", { status: 503, headers: { "content-type": "text/plain" } });
  const channel = new MessageChannel();
  const reply = new Promise((done) => (channel.port1.onmessage = ({ data }) => done(data)));
  page.postMessage({ request: { method: request.method, url: request.url, headers: [...request.headers], body } }, [channel.port2]);
  const { value, fault } = await reply;
  if (fault) return new Response(`Not kept. ${fault}`, { status: 500, headers: { "content-type": "text/plain" } });
  return new Response(value.status === 204 ? null : value.body, { status: value.status, headers: value.headers });
}

// One shell stands for every address of ours: its own links start where the site lies.
async function shell() {
  const kept = await (await caches.open(VERSION)).match(scope);
  const text = (await kept.text()).replace('<base href="./">', `<base href="${scope.pathname}">`);
  return new Response(text, { headers: kept.headers });
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== scope.origin || !url.pathname.startsWith(scope.pathname)) return;
  const path = url.pathname.slice(scope.pathname.length);
  const ours = path === "app" || path.startsWith("app/");
  if (ours && event.request.mode !== "navigate") return event.respondWith(fromEngine(event.request, event.clientId));
  if (event.request.mode === "navigate") return event.respondWith(shell());
  event.respondWith((async () => (await (await caches.open(VERSION)).match(new URL(path || "./", scope))) ?? fetch(event.request))());
});
