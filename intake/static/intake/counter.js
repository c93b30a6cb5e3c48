import {mount, onPress} from "./instrument.js";

mount("counter", (root, part, say) => {
  const answers = root.dataset.answers.split("|");
  const picks = [...document.getElementsByName(root.dataset.field)];
  let count = 0;

  function set(to) {
    count = to;
    part.now.textContent = say("count", {count});
    const pick = picks.find((one) => one.value === answers[Math.min(count, answers.length - 1)]);
    if (!pick) return;
    pick.checked = true;
    pick.dispatchEvent(new Event("change", {bubbles: true}));
  }

  onPress(part.press, () => set(count + 1));
  part.undo.addEventListener("click", () => set(0));
  part.now.textContent = say("count", {count});
  root.hidden = false;
});
