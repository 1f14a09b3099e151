// "Needs a look": one point at a time with why, what else it might have been and the words around it; then all of them.

import { h, refill, unseen } from "./dom.js";
import { clock } from "./figures.js";
import { CLOSE, eventName, figure, gapText, heardText, keyName, marked, reasons } from "./wording.js";

const AROUND = 14; // words shown before and after
const LISTED = 60; // points in the list at most; the keys go on through all of them

export class Looks {
  /** @param {import("./state.js").Case} desk @param {any} acts */
  constructor(desk, place, acts) {
    Object.assign(this, { desk, acts });
    this.card = place.querySelector(".card");
    this.list = place.querySelector("ol");
    this.count = place.querySelector(".count");
    desk.addEventListener("timeline", () => this.show());
    desk.addEventListener("selection", () => this.show());
  }

  /** The point before or behind the selected one, around the end; null where none waits. */
  next(step) {
    const { waits, selection } = this.desk;
    if (!waits.length) return null;
    const now = waits.findIndex((point) => point.name === selection.point);
    if (now >= 0) return waits[(now + step + waits.length) % waits.length];
    const ms = this.#place();
    const behind = waits.findIndex((point) => point.ms > ms || (point.ms === ms && step > 0));
    if (step > 0) return waits[behind < 0 ? 0 : behind];
    return waits[((behind < 0 ? waits.length : behind) - 1 + waits.length) % waits.length];
  }

