"use strict";
// The line of a folded part says what was kept in it; once something in it is changed, it says that.
(() => {
  const words = document.currentScript.dataset.changed;
  document.addEventListener("input", (event) => {
    for (let part = event.target.closest("form details"); part; part = part.parentElement.closest("form details")) {
      const said = part.querySelector(":scope > summary .said");
      if (said) said.textContent = words;
    }
  });
})();
