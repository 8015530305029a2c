// Looks every two seconds how far the work is, and shows it in place. Without this file the page
// loads itself anew instead.
const EVERY_MS = 2000;

async function look() {
  const shown = document.getElementById("job");
  if (!shown || shown.dataset.over === "yes") return;
  try {
    const answer = await fetch(window.location.href, { credentials: "same-origin" });
    if (answer.ok && !answer.redirected) {
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.getElementById("job");
      if (fresh) shown.replaceWith(fresh);
    }
  } catch {
    // No network for a moment: the next look will tell.
  }
  window.setTimeout(look, EVERY_MS);
}

window.setTimeout(look, EVERY_MS);
