// A touch in the picture: only what it changes is changed in the page. A whole drawing built anew is what takes a slow phone long.
import { policy } from "./trust.js";

const PARTS = [":scope > header.top", ":scope > main", ":scope > nav.sill"];
let touches = 0;

// The state that a link of the drawing leads to, shown where the present one stands; its address is kept, so that back leads back.
export async function redrawn(link) {
  const mine = ++touches, address = link.getAttribute("href");
  link.classList.add("htmx-request");
  try {
    const reply = await fetch(address, { headers: { "HX-Request": "true" } });
    const told = new DOMParser().parseFromString(policy.createHTML(await reply.text()), "text/html");
    if (mine !== touches) return;                           // touched again meanwhile: that answer is the one to show
    if (!reply.ok || !told.querySelector(".drawing") || !document.querySelector(".drawing")) return onwards(link, address);
    changed(document.querySelector("#screen"), told.body);
    document.title = told.title;
    history.pushState({ htmx: true }, "", address);
  } finally {
    link.classList.remove("htmx-request");
  }
}

export function onwards(link, address) {
  return htmx.ajax("GET", address, { source: link, target: "#screen", swap: "innerHTML", push: "true" });
}

function changed(screen, told) {
  for (const part of PARTS) {
    const [now, next] = [screen.querySelector(part), told.querySelector(part)];
    if (now && next) become(now, next);
    else if (next) htmx.process(screen.appendChild(next));
    else now?.remove();
  }
}

// What htmx follows is put in anew, so that it is followed; everything else stays, with other attributes, texts and children.
function become(now, next) {
  if (now.isEqualNode(next)) return;
  if (now.nodeName !== next.nodeName || now.nodeType !== Node.ELEMENT_NODE || now.matches("nav, .tabs")) {
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
