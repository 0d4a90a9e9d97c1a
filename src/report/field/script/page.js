// What the page was made with, and how elements are made. Texts are only ever set as text.

const page = JSON.parse(document.getElementById("answers").textContent);

const at = id => document.getElementById(id);
const text = number => page.texts[number];

/** A sentence of the page's words; parts stand for {0}, {1}. */
const say = (name, ...parts) =>
  page.words[name].replace(/\{(\d)\}/g, (_, number) => String(parts[number]));

/** An element with attributes, its listeners under `on`, its content behind them. */
const make = (tag, { on, ...attributes } = {}, ...content) => {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== undefined) element.setAttribute(name, value);
  }
  for (const [event, heard] of Object.entries(on ?? {})) element.addEventListener(event, heard);
  element.append(...content.flat(Infinity).filter(part => part !== undefined && part !== ""));
  return element;
};

const button = (label, heard, attributes = {}) =>
  make("button", { type: "button", on: { click: heard }, ...attributes }, label);

/** Puts new content into an element and gives the focus back to what had it, by its id. */
const fill = (element, ...content) => {
  const held = document.activeElement?.id;
  element.replaceChildren(...content.flat(Infinity).filter(part => part !== undefined && part !== ""));
  if (held && document.activeElement?.id !== held) at(held)?.focus({ preventScroll: true });
};

/** UUID version 7 (RFC 9562, 5.7): milliseconds in front, chance behind. */
const newId = () => {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  let moment = Date.now();
  for (let n = 5; n >= 0; n -= 1) {
    bytes[n] = moment % 256;
    moment = Math.floor(moment / 256);
  }
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map(byte => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
};
