// What only one may have in hand at a time, over all tabs where the browser can tell.

const here = new Set();
export const TAKEN = Symbol("taken");

// The answer of `work`, or TAKEN, at once, when somebody else has it in hand.
export async function inHand(name, work) {
  if (here.has(name)) return TAKEN;
  here.add(name);
  try {
    if (!navigator.locks) return await work();
    return await navigator.locks.request(`gravel-field-${name}`, { ifAvailable: true }, lock => (lock ? work() : TAKEN));
  } finally { here.delete(name); }
}
