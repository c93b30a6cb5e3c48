// Keeps the screen on while a test page is open: hands are at the bike.

async function hold() {
  try {
    await navigator.wakeLock.request("screen");
    for (const note of document.querySelectorAll("[data-awake]")) note.hidden = false;
  } catch { /* the phone refuses, for instance with an empty battery: the page works all the same */ }
}

if (navigator.wakeLock) {
  hold();
  // The phone lets go whenever the page is out of sight.
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && hold());
}
