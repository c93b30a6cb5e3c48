/* A page that shows a secret once: a doubled click sends one request, or the answer that is thrown away would be the one
   that counts. */
"use strict";

for (const field of document.querySelectorAll("input[name=once]")) {
  let sent = false;
  field.form.addEventListener("submit", (event) => {
    if (sent) event.preventDefault();
    sent = true;
  });
  addEventListener("pageshow", () => { sent = false; }); // whoever comes back may send again
}
