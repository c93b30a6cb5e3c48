/* On the first page: what this phone still holds of cases that it may not open any more is taken away. */
"use strict";

(async () => {
  if (!("caches" in window) || !("indexedDB" in window)) return;
  for (const mark of document.querySelectorAll("[data-forget-case]")) await kept.forget(mark.dataset.forgetCase);
  if (!navigator.onLine) return;
  for (const name of await caches.keys()) {
    const number = name.split(" ").pop();
    if (name !== kept.cacheName(number)) continue;
    const answer = await fetch(`${kept.base(number)}kept/`, { credentials: "same-origin", cache: "no-store" }).catch(() => null);
    // The way in has ended here, so no page stays to be read; words that were typed and not sent do, for their rider.
    if (answer && answer.status === 404) await kept.forgetPages(number);
  }
})();
