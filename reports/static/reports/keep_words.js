// Ask before a page with unsaved words is left.  Saving and previewing keep them, so those do not ask.
const form = document.querySelector("[data-keep-words]");
if (form) {
  const box = form.querySelector("textarea");
  const before = box.value;
  let leaving = false;
  form.addEventListener("submit", () => { leaving = true; });
  window.addEventListener("beforeunload", (event) => {
    if (!leaving && box.value !== before) event.preventDefault();
  });
}
