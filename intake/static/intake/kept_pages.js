/* Lays the pages of a case down on this phone, so that each can be opened without a signal. */
"use strict";

self.keptPages = (() => {
  const PARTS = "link[rel=stylesheet], link[rel=icon], link[rel=modulepreload], script[src]";
  const parts = (page) => [...page.querySelectorAll(PARTS)]
    .map((part) => new URL(part.getAttribute("href") || part.getAttribute("src"), location.href))
    .filter((address) => address.origin === location.origin).map(String);

  /* Without "keep" the page would use up what the next page has to say, such as "Saved". */
  const lay = async (store, path) => {
    const answer = await fetch(`${path}?keep=1`, { credentials: "same-origin", redirect: "error" });
    if (!answer.ok) return false;
    const words = await answer.clone().text();
    await store.put(path, answer);
    await layParts(store, new DOMParser().parseFromString(words, "text/html"));
    return true;
  };

  const layParts = async (store, page = document) => {
    for (const address of new Set(parts(page))) if (!(await store.match(address))) await store.add(address);
  };

  const layAll = async (number, pages, state) => {
    await kept.forgetPages(number);
    const store = await caches.open(kept.cacheName(number));
    await layParts(store);
    for (const path of pages) await lay(store, path);
    await store.put("/kept-state", new Response(state));
  };

  const worker = async (here, number) => {
    const registration = await navigator.serviceWorker.register(here.dataset.worker, { scope: kept.base(number) });
    await registration.update().catch(() => {});
  };

  const one = async (number, state) => {
    const store = await caches.open(kept.cacheName(number));
    await layParts(store);
    if (await store.match(location.pathname)) await lay(store, location.pathname);
    return (await (await store.match("/kept-state"))?.text()) === state;
  };

  const work = async (here, number, state) => {
    await worker(here, number);
    const current = await one(number, state);
    const onCasePage = location.pathname === kept.base(number);
    if (current || (!onCasePage && (await (await caches.open(kept.cacheName(number))).match("/kept-state")))) return true;
    const answer = await fetch(`${kept.base(number)}kept/`, { credentials: "same-origin", cache: "no-store" });
    if (!answer.ok) return false;
    await layAll(number, (await answer.json()).pages, state);
    return true;
  };

  return async (here, number, state, ready) => {
    if (!("serviceWorker" in navigator) || !("caches" in window) || !window.isSecureContext) return;
    try {
      if (navigator.onLine) ready(await work(here, number, state));
    } catch (error) {
      if (!(error instanceof TypeError)) throw error; // no signal after all: the next page tries again
    }
  };
})();