  #place() {
    const { selection, timeline } = this.desk;
    if (selection.event) return this.desk.event(selection.event)?.start_ms ?? -1;
    return selection.words ? (timeline.words[selection.words[0]]?.start_ms ?? -1) : -1;
  }

  show() {
    const { waits, open, selection } = this.desk;
    refill(
      this.count,
      waits.length ? `${waits.length} to look at` : open.length ? "All looked at" : "Nothing to look at",
    );
    const point = open.find((each) => each.name === selection.point) ?? null;
    refill(
      this.card,
      point ? this.#point(point) : selection.event && this.desk.event(selection.event) ? this.#plain() : this.#start(),
    );
    const now = waits.findIndex((each) => each.name === selection.point);
    const from = Math.max(0, Math.min(now - 5, waits.length - LISTED));
    refill(
      this.list,
      waits.slice(from, from + LISTED).map((each) => this.#entry(each)),
    );
    this.list.start = from + 1;
  }

  #start() {
    const { waits } = this.desk;
    if (!waits.length)
      return h(
        "p",
        { class: "good" },
        "Nothing waits for a look. Read the timeline against the sound once more, then sign. Unmarked does not mean right.",
      );
    return [
      h(
        "p",
        {},
        waits.length === 1
          ? "One thing needs a look before this can be signed."
          : `${waits.length} things need a look before this can be signed.`,
      ),
      this.#button("First one", "n", () => this.acts.next(1)),
    ];
  }

  #entry(point) {
    return h(
      "li",
      {},
      h(
        "button",
        {
          type: "button",
          "aria-current": point.name === this.desk.selection.point ? "true" : null,
          onclick: () => this.acts.goTo(point),
        },
        Number.isFinite(point.ms) ? `${clock(point.ms)} ` : "",
        this.#title(point),
        "?",
      ),
    );
  }

  #title({ sort, event: id, key, index }) {
    const { timeline, texts } = this.desk;
    if (sort === "gap") return gapText(timeline.gaps[index]);
    if (sort === "check") return `Caution: ${timeline.checks[index].message}`;
    if (sort === "words")
      return `Heard “${timeline.corrections[index].heard}”, read “${timeline.corrections[index].read}”`;
    const event = this.desk.event(id);
    return sort === "event"
      ? eventName(event, texts)
      : `${eventName(event, texts)}: ${keyName(key)} ${figure(event.values[key].value, event.values[key].unit)}`;
  }

  #point(point) {
    const { waits, timeline } = this.desk;
    const place = waits.findIndex((each) => each.name === point.name);
    const looked = timeline.looked[point.name];
    return [
      h(
        "p",
        { class: "place" },
        `${looked ? "Looked at" : `${place + 1} of ${waits.length}`}${Number.isFinite(point.ms) ? `, at ${clock(point.ms)}` : ""}`,
      ),
      h("h3", {}, this.#title(point), looked ? "" : h("span", { class: "q" }, "?", unseen(" needs a look"))),
      this.#why(point),
      this.#rivals(point),
      this.#around(point),
      h(
        "p",
        { class: "buttons" },
        looked ? null : this.#button("Right as it stands", "y", () => this.acts.right()),
        this.#button("Hear it", "Space", () => this.acts.play()),
        point.event ? this.#button("Edit", "e", () => this.acts.open()) : null,
        point.sort === "gap" || this.#isSaid(point) ? this.#button("Add an event here", "a", () => this.acts.add()) : null,
        point.sort === "words" ? this.#button("Read otherwise", "w", () => this.acts.word()) : null,
        this.#button("Next", "n", () => this.acts.next(1)),
      ),
    ];
  }

  #why({ sort, event: id, key, index }) {
    const { timeline, texts } = this.desk;
    if (sort === "gap")
      return h("p", {}, `${timeline.gaps[index].why}. Listen whether something was said that belongs in the timeline.`);
    if (sort === "words")
      return h(
        "p",
        {},
        `These words were read as something they only sound like. Is “${timeline.corrections[index].read}” what was said?`,
      );
    if (this.#isSaid({ sort, index })) return h("p", {}, "Does it belong in an event? Then mend that one, or add one.");
    if (sort === "check") {
      const touched = timeline.checks[index].events.map((each) => this.desk.event(each)).filter(Boolean);
      return [
        h("p", {}, "It does not fit with:"),
        h(
          "ul",
          { class: "touched" },
          touched.map((event) =>
            h(
              "li",
              {},
              h(
                "button",
                { type: "button", onclick: () => this.acts.goToEvent(event.id) },
                `${clock(event.start_ms)} ${eventName(event, texts)}`,
              ),
            ),
          ),
        ),
      ];
    }
    const event = this.desk.event(id);
    const sentences = reasons(sort === "event" ? event.flags : event.values[key].flags);
    return h(
      "ul",
      { class: "why" },
      (sentences.length ? sentences : [sort === "event" ? "Is this what happened?" : "Is this right?"]).map((text) =>
        h("li", {}, text),
      ),
    );
  }

  /** Whether a caution is about words that no event rests on. */
  #isSaid({ sort, index }) {
    return sort === "check" && this.desk.timeline.checks[index].words && !this.desk.timeline.checks[index].events.length;
  }

  /** What else it may be: one key takes one. Less likely ones are told as such; none is left out. */
  #rivals({ sort, event: id, key }) {
    if (sort !== "value") return null;
    return rivalList(this.desk.event(id).values[key], (index) => this.acts.take(index));
  }

  #around({ sort, event: id, key, index }) {
    const { timeline } = this.desk;
    const event = id ? this.desk.event(id) : null;
    if (this.#isSaid({ sort, index })) return around(timeline, timeline.checks[index].words);
    if (sort === "check") return null;
    if (sort === "gap") {
      const at = timeline.words.findIndex((word) => word.start_ms >= timeline.gaps[index].start_ms);
      const place = at < 0 ? timeline.words.length : at;
      return around(timeline, [place, place], "…");
    }
    return around(
      timeline,
      sort === "value" ? event.values[key].words : sort === "event" ? event.words : timeline.corrections[index].words,
    );
  }

  /** What is selected and asks for nothing: its words and its value all the same. */
  #plain() {
    const { selection, timeline, texts } = this.desk;
    const event = this.desk.event(selection.event);
    const value = selection.key ? event.values[selection.key] : null;
    return [
      h("p", { class: "place" }, "Selected"),
      h("h3", {}, eventName(event, texts), value ? `: ${keyName(selection.key)} ${marked(value)}` : ""),
      value?.flags.length
        ? h(
            "ul",
            { class: "why" },
            reasons(value.flags).map((text) => h("li", {}, text)),
          )
        : null,
      value ? rivalList(value, (index) => this.acts.take(index)) : null,
      around(timeline, value ? value.words : event.words),
      h(
        "p",
        { class: "buttons" },
        this.#button("Hear it", "Space", () => this.acts.play()),
        this.#button("Edit", "e", () => this.acts.open()),
      ),
    ];
  }

  #button(text, key, act) {
    return h("button", { type: "button", onclick: act }, text, " ", h("kbd", { "aria-hidden": "true" }, key));
  }
}

function rivalList(value, take) {
  if (!value.alternatives.length) return null;
  const likely = (ratio) =>
    ratio === null || ratio === undefined
      ? ""
      : ratio > 0
        ? "likelier by the sound"
        : ratio > CLOSE
          ? "nearly as likely"
          : "less likely";
  return [
    h("p", { class: "or" }, "It may also be"),
    h(
      "ol",
      { class: "rivals" },
      value.alternatives.map((each, index) =>
        h(
          "li",
          {},
          h(
            "button",
            { type: "button", onclick: () => take(index) },
            index < 9 ? h("kbd", { "aria-hidden": "true" }, String(index + 1)) : null,
            " ",
            h("b", {}, figure(each.value, each.unit ?? value.unit)),
            " ",
            h("small", {}, likely(each.log_ratio)),
          ),
        ),
      ),
    ),
  ];
}

/** The words with some before and after; those that count stand out in form, too. */
function around(timeline, [first, past], instead = "") {
  if (first === past && !instead) return h("p", { class: "around" }, "No words are behind this: it was added by hand.");
  return h(
    "blockquote",
    { class: "around" },
    unseen("The words around it: "),
    heardText(timeline.words, [Math.max(0, first - AROUND), first]),
    " ",
    h("mark", {}, instead || heardText(timeline.words, [first, past])),
    " ",
    heardText(timeline.words, [past, past + AROUND]),
  );
}
