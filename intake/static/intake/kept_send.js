/* Sends what waits on this phone.  Loaded by the pages and by the offline worker alike.
   Everything may be sent twice, and is: the server knows what it has. */
"use strict";

(() => {
  const SMALLEST = 64 * 1024, LARGEST = 8 * 1024 * 1024, QUICK = 1500, SLOW = 6000, MOST_STALLS = 5;
  class NoSignal extends Error {}
  class Fault extends Error {}
  class Overloaded extends Error {}
  class Shut extends Error {}

  const ask = async (address, options = {}) => {
    let answer;
    try {
      answer = await fetch(address, { credentials: "same-origin", cache: "no-store", redirect: "error", ...options });
    } catch (error) {
      throw new NoSignal(String(error));
    }
    if ([429, 503].includes(answer.status)) throw new Overloaded(String(answer.status));
    if (answer.status >= 500) throw new Fault(String(answer.status));
    return answer;
  };

  /* A fresh key against forged requests each time: the one in a page may be weeks old. */
  const door = async (number) => {
    const answer = await ask(`${kept.base(number)}kept/`);
    if (!answer.ok) throw new Shut(String(answer.status));
    return answer.json();
  };

  const sendPage = async (number, record, token) => {
    const body = new URLSearchParams(record.entries);
    if (record.choice) body.set(...record.choice);
    body.set("revision", record.revision);
    body.set("kept~round", record.round);
    const path = kept.path(record).slice(kept.base(number).length);
    const answer = await ask(`${kept.base(number)}kept/${path}`, { method: "POST", body, headers: { "X-CSRFToken": token } });
    if (answer.status === 403) throw new NoSignal("403");
    const said = await answer.json().catch(() => ({}));
    await kept.change(record, (now, same) => ({ ...told(record, answer, said), ...(same ? stateAfter(answer, said) : {}) }));
  };

  const told = (record, answer, said) => {
    if (answer.ok) {
      return { revision: said.revision, base: record.entries, look: said.look, clashes: null, problem: "", fault: false };
    }
    if (said.clashes) return { clashes: said.clashes, clashRevision: said.revision };
    return { problem: said.problem || String(answer.status), mend: said.mend || "" };
  };

  const stateAfter = (answer, said) => {
    if (answer.ok) return { state: "sent", choice: null };
    return { state: said.clashes ? "clash" : "refused" };
  };

  const begin = async (number, photo, token) => {
    if (photo.refused) await ask(photo.refused, { method: "DELETE", headers: { "X-CSRFToken": token } });
    photo.refused = "";
    const answer = await ask(`${kept.base(number)}photo/new/`, {
      method: "POST", body: new URLSearchParams({ place: photo.place, path: photo.path, caption: photo.caption, round: photo.round || "" }),
      headers: { "X-CSRFToken": token, "Upload-Length": String(photo.blob.size), "Upload-Complete": "?0" } });
    if (answer.status === 403) throw new NoSignal("403");
    if (answer.status !== 201) return answer;
    photo.at = answer.headers.get("Location");
    await kept.change(photo, () => ({ at: photo.at, refused: "" }));
    return answer;
  };

  /* Where it stopped, by the server's word: 404 means that it was swept away and begins anew. */
  const offsetOf = async (number, photo, token) => {
    if (photo.at) {
      const answer = await ask(photo.at, { method: "HEAD" });
      if (answer.ok) return { offset: Number(answer.headers.get("Upload-Offset")) };
    }
    const answer = await begin(number, photo, token);
    return answer.status === 201 ? { offset: 0 } : { answer };
  };

  const piece = (photo, offset, length, token) => ask(photo.at, {
    method: "PATCH", body: photo.blob.slice(offset, offset + length),
    headers: { "X-CSRFToken": token, "Upload-Offset": String(offset), "Content-Type": "application/partial-upload" } });

  const sendPhoto = async (number, photo, token) => {
    let { offset, answer } = await offsetOf(number, photo, token);
    let length = SMALLEST, stalls = 0;
    while (!answer) {
      const began = Date.now();
      const next = await piece(photo, offset, length, token);
      const took = Date.now() - began, reached = Number(next.headers.get("Upload-Offset") ?? offset);
      length = took < QUICK ? Math.min(LARGEST, length * 4) : took > SLOW ? Math.max(SMALLEST, length / 2) : length;
      if (next.status !== 204 && next.status !== 409) answer = next;
      else if ((stalls = reached > offset ? 0 : stalls + 1) === MOST_STALLS) throw new Fault("it comes no further");
      offset = reached;
      kept.tell(number, { photo: photo.id, share: Math.round((100 * offset) / photo.blob.size) });
    }
    await settle(number, photo, answer);
  };

  const settle = async (number, photo, answer) => {
    if (answer.status === 403) throw new NoSignal("403");
    const said = await answer.json().catch(() => ({}));
    if (answer.ok) await came(number, photo, said);
    else if (answer.status === 404) throw new NoSignal("404");
    else await refuse(photo, { problem: String(answer.status), ...said });
  };

  const refuse = (photo, { problem, mend = "" }) =>
    kept.change(photo, () => ({ at: "", refused: photo.at, state: "refused", problem, mend, fault: false }));

  /* All of it is there.  This phone keeps its copy until it is a picture, or until it is known that it never will be. */
  const came = async (number, photo, said) => {
    if (said.state === "refused") return refuse(photo, said);
    if (said.state === "made") await kept.remove("photos", photo.id);
    else await kept.change(photo, () => ({ state: "received", fault: false }));
    kept.tell(number, { arrived: { ...said, at: photo.at, page: photo.page } });
  };

  /* 404: made long ago, or taken away on another page. */
  const askAfter = async (number, photo) => {
    const answer = await ask(photo.at);
    if (answer.ok) await came(number, photo, await answer.json());
    else if (answer.status === 404) await kept.remove("photos", photo.id);
  };

  const waiting = (one) => one.state === "waiting";
  const faulty = (one) => kept.change(one, (now, same) => same && { fault: true });

  /* Pages go first, those too that were saved while a photo was on its way. */
  const sendAll = async (number) => {
    const all = await kept.all("photos", number), met = new Set(), tried = new Set();
    const photos = all.filter(waiting), received = all.filter((photo) => photo.state === "received");
    const pages = async () => (await kept.all("answers", number)).filter((one) => waiting(one) && !tried.has(one.stamp));
    if (!photos.length && !received.length && !(await pages()).length) return "done";
    const { token } = await door(number);
    const sendPages = async () => each(number, await pages(), met, (record) => sendPage(number, record, token), tried);
    for (const photo of photos) {
      await sendPages();
      await each(number, [photo], met, () => sendPhoto(number, photo, token));
    }
    await sendPages();
    await each(number, received, met, (photo) => askAfter(number, photo));
    return ["fault", "overloaded"].find((word) => met.has(word)) || "done";
  };

  /* What meets a fault of the service, or finds it busy, stays on this phone and is tried again; it does not hold back what
     comes after it. */
  const each = async (number, all, met, send, tried = new Set()) => {
    for (const one of all) {
      tried.add(one.stamp);
      try {
        await send(one);
      } catch (error) {
        if (!(error instanceof Fault || error instanceof Overloaded)) throw error;
        met.add(error instanceof Fault ? "fault" : "overloaded");
        if (error instanceof Fault) await faulty(one);
      }
      kept.tell(number, { changed: true });
    }
  };

  /* One sender at a time, whatever is open: "done", "busy", "no signal", "overloaded" (the service has no time just now),
     "fault" (something is wrong there) or "shut" (the way in has ended here). */
  kept.send = async (number) => {
    const attempt = async (lock) => {
      if (lock === null) return "busy";
      try {
        return await sendAll(number);
      } catch (error) {
        if (error instanceof NoSignal) return "no signal";
        if (error instanceof Overloaded) return "overloaded";
        if (error instanceof Fault) return "fault";
        if (error instanceof Shut) return "shut";
        throw error;
      }
    };
    const result = "locks" in navigator
      ? await navigator.locks.request(`sending ${number}`, { ifAvailable: true }, attempt) : await attempt();
    kept.tell(number, { changed: true });
    return result;
  };
})();
