// Everything that was said, as it was heard; what was read as something else says so beside it.

import { h, refill, say, unseen } from "./dom.js";
import { clock } from "./figures.js";
import { LongList } from "./longlist.js";
import { firstAfter } from "./waveform.js";

const PAUSE_MS = 1200; // a silence that ends a paragraph
const LONGEST = 60; // words of a paragraph, where no silence ends it before
const UNSURE = 0.5; // a recogniser's own figure below which a word is marked

export class Words {
  #paragraphs = [];
  #evidence = new Map();
  #said = null;
  #anchor = 0;
  follows = true;

  /** @param {import("./state.js").Case} desk @param {{play: (selection: any) => void, edit: any}} acts */
  constructor(desk, place, acts) {
    this.desk = desk;
    this.acts = acts;
    this.place = place;
    this.scroller = place.querySelector(".scroller");
    this.list = new LongList(this.scroller, place.querySelector("ol"), {
      key: (item) => item.key,
      estimate: 60,
      render: (item, old) => this.#paragraph(item, old),
    });
    desk.addEventListener("timeline", () => this.show());
    desk.addEventListener("selection", (event) => this.#select(event.detail !== "words"));
    this.scroller.addEventListener("keydown", (event) => this.#key(event));
    this.scroller.addEventListener("click", (event) => this.#clicked(event));
  }

  show() {
    const { timeline } = this.desk;
    if (this.of !== timeline.words) this.#paragraphs = paragraphs(timeline.words);
    this.of = timeline.words;
    this.repairs = new Map((timeline.corrections ?? []).map((repair) => [repair.words[0], repair]));
    this.repaired = new Map();
    for (const repair of this.repairs.values())
      for (let index = repair.words[0]; index < repair.words[1]; index++) this.repaired.set(index, repair);
    this.#evidence = evidence(timeline);
    this.list.show(this.#paragraphs, true);
  }

  #paragraph({ first, past }, old) {
    const { words } = this.desk.timeline;
    const [from, to] = this.desk.range() ?? [-1, -1];
    const spoken = [];
    for (let index = first; index < past; index++) {
      const repair = this.repaired.get(index);
      const doubt = this.#evidence.get(index)?.doubt;
      const name = [
        "word",
        index >= from && index < to ? "chosen" : "",
        words[index].probability < UNSURE ? "unsure" : "",
        doubt ? "look" : "",
        repair ? "repaired" : "",
        index === this.#said ? "said" : "",
      ];
      spoken.push(
        h(
          "span",
          { class: name.filter(Boolean).join(" "), "data-word": index },
          words[index].text,
          doubt === index + 1 ? h("span", { class: "q", "aria-hidden": "true" }, "?") : null,
        ),
        " ",
      );
      if (repair && index === repair.words[1] - 1) {
        spoken.push(
          h(
            "span",
            { class: "reading" },
            `[read “${repair.read}”${repair.review && !this.desk.timeline.looked[`words-${repair.words[0]}`] ? "?" : ""}]`,
          ),
          " ",
        );
      }
    }
    const element = old ?? h("li", { class: "paragraph" });
    return refill(
      element,
      h(
        "button",
        { type: "button", class: "time", tabIndex: -1, "data-from": words[first].start_ms },
        clock(words[first].start_ms),
        unseen(": hear it from here"),
      ),
      h("p", {}, spoken),
    );
  }

  /** Marks the word that is being said. */
  mark(index) {
    if (index === this.#said) return;
    const before = this.#element(this.#said);
    this.#said = index;
    before?.classList.remove("said");
    if (index === null) return;
    if (this.follows && !this.#element(index)) this.#reveal(index);
    const element = this.#element(index);
    element?.classList.add("said");
    if (this.follows && element) keepInSight(this.scroller, element);
  }

  #element(index) {
    return index === null
      ? null
      : (this.list.element(keyOf(this.#paragraphs, index))?.querySelector(`[data-word="${index}"]`) ?? null);
  }

  #reveal(index) {
    this.list.reveal(keyOf(this.#paragraphs, index));
  }

  #touched = [];
  #select(scroll) {
    const words = this.desk.range() ?? this.#near();
    const keys = words
      ? this.#paragraphs
          .filter(({ first, past }) => first < Math.max(words[1], words[0] + 1) && past > words[0])
          .map(({ key }) => key)
      : [];
    this.list.refresh(...new Set([...this.#touched, ...keys]));
    this.#touched = keys;
    if (words && scroll) {
      this.#reveal(words[0]);
      const element = this.#element(words[0]);
      if (element) keepInSight(this.scroller, element);
    }
  }

  /** Where a gap is, as the words beside it. */
  #near() {
    const { selection, timeline } = this.desk;
    const gap = selection.point?.startsWith("gap-") ? timeline.gaps[Number(selection.point.slice(4)) - 1] : null;
    const index = gap ? Math.min(timeline.words.length - 1, firstAfter(timeline.words, gap.start_ms)) : -1;
    return index < 0 ? null : [index, index];
  }

  #clicked(event) {
    const { from } = event.target.closest("[data-from]")?.dataset ?? {};
    if (from) return this.acts.hearFrom(Number(from));
    const word = event.target.closest("[data-word]");
    if (word) this.#take(Number(word.dataset.word), event.shiftKey);
  }

  /** The word, and the event and value that rest on it. */
  #take(index, extend) {
    const last = this.desk.timeline.words.length - 1;
    const at = Math.max(0, Math.min(last, index));
    if (!extend) this.#anchor = at;
    this.cursor = at;
    const words = extend ? [Math.min(this.#anchor, at), Math.max(this.#anchor, at) + 1] : [at, at + 1];
    const { event = null, key = null, point = null } = this.#evidence.get(at) ?? {};
    this.desk.select({ event, key, point, words }, "words");
    const element = this.#element(at);
    if (element) keepInSight(this.scroller, element);
    else this.#reveal(at);
    say(this.desk.timeline.words[at].text);
  }

  #key(event) {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    event.stopPropagation();
    const words = this.desk.range();
    const now =
      this.cursor !== undefined && words && this.cursor >= words[0] - 1 && this.cursor <= words[1]
        ? this.cursor
        : words
          ? words[0] - (step > 0 ? 1 : 0)
          : -1;
    this.#take(now + step, event.shiftKey);
  }
}

/** Words -> paragraphs, ended by silences. */
function paragraphs(words) {
  const found = [];
  let first = 0;
  for (let index = 1; index <= words.length; index++) {
    const pause = index === words.length || words[index].start_ms - words[index - 1].end_ms > PAUSE_MS;
    const long = index - first >= LONGEST && /[.?!]$/.test(words[index - 1].text);
    if (pause || long || index - first > 2 * LONGEST) {
      found.push({ key: `p${found.length}`, first, past: index });
      first = index;
    }
  }
  return words.length ? found : [];
}

function keyOf(found, index) {
  let [low, high] = [0, found.length - 1];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (found[middle].first <= index) low = middle;
    else high = middle - 1;
  }
  return found[low]?.key;
}

/** Word -> the event, and the value where one rests on it; `doubt` is the end of the words of a value to look at. */
function evidence(timeline) {
  const found = new Map();
  for (const event of timeline.events) {
    for (let index = event.words[0]; index < event.words[1]; index++)
      if (!found.get(index)?.key) found.set(index, { event: event.id });
  }
  for (const event of timeline.events) {
    for (const [key, value] of Object.entries(event.values)) {
      const point = `${event.id}.${key}`;
      const doubt = value.review && !timeline.looked[point];
      if (value.flags.includes("carried-over") && !doubt) continue;
      for (let index = value.words[0]; index < value.words[1]; index++) {
        if (!found.get(index)?.doubt)
          found.set(index, {
            event: event.id,
            key,
            point: doubt ? point : null,
            doubt: doubt ? value.words[1] : 0,
          });
      }
    }
  }
  return found;
}

/** Scrolls only its own pane, and only where the element is out of sight. */
function keepInSight(scroller, element) {
  const [seen, whole] = [element.getBoundingClientRect(), scroller.getBoundingClientRect()];
  if (seen.top < whole.top + 30) scroller.scrollTop += seen.top - whole.top - 60;
  else if (seen.bottom > whole.bottom - 30) scroller.scrollTop += seen.bottom - whole.bottom + 60;
}
