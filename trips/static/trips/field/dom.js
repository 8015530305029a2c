// Elements without a library. Text always goes in as text: names are what people typed.

import { t } from "./speak.js";

export function h(tag, props = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(props || {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value") element.value = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat(3).filter(child => child !== null && child !== undefined && child !== false));
  return element;
}

let serial = 0;
const freshId = name => `${name}-${serial += 1}`;

export function field(label, control, hint = "") {
  control.id = control.id || freshId("f");
  return h("div", { class: "field" }, h("label", { for: control.id }, label),
    hint && h("span", { class: "hint" }, hint), control);
}

export function select(name, options, chosen, more = {}) {
  const element = h("select", { name, ...more },
    options.map(([value, label]) => h("option", { value }, label)));
  if (options.some(([value]) => String(value) === String(chosen ?? ""))) element.value = chosen ?? "";
  return element;
}

export const input = (name, value, more = {}) =>
  h("input", { name, value: value ?? "", autocomplete: "off", ...more });

export const button = (label, onclick, more = {}) => h("button", { type: "button", onclick, ...more }, label);

// What a form holds: empty is null, because not noted isn't zero.
export function values(form) {
  return Object.fromEntries([...form.elements].filter(each => each.name)
    .map(each => [each.name, each.value.trim() === "" ? null : each.value.trim()]));
}

// While something is being written the page says so, to those who can't see it and to whoever asks.
let working = 0;
export async function whileBusy(work) {
  const place = document.getElementById("content");
  working += 1;
  place.setAttribute("aria-busy", "true");
  try { return await work(); } finally {
    working -= 1;
    if (!working) place.removeAttribute("aria-busy");
  }
}

export function say(text, undo = null) {
  const place = document.getElementById("said");
  place.replaceChildren(h("span", {}, text));
  if (undo) place.append(button(t("Undo"), undo, { class: "undo" }));
}
