"use strict";
// A page that the way back brings up whole is loaded anew if its person has signed out meanwhile.
(() => {
  const { asks, user } = document.currentScript.dataset;
  window.addEventListener("pageshow", async (event) => {
    if (!event.persisted) return;
    try {
      const answer = await fetch(asks, { cache: "no-store", redirect: "manual" });
      const isOut = answer.type === "opaqueredirect";
      if (isOut || (answer.ok && (await answer.json()).user !== user)) window.location.reload();
    } catch {
      // Without a network there is nothing to ask, and what was typed must stay.
    }
  });
})();
