/** Building elements by hand. Text always goes in as text, never as markup. */

const SVG = "http://www.w3.org/2000/svg";

/**
 * Return a new element.
 *
 * @param {string} tag
 * @param {Object<string, unknown>} props Attributes; `class`, `text`, `on` (handlers by event) and `data` (dataset) are
 *   told apart; `true` sets a bare attribute, `false` and `null` leave it out.
 * @param {...(Node | string | null | undefined | false)} children What is not there is left out.
 * @returns {HTMLElement}
 */
export function el(tag, props = {}, ...children) {
  const element = document.createElement(tag);
  const { text, on, data, ...attributes } = props;
  for (const [name, value] of Object.entries(attributes)) setAttribute(element, name, value);
  for (const [event, handler] of Object.entries(on ?? {})) element.addEventListener(event, handler);
  Object.assign(element.dataset, data ?? {});
  if (text !== undefined) element.textContent = text;
  element.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/** Set an attribute, or take it away for `false` and `null`. */
export function setAttribute(element, name, value) {
  if (value === false || value === null || value === undefined) element.removeAttribute(name);
  else element.setAttribute(name, value === true ? "" : String(value));
}

/**
 * Put the drawings of `icons.svg` into the page, where every `drawing` finds its own without asking the network again.
 *
 * @throws {Error} When the file cannot be had.
 */
export async function loadDrawings() {
  const request = new XMLHttpRequest(); // it parses what it loads, so that no text has to become markup here
  request.responseType = "document";
  request.open("GET", "icons.svg");
  request.send();
  await new Promise((resolve) => (request.onloadend = resolve));
  const { status, response } = request;
  if (status !== 200 || !response) throw new Error(`icons.svg answered ${status}`);
  const { documentElement: sprite } = response;
  sprite.setAttribute("class", "sprite");
  sprite.setAttribute("aria-hidden", "true");
  document.body.append(document.importNode(sprite, true));
}

/** Return a drawing of the sprite, hidden from screen readers: its words stand beside it. */
export function drawing(name, kind = "drawing") {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("class", kind);
  svg.setAttribute("aria-hidden", "true");
  svg.setAttribute("focusable", "false");
  const use = document.createElementNS(SVG, "use");
  use.setAttribute("href", `#drawing-${name}`);
  svg.append(use);
  return svg;
}

/** Return a button that does `act`. */
export function button(words, act, props = {}, ...before) {
  return el(
    "button",
    { type: "button", ...props, on: { click: act } },
    ...before,
    el("span", { text: words }),
  );
}

/** Return a control under its label. */
export function labelled(words, control, shown = control) {
  return el("div", { class: "labelled" }, el("label", { for: control.id, text: words }), shown);
}

/** Put elements into a list, which is left alone where they are in it already: one of them may be in use. */
export function putInOrder(list, elements) {
  const same = elements.length === list.children.length && elements.every((one, place) => one === list.children[place]);
  if (!same) list.replaceChildren(...elements);
}

/** Return something that opens at a press. */
export function fold(words, ...children) {
  return el("details", { class: "more" }, el("summary", { text: words }), ...children);
}

/** Write `text` into an element and hide the element when there is none. */
export function write(element, text) {
  if (element.textContent !== text) element.textContent = text;
  element.hidden = !text;
}

/** Write each text into an item of a list, touching only what changed. */
export function writeItems(list, texts) {
  texts.forEach((text, place) => {
    const item = list.children[place] ?? list.appendChild(el("li"));
    if (item.textContent !== text) item.textContent = text;
  });
  while (list.children.length > texts.length) list.lastElementChild.remove();
}

/** Bring a heading or field into view and give it the focus. */
export function focusOn(element) {
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  element.focus({ preventScroll: true });
  element.scrollIntoView({
    block: element.matches("h1, h2, h3") ? "start" : "center",
    behavior: calm ? "auto" : "smooth",
  });
}

/** Tell whether the label, the amount and the numbers stand side by side; styles.css has the same width. */
export function isWide() {
  return matchMedia("(min-width: 75rem)").matches;
}
