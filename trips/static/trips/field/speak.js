// The page's texts in the reader's language. The server puts those of one language beside the page
// (`fieldTexts`, kept with the rest of it); in English there are none, and texts stand as written here.

const { texts = {}, forms = [] } = globalThis.fieldTexts || {};
const filled = (text, values) => text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? String(values[name]) : whole));

// A text with its `{places}` filled from `values`.
export const t = (text, values = {}) => filled(texts[text] || text, values);

// The form that the language has for so many; `{n}` is the number. `forms` holds, for 0 to 199, which
// form a number takes: beyond, languages go by the last two digits.
export function many(one, other, n, values = {}) {
  const known = texts[one];
  const whole = Math.abs(Math.floor(Number(n)));
  const text = known ? known[0][forms[known[1]][whole < 200 ? whole : 100 + (whole % 100)]] : Number(n) === 1 ? one : other;
  return filled(text, { n, ...values });
}
