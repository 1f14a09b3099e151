// Questions to a person. Each is a modal dialog of the browser's own, which keeps the focus and gives it back.

import { h, refill } from "./dom.js";
import { keysAreOn, switchKeys } from "./keys.js";

const open = new Set();
export const isOpen = () => open.size > 0;

/**
 * Asks, and answers with what the form holds (name -> text, lists where several share a name), or null where it was let be
 * (`later` instead, where given, if it was only closed: by Escape).
 * @param {string} title @param {any[]} content @param {{yes: string, no?: string, danger?: boolean, later?: any, check?: (data: Record<string, any>) => string}} how
 */
export function ask(title, content, { yes, no = "Cancel", danger = false, later = null, check = () => "" }) {
  return new Promise((done) => {
    const before = document.activeElement;
    const fault = h("p", { class: "fault", role: "alert" });
    const form = h(
      "form",
      { method: "dialog" },
      h("h2", { id: "dialog-title" }, title),
      content,
      fault,
      h(
        "p",
        { class: "buttons" },
        h("button", { value: "yes", class: danger ? "danger" : "first" }, yes),
        no ? h("button", { type: "button", onclick: () => answered("no") }, no) : null,
      ),
    );
    const dialog = h("dialog", { "aria-labelledby": "dialog-title", tabIndex: -1 }, form);
    let isAnswered = false;
    const answered = (value) => {
      isAnswered = true;
      dialog.close(value);
    };
    form.addEventListener("submit", (event) => {
      const wrong = check(read(form));
      isAnswered = !wrong;
      if (!wrong) return;
      event.preventDefault();
      fault.textContent = wrong;
    });
    dialog.addEventListener("close", () => {
      open.delete(dialog);
      const answer = isAnswered ? (dialog.returnValue === "yes" ? read(form) : null) : later;
      dialog.remove();
      if (before instanceof HTMLElement && before.isConnected) before.focus({ preventScroll: true });
      done(answer);
    });
    document.body.append(dialog);
    open.add(dialog);
    dialog.showModal();
    // Never a button: whoever was typing as the question came up must not answer it by that.
    const first = form.querySelector("[autofocus]") ?? form.querySelector("input, select, textarea") ?? dialog;
    first.focus();
    if (first.type === "text") first.select();
  });
}

function read(form) {
  /** @type {Record<string, any>} */
  const data = {};
  for (const [name, value] of new FormData(form)) {
    const input = form.elements.namedItem(name);
    const many = input instanceof RadioNodeList ? input[0].type === "checkbox" : input?.type === "checkbox";
    if (many) data[name] = [...(data[name] ?? []), value];
    else data[name] = String(value).trim();
  }
  return data;
}

/** A labelled field of a dialog. */
export const field = (label, input, help = "") =>
  h("label", { class: "field" }, h("span", {}, label), input, help ? h("small", {}, help) : null);

/** Asks why; the answer goes into the trail. Null where the change is let be. */
export async function askWhy(title, about = "") {
  const answer = await ask(
    title,
    [
      about ? h("p", {}, about) : null,
      field(
        "Why?",
        h("input", { name: "why", autocomplete: "off", autofocus: true, maxlength: 500 }),
        "One line. It is kept with the change.",
      ),
    ],
    { yes: "Do it", check: ({ why }) => (why ? "" : "Say why in a few words.") },
  );
  return answer ? answer.why : null;
}

/** Shows something with one way out. */
export const tell = (title, content) => ask(title, content, { yes: "Close", no: "" });

/** All keys, by group. @param {import("./keys.js").Binding[]} bindings */
export function help(bindings) {
  const groups = [...new Set(bindings.map(({ group }) => group))];
  const box = h("input", {
    type: "checkbox",
    checked: keysAreOn(),
    onchange: (event) => switchKeys(event.target.checked),
  });
  return tell("Keys", [
    groups.map((group) => [
      h("h3", {}, group),
      h(
        "dl",
        { class: "keys" },
        bindings
          .filter((each) => each.group === group)
          .map(({ shown, keys, does }) => [
            h(
              "dt",
              {},
              (shown ?? keys[0]).split(" ").map((key) => [h("kbd", {}, key), " "]),
            ),
            h("dd", {}, does),
          ]),
      ),
    ]),
    h(
      "label",
      { class: "tick" },
      box,
      " Single keys do something. Switch this off if a screen reader or speech input needs them; everything has a button too.",
    ),
  ]);
}

/** One line that goes away by itself, and stays for a screen reader. */
export function notice(text, act = null) {
  const place = document.getElementById("notices");
  if (!place) return;
  const line = h(
    "p",
    { class: "notice-line" },
    text,
    act
      ? h(
          "button",
          {
            type: "button",
            onclick: () => {
              line.remove();
              act.run();
            },
          },
          act.text,
        )
      : null,
  );
  refill(place, line);
  setTimeout(() => line.remove(), act ? 20000 : 6000);
}
