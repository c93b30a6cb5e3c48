// Keys for the queue.  Everything they do can be done with links, boxes and buttons as well; whoever types keeps typing.
const rows = [...document.querySelectorAll("[data-row]")];
const keys = document.querySelector("[data-keys]");
const off = document.querySelector("[data-keys-off]");
const KEPT = "farbench queue keys off";
const link = (row) => row.querySelector("[data-open]");
const here = () => rows.findIndex((row) => row.contains(document.activeElement));

const kept = () => { try { return localStorage.getItem(KEPT) === "1"; } catch { return false; } };
const keep = (value) => { try { localStorage.setItem(KEPT, value ? "1" : "0"); } catch { /* this browser keeps nothing */ } };

const go = (step) => {
  const at = here();
  const next = rows[Math.min(rows.length - 1, Math.max(0, at < 0 ? (step > 0 ? 0 : rows.length - 1) : at + step))];
  if (next) link(next).focus();
};

const acts = {
  j: () => go(1),
  k: () => go(-1),
  x: () => { const box = rows[here()]?.querySelector("input[name=case]"); if (box) box.checked = !box.checked; },
  "/": () => document.getElementById("q").focus(),
  "?": () => { keys.open = !keys.open; if (keys.open) keys.querySelector("summary").focus(); },
};

const typing = (target) => target.matches("input:not([type=checkbox]), select, textarea, [contenteditable]");

document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || typing(event.target)) return;
  const onRow = here() >= 0 && !event.shiftKey;
  if (onRow && event.key === "ArrowDown") { event.preventDefault(); go(1); return; }
  if (onRow && event.key === "ArrowUp") { event.preventDefault(); go(-1); return; }
  const act = acts[event.key];
  if (!act || off.checked) return;
  event.preventDefault();
  act();
});

keys.hidden = false;
off.checked = kept();
off.addEventListener("change", () => keep(off.checked));
