/* What this phone keeps of a case until it is sent: answers by page, photos, and the pages themselves.
   Loaded by the pages and by the offline worker alike, so it touches no document. */
"use strict";

self.kept = (() => {
  const TABLES = { answers: { keyPath: "url" }, photos: { keyPath: "id", autoIncrement: true } };
  let opening = null;

  const done = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

  /* Only now is it on the phone: what is too large for it is found out at the very end. */
  const written = (request) => new Promise((resolve, reject) => {
    request.transaction.oncomplete = () => resolve(request.result);
    request.transaction.onabort = () => reject(request.transaction.error || request.error);
  });

  const database = () => {
    opening ||= new Promise((resolve, reject) => {
      const request = indexedDB.open("kept", 1);
      request.onupgradeneeded = () => {
        for (const [name, options] of Object.entries(TABLES)) {
          request.result.createObjectStore(name, options).createIndex("case", "case");
        }
      };
      request.onsuccess = () => {
        request.result.onversionchange = () => { request.result.close(); opening = null; };
        resolve(request.result);
      };
      request.onerror = () => { opening = null; reject(request.error); };
    });
    return opening;
  };

  const table = async (name, mode) => (await database()).transaction(name, mode).objectStore(name);

  const store = {
    get: async (name, key) => done((await table(name, "readonly")).get(key)),
    all: async (name, number) => done((await table(name, "readonly")).index("case").getAll(number)),
    put: async (name, record) => written((await table(name, "readwrite")).put(record)),
    remove: async (name, key) => written((await table(name, "readwrite")).delete(key)),
    cacheName: (number) => `pages of ${number}`,
    base: (number) => `/${number}/`,
    /* A page of one round: the next round asks the same page anew, and what was typed for the one is not for the other. */
    key: (path, round) => `${path}#round-${round}`,
    path: (record) => record.url.split("#")[0],
    /* Changes a record in one step: between reading and writing nothing can be typed.  `change` is told what stands there
       now, and whether that is still what was read before; it may leave it alone. */
    change: async (record, change) => {
      const open = await table(record.url ? "answers" : "photos", "readwrite");
      const now = await done(open.get(record.url || record.id));
      const changed = now && change(now, now.stamp === record.stamp);
      if (changed) await written(open.put({ ...now, ...changed }));
    },
    /* Keeps what is typed.  What was sent meanwhile stays known, or it would be asked about as another device's. */
    keep: async (record) => {
      const open = await table("answers", "readwrite"), now = await done(open.get(record.url));
      const sent = now && now.revision > record.revision ? { revision: now.revision, base: now.base } : {};
      const both = { ...record, ...sent };
      await written(open.put(both));
      return both;
    },
    tell: (number, what) => {
      if (!("BroadcastChannel" in self)) return;
      const channel = new BroadcastChannel(`kept ${number}`);
      channel.postMessage(what);
      channel.close();
    },
  };

  /* What differs from what the page showed. */
  store.changed = (record) => {
    const grouped = (entries) => entries.reduce((found, [name, value]) => {
      found.set(name, [...(found.get(name) || []), value.trim()]);
      return found;
    }, new Map());
    const before = grouped(record.base), now = grouped(record.entries), names = new Set();
    for (const name of [...before.keys(), ...now.keys()]) {
      if (JSON.stringify(before.get(name)) !== JSON.stringify(now.get(name))) names.add(name);
    }
    return names;
  };
  /* How many answers that is: an answer's unit and how it is known belong to it.  A choice alone is one. */
  store.count = (record) => Math.max(1, new Set([...store.changed(record)].map((name) => name.split("~")[0])).size);

  /* Everything of one case goes: its pages, answers and photos. */
  store.forget = async (number) => {
    await store.forgetPages(number);
    for (const record of await store.all("answers", number)) await store.remove("answers", record.url);
    for (const photo of await store.all("photos", number)) await store.remove("photos", photo.id);
    if (!("serviceWorker" in navigator)) return;
    const found = await navigator.serviceWorker.getRegistration(store.base(number));
    if (found && new URL(found.scope).pathname === store.base(number)) await found.unregister();
  };
  store.forgetPages = async (number) => "caches" in self && caches.delete(store.cacheName(number));

  return store;
})();
