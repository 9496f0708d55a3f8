// What the last screens said, kept beside the files of the same version for as long as nothing is written: a start shows its first
// screen before the engine is awake. An answer rests on nothing but the jobs, the version and the day; so each has its day, another
// version never finds it, and whoever writes forgets them all first. VERSION is written by the build.
const VERSION = "%VERSION%";
const PLACE = new URL("shown/", import.meta.url);
const REST_MS = 700;                                        // a screen that was only passed by is not worth a write
const MINUTE = /\/app\/call\b/;                             // tells the minute of the day
let due, under = Promise.resolve(), any = true;

function place(address) {
  const now = new Date(), { pathname, search } = new URL(address, import.meta.url);
  return new URL(`${now.getFullYear()}-${now.getMonth() + 1}-${now.getDate()}/${encodeURIComponent(pathname + search)}`, PLACE);
}

// As the engine would answer now, or nothing.
export async function answer(address) {
  const kept = await globalThis.caches?.match(place(address), { cacheName: VERSION });
  return kept && { status: kept.status, headers: [...kept.headers], body: await kept.arrayBuffer() };
}

// Only while this version is the one in use.
async function shelf() {
  return (await globalThis.caches?.has(VERSION)) ? caches.open(VERSION) : undefined;
}

// A whole screen, once the hand rests.
export function keep({ method, url }, { status, headers, body }) {
  if (method !== "GET" || status !== 200 || MINUTE.test(url) || !new TextDecoder().decode(body).includes("<main")) return;
  clearTimeout(due);
  due = setTimeout(() => {
    any = true;
    const put = async () => (await shelf())?.put(place(url), new Response(body, { headers }));
    under = under.then(put).catch(() => {});                // no room for it: the next start is a slower one, and nothing else
  }, REST_MS);
}

// Before anything is written. What cannot be forgotten must not be overtaken: then nothing is written either.
export async function forget() {
  clearTimeout(due);
  await under;
  const kept = any ? await shelf() : undefined;
  for (const request of (await kept?.keys()) ?? []) if (request.url.startsWith(PLACE.href)) await kept.delete(request);
  any = false;
}
