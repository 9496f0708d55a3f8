// The one policy by which texts become part of a page: all of them come from our own app, which escapes every text of a job.
const plain = { createHTML: (text) => text, createScriptURL: (address) => address };
export const policy = window.trustedTypes?.createPolicy("spareway", plain) ?? plain;
htmx.registerExtension("spareway-trust", { init: (inside) => inside.initSecurity({ ...plain, createHTML: (text) => policy.createHTML(text) }) });
