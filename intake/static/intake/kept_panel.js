/* "3 answers wait on this phone": what is unsent is always in sight, with what stands in its way. */
"use strict";

self.keptPanel = (here, number, round) => {
  const words = JSON.parse(document.getElementById("kept-words").textContent);
  const panel = document.getElementById("waiting"), shares = new Map();
  const SOON = 1500, SELDOM = 60000;
  let state = "", asked = "[]", drawn = "", drawing = Promise.resolve(), pause = SOON, asking = 0;

  const filled = (text, slots = {}) => text.replace(/\{(\w+)\}/g, (whole, name) => slots[name] ?? whole);
  const some = (name, n) => filled(words[n === 1 ? `${name}_one` : `${name}_many`], { n });
  const made = (tag, text = "", options = {}) => Object.assign(document.createElement(tag), { textContent: text }, options);
  const button = (text, act, second = true) => {
    const found = made("button", text, { type: "button", onclick: act });
    if (second) found.className = "second";
    return found;
  };
  const row = (...parts) => {
    const found = made("p", "", { className: "actions" });
    found.append(...parts);
    return found;
  };

  const isHere = (record) => location.pathname === kept.path(record);

  const send = async () => {
    const result = await kept.send(number);
    state = result === "busy" ? state : result;
    await draw();
    await askLater(result === "busy");
  };

  /* Asks what became of the photos that are being made, or whether a busy service has time, less and less often; and
     whether what another page of this phone was sending has come, since that page may be gone. */
  const askLater = async (elsewhere = false) => {
    clearTimeout(asking);
    const open = elsewhere || ["overloaded", "fault"].includes(state) || (await kept.all("photos", number)).some((photo) => photo.state === "received");
    if (open && navigator.onLine) asking = setTimeout(send, pause);
    pause = open ? Math.min(SELDOM, pause * 1.5) : SOON;
  };

  const sendAgain = (photo) => async () => {
    await kept.put("photos", { ...photo, round, state: "waiting", problem: "", mend: "" });
    await send();
  };

  const throwAway = (name, key) => async () => {
    if (!confirm(words.sure)) return;
    await kept.remove(name, key);
    if (name === "answers" && isHere({ url: key })) location.reload();
    else await draw();
  };

  /* The rider has picked for each answer: what was left to the case is not sent again. */
  const settle = async (record, picked) => {
    const dropped = record.clashes.map((clash) => clash.path).filter((path) => picked.get(path) === "case");
    const stays = ([name]) => !dropped.includes(name.split("~")[0]);
    await kept.change(record, (now, same) => same && { entries: now.entries.filter(stays), base: now.base.filter(stays),
      revision: record.clashRevision, clashes: null, state: "waiting", stamp: String(Date.now()) });
    await send();
    if (isHere(record)) location.reload();
  };

  const pick = (clash, side, picked) => {
    const label = made("label"), said = made("span");
    const input = made("input", "", { type: "radio", name: `clash ${clash.path}`, value: side, onchange: () => picked.set(clash.path, side) });
    said.append(made("strong", side === "phone" ? words.on_phone : words.in_case), document.createElement("br"),
      clash[side] || words.nothing);
    label.append(input, said);
    return label;
  };

  const clashes = (record) => {
    const picked = new Map(), box = made("div"), note = made("p", "", { className: "fault", hidden: true });
    note.setAttribute("role", "alert");
    for (const clash of record.clashes) {
      const set = made("fieldset", "", { className: "question" }), picks = made("div", "", { className: "picks" });
      picks.append(pick(clash, "phone", picked), pick(clash, "case", picked));
      set.append(made("legend", clash.title), picks);
      box.append(set);
    }
    const use = button(words.use, () => {
      const open = record.clashes.filter((clash) => !picked.has(clash.path));
      note.hidden = !open.length;
      note.textContent = open.length ? filled(words.pick_first, { title: open[0].title }) : "";
      if (!open.length) settle(record, picked);
    }, false);
    box.append(note, row(use));
    return [made("p", words.clash), box];
  };

  const typed = (record) => {
    const list = made("ul"), changed = kept.changed(record);
    for (const [name, value] of record.entries) {
      if (changed.has(name) && !name.includes("~") && value) list.append(made("li", value));
    }
    return list;
  };

  const stateWords = (record) => ({ typed: isHere(record) ? words.typed_here : words.typed, submitted: words.on_the_way, waiting: words.waits,
    clash: words.clashes, refused: words.refused })[record.state];

  const pageItem = (record) => {
    const item = made("li"), link = made("a", record.title, { href: record.url });
    item.append(link, made("span", ` ${some("answers", kept.count(record))}: ${stateWords(record)}`));
    if (record.clashes && record.state === "clash") item.append(...clashes(record));
    const faulty = record.state === "waiting" && record.fault;
    if (record.state === "refused" || faulty) {
      item.append(made("p", faulty ? words.fault_here : `${record.problem} ${record.mend}`, { className: "fault" }), typed(record));
    }
    if (record.state === "refused" || record.state === "typed" || faulty) {
      item.append(row(button(words.throw_away, throwAway("answers", record.url))));
    }
    return item;
  };

  const photoItem = (photo) => {
    const item = made("li"), share = shares.get(photo.id);
    const said = photo.state === "refused" ? words.photo_refused
      : share === undefined ? words.photo_waits : filled(words.photo_share, { share });
    item.append(made("span", `${photo.caption || photo.name}: ${said}`));
    if (photo.state === "refused") item.append(made("p", `${photo.problem} ${photo.mend}`, { className: "fault" }));
    else if (photo.fault) item.append(made("p", words.fault_here, { className: "fault" }));
    if (share === undefined || photo.state === "refused" || photo.fault) {
      const againWords = (photo.round || round) === round ? words.send_again : words.add_here;
      const again = photo.state === "refused" ? [button(againWords, sendAgain(photo), false)] : [];
      item.append(row(...again, button(words.throw_away, throwAway("photos", photo.id))));
    }
    return item;
  };

  const heading = (pages, photos) => [
    pages.length && some("wait_answers", pages.reduce((sum, record) => sum + kept.count(record), 0)),
    photos.length && some("wait_photos", photos.length)].filter(Boolean).join(" ");

  const parts = (pages, photos) => {
    const list = made("ul"), found = [made("h2", heading(pages, photos))];
    list.append(...pages.map(pageItem), ...photos.map(photoItem));
    if (state === "shut") found.push(made("p", words.shut));
    else if (state === "overloaded") found.push(made("p", words.overloaded));
    else if (state === "fault" && navigator.onLine) found.push(made("p", words.fault));
    else if (!navigator.onLine || state === "no signal") found.push(made("p", words.no_signal));
    found.push(list);
    if ([...pages, ...photos].some((one) => one.state === "waiting")) found.push(row(button(words.send_now, send, false)));
    return found;
  };

  const look = (pages) => pages.filter((record) => record.state === "sent" && record.look).map((record) => {
    const item = made("p", "", { className: "doubt" });
    item.append(filled(words.look, { title: record.title }), " ", made("a", words.open, { href: record.url }));
    return item;
  });

  const redraw = async () => {
    const all = await kept.all("answers", number);
    const photos = (await kept.all("photos", number)).filter((photo) => photo.state !== "received");
    const pages = all.filter((record) => record.state !== "sent");
    const shown = pages.length || photos.length ? parts(pages, photos) : [];
    const again = look(all);
    const open = JSON.stringify(pages.filter((record) => record.state === "clash").map((record) => [record.url, record.clashRevision]));
    if (open === asked && panel.querySelector("input:checked")) return; // somebody is picking
    const sight = JSON.stringify([all, photos, [...shares], state, navigator.onLine, location.hash]);
    if (sight === drawn) return; // nothing is read out twice, and no button goes from under a finger
    [asked, drawn] = [open, sight];
    panel.hidden = !shown.length && !again.length && location.hash !== "#no-signal";
    panel.replaceChildren(...(location.hash === "#no-signal" ? [made("p", words.needs_signal)] : []), ...shown, ...again);
  };
  const draw = () => (drawing = drawing.then(redraw));

  const arrived = (photo) => {
    const list = document.querySelector("#photos ul.photos");
    if (photo.page !== location.pathname || !list) return;
    const item = made("li"), link = made("a", "", { href: photo.photo });
    item.dataset.upload = photo.at;
    link.append(made("img", "", { src: photo.photo, alt: photo.caption || words.photo, width: photo.width, height: photo.height }));
    item.append(photo.state === "made" ? link : made("span", words.photo_made, { className: "to-come" }),
      made("span", photo.caption, { className: "small" }));
    const before = [...list.children].find((one) => one.dataset.upload === photo.at);
    if (before) before.replaceWith(item);
    else list.append(item);
  };

  const heard = ({ data }) => {
    if (data.photo) shares.set(data.photo, data.share);
    if (data.arrived) {
      arrived(data.arrived);
      askLater();
    }
    if (data.needsSignal && document.visibilityState === "visible") history.replaceState(null, "", "#no-signal");
    draw().then(() => data.needsSignal && panel.scrollIntoView({ block: "nearest" }));
  };
  const ready = (all) => {
    const note = document.getElementById("kept-ready");
    if (note && all && location.pathname === kept.base(number)) note.hidden = false;
  };
  return { draw, send, heard, ready };
};
