// The one way the page makes elements. Text is always text: nothing here or elsewhere parses markup.

/** Properties that are set on the element itself; everything else becomes an attribute. */
const OWN = new Set([
  "value",
  "checked",
  "disabled",
  "hidden",
  "tabIndex",
  "textContent",
  "open",
  "selected",
  "indeterminate",
  "required",
]);

/**
 * An element with its attributes and children.
 * @param {string} tag
 * @param {Record<string, any>} [props] `class`, `data-…`, `aria-…`, listeners as `onclick`; null and false are left out
 * @param {...(Node|string|number|null|false|undefined|Array<any>)} children
 * @returns {any}
 */
export function h(tag, props = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (OWN.has(name)) element[name] = value;
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  fill(element, ...children);
  return element;
}

/** Puts children behind what is there; texts become text nodes. */
export function fill(element, ...children) {
  for (const child of children.flat(Infinity)) {
    if (child !== null && child !== undefined && child !== false)
      element.append(child instanceof Node ? child : String(child));
  }
  return element;
}

/** The same element with other children. */
export function refill(element, ...children) {
  element.replaceChildren();
  return fill(element, ...children);
}

/** The element of that id; the templates hold it, so that it is missing is a fault of ours. */
export function byId(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`no element #${id}`);
  return /** @type {any} */ (element);
}

/** Words for a screen reader only. */
export const unseen = (text) => h("span", { class: "unseen" }, text);

/** A select with options of [value, text] or plain texts. */
export function choice(props, options, chosen) {
  const pairs = options.map((option) => (Array.isArray(option) ? option : [option, option]));
  return h(
    "select",
    props,
    pairs.map(([value, text]) => h("option", { value, selected: value === (chosen ?? "") }, text)),
  );
}

/** Says something to whoever cannot see it change; loud ones interrupt and stay on the page until the next. */
export function say(text, loud = false) {
  const place = document.getElementById(loud ? "alarm" : "news");
  if (place) place.textContent = text;
}
