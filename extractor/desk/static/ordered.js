// Files put in order, by dragging or with buttons.

import { h, refill, say } from "./dom.js";

/** A list that is put in order by dragging or with its buttons. */
export function parts(names, label, moved, dropped) {
  const list = h("ol", { class: "parts", "aria-label": label });
  let dragged = -1;
  const swap = (from, to) => {
    if (to < 0 || to >= names.length) return;
    const next = [...names];
    next.splice(to, 0, ...next.splice(from, 1));
    say(`${names[from]} is now number ${to + 1} of ${names.length}.`);
    moved(next);
  };
  refill(
    list,
    names.map((name, place) =>
      h(
        "li",
        {
          draggable: "true",
          ondragstart: (event) => {
            dragged = place;
            event.dataTransfer.effectAllowed = "move";
            event.target.classList.add("dragged");
          },
          ondragend: (event) => event.target.classList.remove("dragged"),
          ondragover: (event) => dragged >= 0 && event.preventDefault(),
          ondrop: (event) => {
            if (dragged < 0) return;
            event.preventDefault();
            event.stopPropagation();
            swap(dragged, place);
            dragged = -1;
          },
        },
        h("span", {}, `${place + 1}.`),
        h("span", { class: "name" }, name),
        h(
          "button",
          {
            type: "button",
            disabled: place === 0,
            "aria-label": `${name}: earlier`,
            onclick: () => swap(place, place - 1),
          },
          "↑",
        ),
        h(
          "button",
          {
            type: "button",
            disabled: place === names.length - 1,
            "aria-label": `${name}: later`,
            onclick: () => swap(place, place + 1),
          },
          "↓",
        ),
        h("button", { type: "button", "aria-label": `${name}: leave out`, onclick: () => dropped(name) }, "×"),
      ),
    ),
  );
  return list;
}
