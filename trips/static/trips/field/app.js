// Starts the page: shows what is on the phone first, asks the network and the browser afterwards.

import { h } from "./dom.js";
import { bar, drawWith, refresh, warnings } from "./frame.js";
import { whenKept } from "./keeping.js";
import { homeScreen } from "./screens/home.js";
import { leaveScreen } from "./screens/leaving.js";
import { mapScreen } from "./screens/map.js";
import { moreScreen, showScreen } from "./screens/more.js";
import { outboxScreen } from "./screens/outbox.js";
import { panScreen } from "./screens/pan.js";
import { photoScreen } from "./screens/photo.js";
import { runScreen } from "./screens/run.js";
import { costScreen, holeScreen, hoursScreen, noteScreen, spotScreen } from "./screens/small.js";
import { forgetOldSent, load, reload, state, toSend } from "./state.js";
import { askToPersist, room } from "./store.js";
import { ignoreBounces } from "./taps.js";
import { sendAll } from "./sync.js";
import { minutesBetween, minutesWords, nowText } from "./time.js";
import { t } from "./speak.js";

const SCREENS = {
  "": homeScreen, pan: panScreen, run: runScreen, spot: spotScreen, hole: holeScreen, note: noteScreen,
  cost: costScreen, hours: hoursScreen, photo: photoScreen, outbox: outboxScreen, leave: leaveScreen, map: mapScreen, more: moreScreen,
};
const SEND_SOON_MS = 1500, TRY_AGAIN_MS = 60000;
// A network that has just come back often fails once more: a few quick tries, then the slow beat.
const QUICK_TRIES_MS = [2000, 5000, 15000];

function draw() {
  const [name, key] = location.hash.slice(1).split("/");
  const screen = SCREENS[name] || homeScreen;
  bar();
  const content = document.getElementById("content");
  content.replaceChildren(h("div", { id: "warnings" }, warnings()), ...[screen(key)].flat(3).filter(Boolean));
  content.dataset.screen = location.hash.slice(1);
}

// A form that is being filled in is never redrawn under the thumbs.
const typing = form => form !== null && form.isTouched();

function redraw() {
  refresh();
  if (typing(document.querySelector("form.entry"))) document.getElementById("warnings").replaceChildren(...warnings());
  else draw();
}

// Tabs of one phone share its database: whoever changed it tells the others.
const tabs = "BroadcastChannel" in globalThis ? new BroadcastChannel("gravel-field") : null;
const tellTabs = () => { if (tabs) tabs.postMessage("changed"); };

let soon = null, failed = 0;
async function send(all = false) {
  clearTimeout(soon);
  await sendAll({ all });
  failed = ["offline", "busy"].includes(state.link.kind) ? failed + 1 : 0;
  if (failed && navigator.onLine && toSend() && failed <= QUICK_TRIES_MS.length) {
    soon = setTimeout(() => send(all).catch(broke), QUICK_TRIES_MS[failed - 1]);
  }
  tellTabs();
  state.room = await room();
  redraw();
}

function sendSoon() {
  clearTimeout(soon);
  soon = setTimeout(() => send().catch(broke), SEND_SOON_MS);
}

function broke(problem) {
  state.trouble = t("Something went wrong: {problem}. What is kept stays kept; save everything as a file.", { problem: problem && problem.message });
  redraw();
}

async function keepShell() {
  if (!isSecureContext || !navigator.serviceWorker) { state.offline = true; return; }
  try {
    const made = await navigator.serviceWorker.register(document.body.dataset.worker, { scope: document.body.dataset.page });
    made.addEventListener("updatefound", () => {
      const next = made.installing;
      next.addEventListener("statechange", () => {
        if (next.state === "installed" && navigator.serviceWorker.controller) { state.update = true; redraw(); }
      });
    });
    await navigator.serviceWorker.ready;
    state.shell = true;
  } catch { state.offline = true; }
}

async function start() {
  drawWith(draw);
  ignoreBounces(document);
  try {
    await load();
  } catch (problem) {
    document.getElementById("content").replaceChildren(h("h1", {}, t("This phone can't keep anything")),
      h("p", {}, t("The browser refused its database ({problem}). A private window does that. Open the page in a usual one, or use the printed card.", { problem: problem && problem.name })));
    return;
  }
  showScreen();
  draw();
  whenKept(() => { redraw(); tellTabs(); sendSoon(); });
  if (tabs) tabs.onmessage = () => document.dispatchEvent(new Event("changed"));
  addEventListener("hashchange", () => {
    if (location.hash.length > 1) document.getElementById("said").replaceChildren();
    draw(); document.getElementById("content").focus();
    scrollTo(0, 0);
  });
  addEventListener("online", () => { failed = 0; sendSoon(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) sendSoon(); });
  document.addEventListener("send", event => send(Boolean(event.detail && event.detail.all)).catch(broke));
  document.addEventListener("changed", async () => { await reload(); redraw(); });
  setInterval(tick, 15000);
  setInterval(() => { if (toSend() && !document.hidden) sendSoon(); }, TRY_AGAIN_MS);
  keepShell().then(redraw);
  askToPersist().then(room).then(found => { state.room = found; redraw(); });
  forgetOldSent().catch(() => {});
  send().catch(broke);
}

// The running clock's minutes, without drawing anything else.
function tick() {
  for (const face of document.querySelectorAll(".elapsed")) {
    face.textContent = minutesWords(Math.max(0, minutesBetween(face.dataset.since, nowText())));
  }
}

addEventListener("unhandledrejection", event => { event.preventDefault(); broke(event.reason); });
start();
