// Ask before a page with unsaved words is left.  Saving and previewing keep them, so those do not ask.
const form = document.querySelector("[data-keep-words]");
if (form) {
  const boxes = [...form.querySelectorAll("textarea:not([readonly])")];
  const before = boxes.map((box) => box.value);
  let leaving = false;
  form.addEventListener("submit", () => { leaving = true; });
  window.addEventListener("beforeunload", (event) => {
    if (!leaving && boxes.some((box, place) => box.value !== before[place])) event.preventDefault();
  });
}
