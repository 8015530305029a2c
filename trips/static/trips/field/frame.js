// The bar on top, going from screen to screen, and drawing again. Screens register themselves in
// app.js; this file knows none of them.

import { button, h } from "./dom.js";
import { asking, spots, state, today, trip, waiting } from "./state.js";
import { dayWords } from "./time.js";
import { many, t } from "./speak.js";

const NEARLY_FULL = 0.8, MANY = 20;
let draw = () => {};
export const drawWith = work => { draw = work; };
export const refresh = () => { bar(); };
export const again = () => draw();

export function go(where) {
  if (location.hash === `#${where}`) draw();
  else location.hash = where;
}

// [uuid, name] for a select, with the site's name where there is more than one.
export function spotOptions() {
  const all = spots();
  const sites = new Set(all.map(spot => spot.site));
  const name = pk => (state.bundle.sites.find(site => site.pk === pk) || { name: "?" }).name;
  return [["", t("Choose the spot")], ...all.map(spot => [spot.uuid, sites.size > 1 ? `${spot.name} (${name(spot.site)})` : spot.name])];
}

export const signInLink = () => h("p", {},
  h("a", { class: "button primary", href: `${document.body.dataset.signIn}?next=${document.body.dataset.page}` }, t("Sign in")));

export function waitWords() {
  const count = waiting().length + state.photos.filter(photo => photo.status === "waiting").length;
  const asks = asking().length + state.photos.filter(photo => photo.status === "refused" || photo.status === "look").length;
  const parts = [count ? many("{n} waits", "{n} wait", count) : "", asks ? many("{n} needs a look", "{n} need a look", asks) : ""];
  return parts.filter(Boolean).join(", ") || t("all sent");
}

export function bar() {
  const place = document.getElementById("bar");
  const now = trip();
  const home = ["", "#"].includes(location.hash);
  place.replaceChildren(
    home ? h("span", { class: "where" }, h("strong", {}, now ? now.name : t("No trip")), now && h("span", { class: "hint" }, dayWords(today())))
      : button(t("‹ Back"), () => go(""), { class: "back" }),
    button(waitWords(), () => go("outbox"), { class: `wait ${asking().length ? "asks" : waiting().length ? "waits" : ""}`, "aria-label": t("Outbox: {waitWords}", { waitWords: waitWords() }) }),
  );
}

// What a person has to know at once, whichever screen is open.
export function warnings() {
  const list = [];
  const warn = (text, kind = "") => list.push(h("p", { class: `warning ${kind}` }, text));
  if (state.trouble) warn(state.trouble, "bad");
  if (!isSecureContext) warn(t("Opened without HTTPS: this page will not open again without the laptop. Keep it open, and save everything as a file before you close it."));
  else if (state.offline) warn(t("This page couldn't be kept for opening without a network. Open it once more while there is reception."));
  else if (!state.shell) warn(t("This page is just being kept on the phone. Leave it open until this line is gone."));
  if (state.clock) warn(t("{clock} Set the phone's clock; days already noted can be changed one by one.", { clock: state.clock }));
  const now = trip();
  if (now && (today() < now.starts_on || today() > now.ends_on)) {
    warn(t("This phone says {dayWords}, the trip is on {starts_on}{ends_on}. Things are noted under the trip's day; is the phone's clock right?", { dayWords: dayWords(today()), starts_on: dayWords(now.starts_on), ends_on: now.ends_on === now.starts_on ? "" : ` to ${dayWords(now.ends_on)}` }));
  }
  if (state.link.kind === "signed-out" && waiting().length && location.hash.slice(1) !== "outbox") {
    list.push(h("p", { class: "warning" }, state.link.text, " ", button(t("To the outbox"), () => go("outbox"))));
  }
  const { persisted, usage, quota } = state.room;
  if (usage !== null && quota && usage / quota >= NEARLY_FULL) {
    warn(t("The room for this page is {usage} % full. Send, or save everything as a file; then free room on the phone.", { usage: Math.round((usage / quota) * 100) }), "bad");
  }
  // On the first screen and in the outbox at once; in the middle of a form only when much is at stake.
  const some = ["", "outbox"].includes(location.hash.slice(1)) ? 1 : MANY;
  if (persisted === false && waiting().length >= some) {
    warn(t("The browser didn't promise to keep this page's data. Add it to the home screen; save a file now and then."));
  }
  if (state.update) warn(t("A newer field page is here. It starts once every tab of this page was closed."));
  return list;
}
