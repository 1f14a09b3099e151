// The keys of the review. docs/desk.md shows the same table; a test holds the two together.

/** @param {import("./acts.js").Acts} acts @param {Record<string, () => void>} pages @returns {import("./keys.js").Binding[]} */
export function bindings(acts, pages) {
  const bind = (group, keys, does, run, shown = undefined) => ({ group, keys: keys.split(" "), does, run, shown });
  const [hearing, going, looking, changing, other] = [
    "Hearing",
    "Going about",
    "What needs a look",
    "Changing",
    "Other",
  ];
  return [
    bind(hearing, "Space", "hear exactly the words behind what is selected", () => acts.play()),
    bind(hearing, "Shift+Space", "the same with three seconds before and after", () => acts.play(true)),
    bind(hearing, "l", "listen on from here, or stop", () => acts.player.toggle()),
    bind(hearing, ", .", "three seconds back, three seconds on", (event) =>
      acts.skip(event.key === "," ? -3000 : 3000),
    ),
    bind(looking, "n", "next that needs a look", () => acts.next(1)),
    bind(looking, "p", "the one before", () => acts.next(-1)),
    bind(looking, "y", "right as it stands; on to the next", () => acts.right()),
    bind(
      looking,
      "1 2 3 4 5 6 7 8 9",
      "take that other reading; on to the next",
      (event) => acts.take(Number(event.key) - 1),
      "1 … 9",
    ),
    bind(
      going,
      "ArrowDown ArrowUp",
      "next event, event before",
      (event) => acts.step(event.key === "ArrowDown" ? 1 : -1),
      "↓ ↑",
    ),
    bind(
      going,
      "ArrowRight ArrowLeft",
      "next value of the event, value before; in the words, word by word (with Shift, several)",
      (event) => acts.stepValue(event.key === "ArrowRight" ? 1 : -1),
      "→ ←",
    ),
    bind(going, "f", "filters", () => pages.filters()),
    bind(going, "/", "search", () => pages.search()),
    bind(changing, "e Enter", "edit the fields of the event, at the selected value", () => acts.open()),
    bind(changing, "a", "add an event here", () => acts.add()),
    bind(changing, "d", "delete the event (asks why)", () => acts.remove()),
    bind(changing, "m", "merge it with one nearby", () => acts.merge()),
    bind(changing, "s", "split it in two", () => acts.split()),
    bind(
      changing,
      "Alt+ArrowUp Alt+ArrowDown",
      "move it up or down in the order",
      (event) => acts.move(event.key === "Alt+ArrowDown" ? 1 : -1),
      "Alt+↑ Alt+↓",
    ),
    bind(changing, "w", "put the selected words right", () => acts.word()),
    bind(changing, "u", "undo", () => acts.undo()),
    bind(changing, "U", "redo", () => acts.undo(true)),
    bind(other, "t", "the trail of changes", () => pages.trail()),
    bind(other, "g", "go and sign", () => pages.sign()),
    bind(other, "?", "these keys", () => pages.help()),
  ];
}
