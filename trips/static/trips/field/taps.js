// A wet thumb bounces: a second tap at the same place within a third of a second was meant for what
// stood there before it was drawn anew. Only buttons where two taps are two (colours, tubs) take it.

const BOUNCE_MS = 350, BOUNCE_PX = 30;

export function ignoreBounces(root) {
  let last = null;
  root.addEventListener("click", event => {
    const pressed = event.target.closest("button, a, summary");
    if (!pressed || !event.detail) return;  // no detail: a key or a script, which don't bounce
    const tap = { at: event.timeStamp, x: event.clientX, y: event.clientY };
    const bounced = last && tap.at - last.at < BOUNCE_MS && Math.hypot(tap.x - last.x, tap.y - last.y) < BOUNCE_PX;
    last = tap;
    if (!bounced || pressed.dataset.repeats !== undefined) return;
    event.preventDefault();
    event.stopPropagation();
  }, { capture: true });
}
