import {mount, number, onPress, type} from "./instrument.js";

const BOUNCING_THUMB = 60;       // ms: no bounce is as short
const FAR_APART = 0.3;           // of the mean
const MOST = 9;

mount("stopwatch", (root, part, say) => {
  const readings = [];
  let since = null;

  const showTime = (seconds) => { part.now.textContent = say("reading", {seconds: number(seconds, 2)}); };

  function tick() {
    if (since === null) return;
    showTime((performance.now() - since) / 1000);
    requestAnimationFrame(tick);
  }

  function show() {
    part.list.replaceChildren(...readings.map((seconds) => {
      const line = document.createElement("li");
      line.textContent = say("reading", {seconds: number(seconds, 2)});
      return line;
    }));
    part.undo.hidden = !readings.length;
    part.mean.textContent = readings.length ? summary() : "";
    type(root, readings, 2);
  }

  function summary() {
    const mean = readings.reduce((sum, one) => sum + one, 0) / readings.length;
    const low = Math.min(...readings), high = Math.max(...readings);
    const word = readings.length === 1 ? "one" : high - low > FAR_APART * mean ? "apart" : "more";
    return say(word, {count: readings.length, mean: number(mean, 2), low: number(low, 2), high: number(high, 2)});
  }

  onPress(part.press, (now) => {
    if (since === null) {
      since = now;
      tick();
    } else if (now - since > BOUNCING_THUMB) {
      readings.push((now - since) / 1000);
      if (readings.length > MOST) readings.shift();
      since = null;
      showTime(readings.at(-1));
      show();
    }
    part.press.textContent = say(since === null ? "start" : "stop");
  });
  part.undo.addEventListener("click", () => {
    readings.pop();
    showTime(readings.at(-1) ?? 0);
    show();
    part.press.focus();
  });
  showTime(0);
  root.hidden = false;
});
