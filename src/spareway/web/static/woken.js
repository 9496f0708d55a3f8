// The engine's memory as it stood once it had started, kept beside the files of the same version, so that it need not start again.
// Only pages that hold something are kept. VERSION is written by the build: another version never finds it.
const VERSION = "%VERSION%";
const PLACE = new URL("py/woken", import.meta.url);
const PAGE = 65536, HEAD_AT = 4;                            // a memory's page in bytes; where the runtime's own head tells its length

// { head, numbers, pages, length }, or nothing.
export async function kept() {
  const all = await (await globalThis.caches?.match(PLACE, { cacheName: VERSION }))?.arrayBuffer();
  if (!all) return undefined;
  const [head, length, count] = new Uint32Array(all, 0, 3);
  const numbers = new Uint32Array(all, 12, count), at = 12 + 4 * count;
  if (all.byteLength !== at + head + count * PAGE) throw new Error("the memory that was kept is not whole");
  return { head: new Uint8Array(all.slice(at, at + head)), numbers, length, pages: new Uint8Array(all, at + head) };
}

// A fresh runtime's memory as it was kept.
export function filled(module, { numbers, pages, length }) {
  const fresh = module.HEAP8.length;
  if (fresh < length && !module.growMemory(length)) throw new Error("no room for the memory that was kept");
  const memory = new Uint8Array(module.HEAP8.buffer), has = new Set(numbers);
  for (let n = 0; n < fresh / PAGE; n++) if (!has.has(n)) memory.fill(0, n * PAGE, (n + 1) * PAGE);
  numbers.forEach((number, i) => memory.set(pages.subarray(i * PAGE, (i + 1) * PAGE), number * PAGE));
  return module;
}

// Written when the first screen is out, and only while this version is the one in use.
export function keep(image) {
  const head = new DataView(image.buffer).getUint32(HEAD_AT, true), numbers = [], pages = [];
  for (let at = head; at < image.length; at += PAGE) {
    const words = new Uint32Array(image.buffer, at, PAGE / 4);
    if (!words.some((word) => word !== 0)) continue;
    numbers.push((at - head) / PAGE);
    pages.push(image.slice(at, at + PAGE));
  }
  const sizes = new Uint32Array([head, image.length - head, numbers.length]);
  const whole = new Blob([sizes, new Uint32Array(numbers), image.slice(0, head), ...pages]);
  setTimeout(async () => {
    if (await globalThis.caches?.has(VERSION)) await (await caches.open(VERSION)).put(PLACE, new Response(whole));
  }, 200);
}

// Whether there was one.
export async function dropped() {
  return (await caches.has(VERSION)) && (await caches.open(VERSION)).delete(PLACE);
}
