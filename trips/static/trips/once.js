"use strict";
// A form that was sent isn't sent again by a second press, and its button says that it is at work.
(() => {
  const words = document.currentScript.dataset.working;
  const sent = new Map();
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (event.defaultPrevented || form.method !== "post") return;
    if (sent.has(form)) { event.preventDefault(); return; }
    const button = event.submitter;
    sent.set(form, button ? [button, button.textContent] : null);
    form.setAttribute("aria-busy", "true");
    if (!button) return;
    // Wide as before, so that nothing shifts; its name and value still go with the form.
    button.style.minWidth = `${button.offsetWidth}px`;
    button.textContent = words;
  });
  // A page that the way back brings up again can be sent anew.
  window.addEventListener("pageshow", (event) => {
    if (!event.persisted) return;
    for (const [form, kept] of sent) {
      form.removeAttribute("aria-busy");
      if (kept) kept[0].textContent = kept[1];
    }
    sent.clear();
  });
})();
