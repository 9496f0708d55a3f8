// Who answers an address of the app. In the page the engine does, straight: by way of the service worker each answer would pass
// through this page twice more. Where no engine runs here, whoever the address leads to.
let engine = null;

export function answeredBy(ask) {
  engine = ask;
}

// As fetch.
export async function asked(address, options) {
  if (!engine) return fetch(address, options);
  const request = new Request(new URL(address, document.baseURI), options), { method, url } = request;
  const body = method === "GET" ? new ArrayBuffer(0) : await request.arrayBuffer();
  try {
    const told = await engine({ method, url, headers: [...request.headers], body });
    return new Response(told.status === 204 ? null : told.body, { status: told.status, headers: told.headers });
  } catch (fault) {
    return new Response(`Not kept. ${fault.message}`, { status: 500, headers: { "content-type": "text/plain" } });
  }
}
