{% load static %}/* Serves one case's pages without a signal.  Each case has a worker and a store of its own: its reach is the case's
   own address, so that it never sees a page of anybody else's. */
"use strict";

importScripts("{% static 'intake/kept_store.js' %}", "{% static 'intake/kept_send.js' %}");

const base = new URL(self.registration.scope).pathname;
const number = base.split("/")[1];
const PATIENCE = 6000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("sync", (event) => event.waitUntil(kept.send(number).then((result) => {
  if (["no signal", "overloaded", "fault"].includes(result)) throw new Error(result); // so that the browser tries again later
})));

self.addEventListener("fetch", (event) => {
  const request = event.request, url = new URL(request.url);
  if (url.origin !== self.location.origin) return;
  if (request.mode === "navigate" && url.pathname.startsWith(base)) {
    event.respondWith(request.method === "GET" ? page(request, url) : posted(request, url));
  } else if (request.method === "GET" && url.pathname.startsWith("/static/")) {
    event.respondWith(part(request));
  }
});

/* A phone whose store fails still has its signal. */
const stored = (key) => caches.open(kept.cacheName(number)).then((store) => store.match(key)).catch(() => undefined);
/* A connection that the server had just closed, or a signal that just came, fails once only; reading twice does no harm. */
const read = (request) => fetch(request).catch(() => fetch(request));

async function part(request) {
  try {
    return await read(request);
  } catch (error) {
    return (await stored(request.url)) || Response.error();
  }
}

async function page(request, url) {
  const copy = await stored(url.pathname);
  const fresh = read(request).then((answer) => {
    if (url.pathname === base && (answer.status === 404 || answer.status === 410)) kept.forgetPages(number);
    return answer;
  });
  const late = copy && new Promise((resolve) => setTimeout(() => resolve(copy), PATIENCE));
  try {
    return await (late ? Promise.race([fresh, late]) : fresh);
  } catch (error) {
    if (copy) return copy;
    return (await stored(base)) ? Response.redirect(`${base}#no-signal`, 303) : Response.error();
  }
}

/* A page of the form that was being saved when the signal went waits.  Anything else has to be done again: no content
   means that the page stays as it is, with what was typed into it. */
async function posted(request, url) {
  try {
    return await fetch(request);
  } catch (error) {
    const onTheWay = (await kept.all("answers", number)).filter((one) => kept.path(one) === url.pathname && one.state === "submitted");
    const record = onTheWay.sort((one, other) => other.round - one.round)[0];
    if (!record) return stay();
    await kept.change(record, (now) => now.state === "submitted" && { state: "waiting" });
    if ("sync" in self.registration) await self.registration.sync.register("send").catch(() => {});
    return record.stays ? stay() : Response.redirect(`${base}#waiting`, 303);
  }
}

function stay() {
  kept.tell(number, { needsSignal: true });
  return new Response(null, { status: 204 });
}
