// Which trip, how the screen looks, and what to know about the phone.

import { button, field, h, select } from "../dom.js";
import { setPref, state, trip } from "../state.js";
import { again, go } from "../frame.js";
import { t } from "../speak.js";

export const SCREENS = [["", t("as the phone says")], ["sun", t("sun: black on white, bold")], ["dark", t("dark: saves the battery")]];

export function showScreen() {
  document.documentElement.dataset.screen = state.prefs.screen || "";
}

export function moreScreen() {
  const trips = state.bundle ? state.bundle.trips : [];
  return [h("h1", {}, t("More")),
    field(t("Trip"), select("trip", trips.length ? trips.map(each => [each.uuid, each.name]) : [["", t("none fetched")]], trip() ? trip().uuid : "", {
      onchange: async event => { await setPref("trip", event.target.value); again(); },
    })),
    field(t("Screen"), select("screen", SCREENS, state.prefs.screen || "", {
      onchange: async event => { await setPref("screen", event.target.value); showScreen(); },
    })),
    h("div", { class: "keepbar still" },
      button(t("Fetch trip and tables"), () => document.dispatchEvent(new Event("send")), { class: "primary" }),
      button(t("Add a block of hours"), () => go("hours"))),
    help()];
}

function help() {
  const address = location.host + document.body.dataset.page;
  return h("section", {}, h("h2", {}, t("Good to know")), h("ul", {},
    h("li", {}, h("strong", {}, t("One address. ")), t("This page's data belongs to {address}. Another name, number or port of the same computer is another, empty page.", { address })),
    h("li", {}, h("strong", {}, t("iPhone: ")), t("add the page to the home screen first, then write. What is written in the browser's tab doesn't appear in the installed page.")),
    h("li", {}, h("strong", {}, t("Reloading ")), t("works without a network. A forced reload (with Shift) shows the browser's error page; your entries are untouched, open the page again.")),
    h("li", {}, h("strong", {}, t("A shared phone ")), t("shows your trip to whoever opens this page.")),
    h("li", {}, h("strong", {}, t("Clock wrong? ")), t("Set it before you go on; the day of each entry can be changed.")),
    h("li", {}, h("strong", {}, t("Storage full? ")), t("The page says NOT kept and means it. Save everything as a file, free room, try again. The printed card always works."))),
  h("p", { class: "hint" }, state.bundle ? t("Fetched {slice} UTC as {user}, {name}.", { slice: state.bundle.made_at.slice(0, 16).replace("T", " "), user: state.bundle.user, name: state.bundle.party.name }) : t("Nothing fetched yet.")));
}
