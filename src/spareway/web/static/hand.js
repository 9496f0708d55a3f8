// What a hand does on a screen: the keypad, drafts that outlive the battery, photos, a zip brought in, the look of the phone.
import * as store from "./store.js";
import { asked } from "./asked.js";
import { asking, redrawn } from "./redraw.js";
import { policy } from "./trust.js";

const base = new URL("./", import.meta.url);
const db = await store.open();
const screen = document.querySelector("#screen");

// ---- the keypad ----------------------------------------------------------------------------------------------------------
document.addEventListener("click", (event) => {
  const key = event.target.closest("[data-key]")?.dataset.key;
  if (!key) return;
  const entry = document.getElementById(event.target.closest("[data-pad-for]").dataset.padFor);
  if (entry.hasAttribute("data-refused") && key !== "rub") entry.value = "";       // what was refused is not typed on to
  entry.removeAttribute("data-refused");
  entry.value = key === "rub" ? entry.value.slice(0, -1) : key === "OL" ? "OL" : entry.value === "OL" ? key : entry.value + key;
  entry.dispatchEvent(new Event("input", { bubbles: true }));
});

// ---- drafts: every key is on the disk within a second ----------------------------------------------------------------------
const later = new Map();
document.addEventListener("input", ({ target }) => {
  const name = target.dataset?.draft;
  if (!name) return;
  if (later.has(name)) return;                              // not put off by each further key: who types fast would be kept last
  later.set(name, setTimeout(() => {
    later.delete(name);
    store.write(db, "drafts", (shelf) => shelf.put(target.value, name));
  }, 150));
});

async function restore() {
  for (const entry of document.querySelectorAll("[data-draft]")) {
    const kept = await store.one(db, "drafts", entry.dataset.draft);
    if (kept && !entry.value) entry.value = kept;
  }
}

async function forget(form) {
  for (const entry of form?.querySelectorAll?.("[data-draft]") ?? []) {
    clearTimeout(later.get(entry.dataset.draft));
    later.delete(entry.dataset.draft);
    await store.write(db, "drafts", (shelf) => shelf.delete(entry.dataset.draft));
  }
}
document.addEventListener("htmx:config:request", ({ detail }) => (detail.ctx.fetch = asked));
document.addEventListener("htmx:after:request", ({ detail }) => {
  const { response, sourceElement } = detail.ctx;
  if (response?.status < 400) forget(sourceElement?.closest?.("form"));
});

// ---- after each screen -------------------------------------------------------------------------------------------------------
function settled() {
  const top = document.querySelector(".top");
  document.documentElement.dataset.theme = top?.dataset.themeNow ?? "light";
  document.documentElement.toggleAttribute("data-gloves", top?.hasAttribute("data-gloves-now") ?? false);
  restore();
  about();
}
new MutationObserver(settled).observe(screen, { childList: true });
document.addEventListener("htmx:after:swap", () => document.querySelector("main")?.focus({ preventScroll: true }));
settled();

async function about() {
  const place = document.querySelector("[data-about]");
  if (!place) return;
  const said = await fetch(new URL("engine.json", base)).then((r) => (r.ok ? r.json() : null)).catch(() => null);
  if (said) place.textContent = `Engine ${said.sha256.slice(0, 16)}`;
}

// ---- a file to keep: fetched like any answer, then handed to the phone ------------------------------------------------------
document.addEventListener("click", async (event) => {
  const link = event.target.closest("a[download]");
  if (!link || link.href.startsWith("blob:")) return;
  event.preventDefault();
  const reply = await asked(link.href);
  const name = /filename="([^"]+)"/.exec(reply.headers.get("content-disposition") ?? "")?.[1] ?? "job.zip";
  const address = URL.createObjectURL(await reply.blob());
  Object.assign(document.createElement("a"), { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
});

