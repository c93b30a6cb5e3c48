/* Keeps what is typed on a page of the form, shows what waits on this phone, and sends it when there is a signal. */
"use strict";

(() => {
  const here = document.getElementById("kept");
  if (!here || !("indexedDB" in window)) return;
  const number = here.dataset.case, round = Number(here.dataset.round), revision = Number(here.dataset.revision);
  const base = kept.base(number), form = document.querySelector("main form.sheet:has(> input[name=revision])");
  const stamp = () => `${Date.now()} ${Math.random()}`;
  let record = null, letGo = false;

  const entriesOf = () => [...new FormData(form)].filter(([name, value]) =>
    typeof value === "string" && !["csrfmiddlewaretoken", "revision", "round", "caption", "photo_path"].includes(name));

  const key = () => kept.key(new URL(form.action).pathname, round);
  const fresh = () => ({ url: key(), case: number, round, revision, base: entriesOf(),
    title: document.querySelector("h1").textContent.trim(), entries: entriesOf(), state: "typed", stamp: stamp() });

  const begun = () => ({ ...fresh(), ...(form.dataset.sent ? { revision: Number(form.dataset.sent) } : {}), base: form.shown });

  const put = async (change) => {
    record = { ...record, ...change, stamp: stamp() };
    const { revision, base } = await kept.keep(record);
    if (!record || revision <= record.revision) return;
    Object.assign(record, { revision, base });
    form.elements.revision.value = revision;
  };

  /* Writes kept words back into the page, those alone that were changed here. */
  const fill = (entries, names) => {
    const values = new Map();
    for (const [name, value] of entries) values.set(name, [...(values.get(name) || []), value]);
    for (const field of form.elements) {
      if (!names.has(field.name) || field.type === "file" || field.tagName === "BUTTON") continue;
      const mine = values.get(field.name) || [];
      if (field.type === "radio" || field.type === "checkbox") field.checked = mine.includes(field.value);
      else if (mine.length) field.value = mine.shift();
      else field.value = "";
    }
    form.elements.revision.value = record.revision;
    form.dispatchEvent(new Event("change", { bubbles: true }));
  };

  const bringBack = async () => {
    record = (await kept.get("answers", key())) || null;
    if (!record) return;
    if (here.dataset.unsaved && record.state === "submitted") return put({ state: "typed" }).then(() => undefined);
    const shown = { base: entriesOf(), entries: record.entries };
    if (record.state === "sent" || (record.state === "submitted" && savedHere(record))) {
      if (record.revision > revision) fill(record.entries, kept.changed(shown)); // an older copy of the page
      else await kept.remove("answers", record.url);
      const sent = record.revision;
      record = null;
      return sent > revision ? sent : undefined;
    }
    if (record.state === "submitted") await put({ state: kept.changed(shown).size || record.choice ? "waiting" : "sent" });
    fill(record.entries, kept.changed(record));
  };

  /* The server's own word that a page was saved.  A higher revision alone may be another device's. */
  const savedHere = (one) => one.round === round
    && [...document.querySelectorAll("[data-saved]")].some((note) => note.dataset.saved === kept.path(one));

  const typing = async () => {
    record ||= begun();
    const entries = entriesOf();
    if (["typed", "sent", "submitted"].includes(record.state) && !kept.changed({ base: record.base, entries }).size) {
      const gone = record;
      record = null;
      await kept.remove("answers", gone.url);
    } else {
      await put({ entries, state: "typed", choice: null });
    }
    kept.tell(number, { changed: true });
    panel.draw();
  };

  /* What the button itself says beside where to go next: which unit was meant, or why a test was left out. */
  const choiceOf = (button) => (["settle", "why"].includes(button?.name) ? [button.name, button.value] : null);

  const keeping = async (choice) => {
    const left = await kept.takePhotos(form, new URL(form.action).pathname, number, round);
    if (choice) record ||= begun();
    if (record) await put({ entries: entriesOf(), choice, stays: left > 0, state: navigator.onLine ? "submitted" : "waiting" });
    return left;
  };

  /* First onto the phone, then onto the way. */
  const saving = async (event) => {
    if (letGo) return;
    event.preventDefault();
    const button = event.submitter, choice = choiceOf(button);
    const left = await keeping(choice).catch(() => null); // a full phone must not hold back what is typed
    await new Promise((go) => setTimeout(go)); // while this event is still on its way the form ignores a second one
    if (left !== null && !navigator.onLine) {
      await later();
      if (left) await panel.draw(); // what is picked and not kept would go with the page
      else location.assign(`${base}#waiting`);
      return;
    }
    letGo = true;
    form.requestSubmit(button);
    letGo = false;
  };

  const later = async () => {
    const worker = await navigator.serviceWorker?.getRegistration(base);
    if (worker && "sync" in worker) await worker.sync.register("send").catch(() => {});
  };

  const work = async () => {
    if (here.dataset.ended) return kept.forget(number);
    if (form) {
      const sent = await bringBack();
      if (sent) form.dataset.sent = sent;
      form.shown = record ? record.base : entriesOf();
      form.addEventListener("input", typing);
      form.addEventListener("change", (event) => event.isTrusted && typing());
      form.addEventListener("submit", saving);
    }
    await forgetTyped();
    panel = keptPanel(here, number, round);
    window.addEventListener("online", panel.send);
    if ("BroadcastChannel" in window) new BroadcastChannel(`kept ${number}`).onmessage = panel.heard;
    await panel.draw();
    if (navigator.onLine) await panel.send();
    await keptPages(here, number, `${round}.${revision}`, panel.ready);
  };

  /* A save that reached the server from another page of the form is not asked about again. */
  const forgetTyped = async () => {
    for (const one of await kept.all("answers", number)) {
      if (one.state !== "submitted" || (form && one.url === key())) continue;
      const state = savedHere(one) ? { state: "sent", revision } : { state: "waiting" };
      await kept.change(one, (now, same) => same && state);
    }
  };

  let panel = { draw() {} };
  work();
})();
