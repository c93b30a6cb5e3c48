// Long parts of a page stand open on a desk and are folded on a phone; without a script they stay open.
const narrow = window.matchMedia("(max-width: 47.99rem)");
const parts = document.querySelectorAll("details[data-fold]");
const fit = () => { for (const part of parts) part.open = !narrow.matches; };
fit();
narrow.addEventListener("change", fit);
window.addEventListener("beforeprint", () => { for (const part of parts) part.open = true; });
