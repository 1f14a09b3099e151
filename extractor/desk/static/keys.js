// Keys of the review: which key does what, in one table that the help shows too.

/**
 * Keys are single letters, so they can be switched off (WCAG 2.2, 2.1.4): kept in this browser.
 * @typedef {{keys: string[], shown?: string, does: string, group: string, run: (event: KeyboardEvent) => void}} Binding
 */

const SETTING = "single-keys";

export const keysAreOn = () => localStorage.getItem(SETTING) !== "off";
export const switchKeys = (on) => localStorage.setItem(SETTING, on ? "on" : "off");

/** The name of what was pressed: `n`, `Shift+Space`, `Alt+ArrowUp`; letters keep their case in place of Shift. */
export function nameOf(event) {
  const key = event.key === " " ? "Space" : event.key;
  const shift = event.shiftKey && key.length > 1 ? "Shift+" : "";
  return `${event.ctrlKey || event.metaKey ? "Ctrl+" : ""}${event.altKey ? "Alt+" : ""}${shift}${key}`;
}

const isTyping = (target) =>
  target.closest?.("input, select, textarea, [contenteditable]") &&
  !["range", "checkbox", "button"].includes(target.type);

/**
 * `busy`: whether a dialog is open; `first` is told what has the focus before a key does something.
 * @param {Binding[]} bindings @param {{busy: () => boolean, first: (target: Element) => void}} rules
 */
export function listen(bindings, { busy, first }) {
  const byKey = new Map(bindings.flatMap((binding) => binding.keys.map((key) => [key, binding])));
  document.addEventListener("keydown", (event) => {
    const key = nameOf(event);
    const binding = byKey.get(key);
    if (!binding || event.defaultPrevented || busy()) return;
    if (isTyping(event.target)) return;
    const single = key.length === 1 || key === "Space";
    if (single && !keysAreOn() && key !== "?") return;
    // A button keeps its own space and Enter, but for those that stand for what they name: there space lets it be heard.
    if (
      (key === "Space" || key === "Enter") &&
      event.target.closest?.("button, a, summary, input") &&
      !event.target.closest(".row .chip, .row .name")
    )
      return;
    if (key.startsWith("Arrow") && event.target.closest?.("input, .own-arrows")) return;
    event.preventDefault();
    first(event.target);
    binding.run(event);
  });
}
