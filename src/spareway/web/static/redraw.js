// A touch in the picture: only what it changes is changed in the page. A whole drawing built anew is what takes a slow phone long.
import { asked } from "./asked.js";
import { policy } from "./trust.js";

const PARTS = [":scope > header.top", ":scope > main", ":scope > nav.sill"];
const HEADERS = { "HX-Request": "true" };
let touches = 0, ahead = {};

// The finger is down on a link: its state is asked for, which changes nothing, so that it is there when the finger is lifted.
export function asking(link) {
  const address = link.getAttribute("href");
  ahead = { address, told: told(address) };
  ahead.told.catch(() => {});                               // said where the answer is wanted
}

async function told(address) {
  const reply = await asked(address, { headers: HEADERS });
  return { ok: reply.ok, text: await reply.text() };
}

// The state that a link of the drawing leads to, shown where the present one stands; its address is kept, so that back leads back.
export async function redrawn(link, byFinger) {
  const mine = ++touches, address = link.getAttribute("href");
  link.classList.add("htmx-request");
  try {
    const { ok, text } = await (byFinger && ahead.address === address ? ahead.told : told(address));
    ahead = {};                                             // never shown twice: the job may have changed since
    if (mine !== touches) return;                           // touched again meanwhile: that answer is the one to show
    const next = new DOMParser().parseFromString(policy.createHTML(text), "text/html");
    if (!ok || !next.querySelector(".drawing") || !document.querySelector(".drawing")) return onwards(link, address);
    changed(document.querySelector("#screen"), next.body);
    if (document.title !== next.title) document.title = next.title;
    requestAnimationFrame(() => setTimeout(() => history.pushState({ htmx: true }, "", address)));        // after it is to be seen
  } finally {
    link.classList.remove("htmx-request");
  }
}

export function onwards(link, address) {
  return htmx.ajax("GET", address, { source: link, target: "#screen", swap: "innerHTML", push: "true" });
}

function changed(screen, body) {
  for (const part of PARTS) {
    const [now, next] = [screen.querySelector(part), body.querySelector(part)];
    if (now && next) become(now, next);
    else if (next) htmx.process(screen.appendChild(next));
    else now?.remove();
  }
}

// What htmx follows is put in anew, so that it is followed; everything else stays, with other attributes, texts and children.
function become(now, next) {
  if (now.isEqualNode(next)) return;
  const followed = now.nodeType === Node.ELEMENT_NODE && now.matches("nav, .tabs");
  if (followed && unfollowed(now).isEqualNode(next)) return;            // put in anew it would be styled again, and all after it
  if (now.nodeName !== next.nodeName || now.nodeType !== Node.ELEMENT_NODE || followed) {
    now.replaceWith(next);
    if (next.nodeType === Node.ELEMENT_NODE && next.namespaceURI === document.documentElement.namespaceURI) htmx.process(next);
    return;
  }
  for (const { name } of [...now.attributes]) if (!next.hasAttribute(name)) now.removeAttribute(name);
  for (const { name, value } of next.attributes) if (now.getAttribute(name) !== value) now.setAttribute(name, value);
  const mine = [...now.childNodes], theirs = [...next.childNodes];
  while (mine.length && theirs.length && mine[0].isEqualNode(theirs[0])) mine.shift(), theirs.shift();
  const after = [];
  while (mine.length && theirs.length && mine.at(-1).isEqualNode(theirs.at(-1))) after.unshift(mine.pop()), theirs.pop();
  mine.forEach((child, i) => (theirs[i] ? become(child, theirs[i]) : child.remove()));
  for (const child of theirs.slice(mine.length)) now.insertBefore(child, after[0] ?? null);
}

// As it was before htmx marked what it follows.
function unfollowed(node) {
  const copy = node.cloneNode(true);
  for (const each of [copy, ...copy.querySelectorAll("[data-htmx-powered]")]) each.removeAttribute("data-htmx-powered");
  return copy;
}
