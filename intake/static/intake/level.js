import {pitch, reading, settled} from "./angle.js";
import {mount, number, type} from "./instrument.js";

const KEPT = 700;                // ms that a reading is taken over
const SHAKY = 1.5;               // degrees
const SILENT = 2500;             // ms without a word from the phone

mount("level", (root, part, say) => {
  const tilt = window.DeviceOrientationEvent;
  if (!tilt) return;
  let recent = [], floor = null, timer;

  const asks = typeof tilt.requestPermission === "function";
  if (asks && matchMedia("(pointer: coarse)").matches) root.hidden = false;
  else window.addEventListener("deviceorientation", offered);

  // A desk computer knows the event but never sends an angle: the button waits for the first one.
  function offered(event) {
    if (event.beta === null) return;
    window.removeEventListener("deviceorientation", offered);
    root.hidden = false;
  }

  part.allow.addEventListener("click", async () => {
    if (asks && await tilt.requestPermission().catch(() => "denied") !== "granted") {
      part.said.textContent = say("refused");
      return;
    }
    window.addEventListener("deviceorientation", hear);
    timer = setTimeout(() => { part.said.textContent = say("silent"); }, SILENT);
    part.allow.hidden = true;
    part.tool.hidden = false;
    part.zero.focus();
  });

  function hear(event) {
    if (event.beta === null) return;
    clearTimeout(timer);
    recent.push({at: event.timeStamp, value: pitch(event.beta)});
    recent = recent.filter((one) => one.at > event.timeStamp - KEPT);
    const {middle} = settled(recent.map((one) => one.value));
    part.now.textContent = say("angle", {degrees: number(floor === null ? middle : angle(middle), 1)});
    const aside = Math.min(Math.max(middle - (floor ?? 0), -10), 10);
    part.bubble.setAttribute("cx", 120 + 9.6 * aside);
  }

  const angle = (along) => reading(along, floor, root.dataset.reads);

  // The middle of the last moment; undefined where the phone was not held still.
  function still() {
    if (!recent.length) return undefined;
    const {middle, range} = settled(recent.map((one) => one.value));
    if (range <= SHAKY) return middle;
    part.said.textContent = say("shaky", {degrees: number(range, 1)});
    return undefined;
  }

  part.zero.addEventListener("click", () => {
    const middle = still();
    if (middle === undefined) return;
    floor = middle;
    part.take.disabled = false;
    part.said.textContent = say("zeroed");
  });
  part.take.addEventListener("click", () => {
    const middle = still();
    if (middle === undefined) return;
    type(root, [angle(middle)], 1);
    part.said.textContent = say("taken", {degrees: number(angle(middle), 1)});
  });
});