// ---- a link in a drawing: htmx sees those of HTML alone, and a page loaded anew would start the engine again -----------------
const inDrawing = (event) => event.target.closest("svg a[href]");
document.addEventListener("pointerdown", (event) => event.isPrimary && !event.button && inDrawing(event) && asking(inDrawing(event)));
document.addEventListener("click", (event) => {
  const link = inDrawing(event);
  if (!link || event.button || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  redrawn(link, event.detail > 0);                          // a key's click comes after no finger
});

// ---- send a body as it is, then show what came back -------------------------------------------------------------------------
async function send(address, body, said) {
  const reply = await asked(address, { method: "POST", body, headers: { "HX-Request": "true", "content-type": "application/octet-stream" } });
  const on = reply.headers.get("hx-location");
  if (on) return htmx.ajax("GET", JSON.parse(on).path, { target: "#screen", swap: "innerHTML show:top", push: "true" });
  const told = new DOMParser().parseFromString(policy.createHTML(await reply.text()), "text/html");
  said.textContent = [...told.querySelectorAll(".faults li")].map((li) => li.textContent).join(" ") || told.title;
}

document.addEventListener("change", async ({ target }) => {
  if (target.matches("[data-send]") && target.files[0]) {
    if (target.files[0].size > Number(target.dataset.most ?? Infinity)) {               // before a byte of it is read
      document.querySelector("[data-sent]").textContent = `${target.files[0].name}: too large to take in: at most ${target.dataset.most} bytes. Nothing was kept.`;
      return;
    }
    const address = new URL(target.dataset.send, location.href);
    address.searchParams.set(target.dataset.named, target.files[0].name.replace(/\.zip$/i, ""));
    await send(address, target.files[0], document.querySelector("[data-sent]"));
  }
  if (target.matches("[data-photo]") && target.files[0]) await shot(target);
});

// ---- amounts that are moved: worked out again as they move. One question at a time, and the last one is always asked ---------
const working = new WeakSet();
document.addEventListener("input", ({ target }) => {
  const form = target.closest?.("form[data-work]");
  if (!form) return;
  const other = target.dataset.with && document.getElementById(target.dataset.with);
  if (other && (target.type === "range" || target.value)) other.value = target.value;
  if (!working.has(form)) worked(form).finally(() => working.delete(form));
});

async function worked(form) {
  working.add(form);
  const now = () => new URLSearchParams([...new FormData(form)].filter(([, value]) => value)).toString();
  for (let wanted = null; form.isConnected && wanted !== now();) {
    wanted = now();
    const reply = await asked(`${form.dataset.work}?${wanted}`, { headers: { "HX-Request": "true" } });
    const text = await reply.text(), place = document.getElementById(form.dataset.into);
    if (!form.isConnected || !place) return;
    const open = [...place.querySelectorAll("details[open]")].map((each) => each.id);
    place.innerHTML = policy.createHTML(text);
    for (const id of open) document.getElementById(id)?.setAttribute("open", "");
    htmx.process(place);
    form.dataset.worked = wanted;
  }
}

// ---- photos: turned upright, made smaller, drawn afresh so that nothing but the picture is left -------------------------------
const LONGEST = 1600, COVER = 125;

async function shot(input) {
  const form = input.closest("form"), said = form.querySelector("[data-photo-said]");
  let picture;
  try {
    picture = await createImageBitmap(input.files[0], { imageOrientation: "from-image" });
  } catch {
    said.textContent = "That is no picture this phone can read. Nothing was kept.";
    return;
  }
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = Object.assign(document.createElement("canvas"), { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
  const draw = () => canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  draw();
  const cover = form.querySelector("[data-photo-cover]"), boxes = [];
  const afresh = () => { draw(); for (const box of boxes) block(canvas, ...box); };
  cover.hidden = false;
  cover.replaceChildren(coverable(canvas, boxes, afresh), keyed("Keep the photo", async ({ target }) => {
    target.disabled = true;                                 // a second tap is no second photo
    afresh();                                               // without the square that keys move
    const data = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
    const address = new URL(form.dataset.photoForm, location.href);
    for (const name of ["about", "purpose", "consent"]) address.searchParams.set(name, new FormData(form).get(name) ?? "");
    if (boxes.length) address.searchParams.set("boxes", boxes.map((b) => b.join(" ")).join("; "));
    await send(address, data, said).finally(() => (target.disabled = false));
  }), keyed("Uncover all", () => {
    boxes.length = 0;
    draw();
    said.textContent = "Nothing is covered.";
  }));
  said.textContent = "Touch what nobody should see: a square of it is covered. With keys: arrows move the square, space covers.";
}

function keyed(says, act) {
  const key = Object.assign(document.createElement("button"), { type: "button", className: "key", textContent: says });
  key.addEventListener("click", act);
  return key;
}

// A touch covers an eighth of the picture about it; boxes are in thousandths, as photos.csv keeps them. With keys a square is moved
// over the picture and pressed down.
const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
function coverable(canvas, boxes, afresh) {
  canvas.className = "shot";
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "button");
  canvas.setAttribute("aria-label", "The photo, before it is kept: arrow keys move a square, space covers what is under it");
  const within = (at) => Math.min(1000 - COVER, Math.max(0, at));
  let at = [500 - COVER / 2, 500 - COVER / 2].map(Math.floor);
  canvas.addEventListener("keydown", (event) => {
    const step = STEPS[event.key], covers = event.key === " " || event.key === "Enter";
    if (!step && !covers) return;
    event.preventDefault();
    if (step) at = at.map((each, axis) => within(each + Math.round((step[axis] * COVER) / 2)));
    else boxes.push([...at, COVER, COVER]);
    afresh();
    frame(canvas, ...at);
  });
  canvas.addEventListener("focus", () => canvas.matches(":focus-visible") && frame(canvas, ...at));
  canvas.addEventListener("blur", afresh);
  canvas.addEventListener("click", (event) => {
    const seen = canvas.getBoundingClientRect();
    const from = (at, across) => Math.min(1000 - COVER, Math.max(0, Math.round((1000 * at) / across - COVER / 2)));
    boxes.push([from(event.clientX - seen.left, seen.width), from(event.clientY - seen.top, seen.height), COVER, COVER]);
    block(canvas, ...boxes.at(-1));
  });
  return canvas;
}

function frame(canvas, x, y) {
  const pen = canvas.getContext("2d");
  for (const [ink, wide] of [["#ffffff", 12], ["#15201c", 6]]) {            // seen on light and on dark
    Object.assign(pen, { strokeStyle: ink, lineWidth: wide });
    pen.strokeRect((x * canvas.width) / 1000, (y * canvas.height) / 1000, (COVER * canvas.width) / 1000, (COVER * canvas.height) / 1000);
  }
}

function block(canvas, x, y, w, h) {
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#15201c";
  pen.fillRect((x * canvas.width) / 1000, (y * canvas.height) / 1000, (w * canvas.width) / 1000, (h * canvas.height) / 1000);
}
