// The timeline: one row an event, with what was heard always beside what was read; gaps and what only the pump logged
// stand between them where they belong.

import { h, refill } from "./dom.js";
import { Editor } from "./editor.js";
import { clock } from "./figures.js";
import { LongList } from "./longlist.js";
import { besideLines, betweenParts, doubtLines, focusIn, headLine, heardLine, valueChips } from "./row.js";
import { figure, heardText, siteText } from "./wording.js";

export class Rows {
  /** @type {string|null} id of the event whose fields are open */ editing = null;
  #editor = null;
  #verdicts = new Map();
  #logged = [];
  #checks = new Map();
  #playing = null;

  /** @param {import("./state.js").Case} desk @param {{play: (selection: any) => void, edit: (edit: any, what: string) => void}} acts */
  constructor(desk, place, acts) {
    this.desk = desk;
    this.acts = acts;
    this.place = place;
    this.list = new LongList(place.querySelector(".scroller"), place.querySelector("ol"), {
      key: (item) => item.key,
      estimate: 92,
      render: (item, old) => this.#row(item, old),
    });
    this.cache = new Map();
    desk.addEventListener("timeline", () => this.show());
    desk.addEventListener("sending", () => this.#markUnkept());
    desk.addEventListener("filter", () => this.show());
    desk.addEventListener("selection", () => this.#select());
  }

  /** Verdicts of the pressure log: beside the events they touch; what was not spoken of, as rows of its own. */
  takeCrosscheck({ pairs = [], not_spoken = [], not_logged = [] }) {
    for (const each of [...pairs, ...not_logged, ...not_spoken]) if (each.event) this.#verdicts.set(each.event, each);
    this.#logged = not_spoken.filter((each) => !each.event && each.logged_on_recording_ms !== null);
    this.cache.clear();
    this.show(true);
  }

  /** Ids of the events in sight of the filters, in order. */
  get shown() {
    return this.list.items.filter((item) => item.event).map((item) => item.event.id);
  }

  show(force = false) {
    const { timeline } = this.desk;
    this.#checks = new Map();
    for (const check of timeline.checks ?? []) {
      if (check.severity === "withdrawn") continue;
      for (const id of check.events) this.#checks.set(id, [...(this.#checks.get(id) ?? []), check]);
    }
    const items = [...this.#events(timeline), ...this.#between(timeline)];
    this.list.show(inOrder(items), force);
    const { length } = this.shown;
    refill(
      this.place.querySelector(".count"),
      length === timeline.events.length ? `${length} events` : `${length} of ${timeline.events.length} events`,
    );
    this.place.querySelector(".nothing").hidden = length > 0;
  }

  #events(timeline) {
    const wanted = this.desk.filter.looks ? this.#wanting(timeline) : null;
    const kept = timeline.events.filter(
      (event) => (!wanted || wanted.has(event.id) || event.id === this.editing) && matches(event, this.desk, timeline),
    );
    const fresh = new Map();
    const items = kept.map((event) => {
      const old = this.cache.get(event.id);
      const looked = pointsOf(event)
        .map((point) => Boolean(timeline.looked[point]))
        .join();
      const [texts, words] = [this.desk.texts[event.id], timeline.corrections];
      const cautions = (this.#checks.get(event.id) ?? []).map((check) => check.message).join();
      const same =
        old &&
        old.cautions === cautions &&
        old.event === event &&
        old.looked === looked &&
        old.texts === texts &&
        old.words === words;
      const item = same ? old : { key: event.id, event, looked, texts, words, cautions, ms: event.start_ms };
      fresh.set(event.id, item);
      return item;
    });
    this.cache = fresh;
    return items;
  }

  /** Ids of the events that somebody still has to look at, for themselves, a value or a caution. */
  #wanting(timeline) {
    return new Set(
      this.desk.waits.flatMap(({ sort, event, index }) => (sort === "check" ? timeline.checks[index].events : [event])),
    );
  }

  #between(timeline) {
    if (
      this.desk.filter.kind ||
      this.desk.filter.device ||
      this.desk.filter.side ||
      this.desk.filter.status ||
      this.desk.filter.text
    )
      return [];
    const gaps = (timeline.gaps ?? []).map((gap, index) => ({ key: `gap-${index + 1}`, gap, ms: gap.start_ms }));
    const logged = this.desk.filter.looks
      ? []
      : this.#logged.map((each, index) => ({
          key: `logged-${index}`,
          logged: each,
          ms: each.logged_on_recording_ms,
        }));
    return [...gaps, ...logged];
  }

  /** A row, made anew inside the old element, so that the focus and fields being typed into stay. */
  #row(item, old) {
    const element = old ?? h("li", { tabIndex: -1 });
    const focus = old ? focusIn(old) : null;
    if (item.event) this.#eventRow(item, element);
    else {
      element.className = `row between${item.gap ? " gap" : ""}`;
      element.id = `row-${item.key}`;
      refill(element, betweenParts(this.desk, item));
    }
    focus?.(element);
    return element;
  }

  #eventRow({ event }, element) {
    const { timeline, selection } = this.desk;
    const chosen = selection.event === event.id;
    const tab = chosen || (!selection.event && timeline.events[0] === event) ? 0 : -1;
    element.className = `row is-${event.status}${chosen ? " chosen" : ""}${this.#playing === event.id ? " playing" : ""}`;
    element.id = `row-${event.id}`;
    element.setAttribute("aria-setsize", timeline.events.length);
    element.setAttribute("aria-posinset", timeline.events.indexOf(event) + 1);
    if (chosen) element.setAttribute("aria-current", "true");
    else element.removeAttribute("aria-current");
    element.onclick = (click) =>
      click.target.closest("button, input, select, form") || this.desk.select({ event: event.id }, "row");
    const parts = [
      headLine(this.desk, event, tab),
      valueChips(this.desk, event, tab, this.acts.play),
      doubtLines(this.desk, event),
      besideLines(this.#checks.get(event.id) ?? [], this.#verdicts.get(event.id)),
      heardLine(this.desk, event),
    ].filter(Boolean);
    const body = element.querySelector(":scope > .body");
    const form = this.editing === event.id ? this.#editorFor(event).form : null;
    if (form && body?.contains(form)) {
      for (const child of [...body.children]) if (child !== form) child.remove();
      form.before(...parts);
    } else
      refill(element, h("span", { class: "time" }, clock(event.start_ms)), h("div", { class: "body" }, parts, form));
  }

  #editorFor(event) {
    if (this.#editor?.id !== event.id)
      this.#editor = new Editor(event, { edit: this.acts.edit, close: () => this.close() });
    this.#editor.update(event);
    return this.#editor;
  }

  /** Opens an event's fields; the one of `key` gets the focus. */
  open(id, key = null) {
    const before = this.editing;
    this.place.dispatchEvent(new Event("wanted"));
    this.editing = id;
    this.#editor = null;
    this.list.refresh(...new Set([before, id].filter(Boolean)));
    this.list.reveal(id);
    this.#editor?.focus(key);
  }

  close() {
    const id = this.editing;
    this.editing = null;
    this.#editor = null;
    if (!id) return;
    this.list.refresh(id);
    this.focus(id);
  }

  focus(id) {
    this.list.reveal(id)?.focus({ preventScroll: true });
  }

  /** Marks what is being said while the sound plays. */
  mark(ms) {
    const { events } = this.desk.timeline;
    const now =
      ms === null ? null : (events.findLast((event) => event.start_ms <= ms && ms <= event.end_ms + 300)?.id ?? null);
    if (now === this.#playing) return;
    for (const [id, on] of [
      [this.#playing, false],
      [now, true],
    ])
      if (id) this.list.element(id)?.classList.toggle("playing", on);
    this.#playing = now;
  }

  #unkept = new Set();
  #markUnkept() {
    const { unkept } = this.desk;
    const touched = [...unkept, ...this.#unkept].filter((id) => unkept.has(id) !== this.#unkept.has(id));
    this.#unkept = unkept;
    this.list.refresh(...touched);
  }

  #chosen = [];
  #select() {
    const { selection } = this.desk;
    const key = selection.event ?? (selection.point?.startsWith("gap-") ? selection.point : null);
    const touched = new Set([...this.#chosen, key].filter(Boolean));
    this.#chosen = key ? [key] : [];
    this.list.refresh(...touched);
    if (key && this.list.has(key)) this.list.reveal(key);
  }
}

/** Events keep the order people gave them; what stands between goes before the first event that began later. */
function inOrder(items) {
  const [events, between] = [
    items.filter((item) => item.event),
    items.filter((item) => !item.event).sort((one, other) => one.ms - other.ms),
  ];
  const ordered = [];
  for (const item of events) {
    while (between.length && between[0].ms < item.ms) ordered.push(between.shift());
    ordered.push(item);
  }
  return [...ordered, ...between];
}

const pointsOf = (event) => [event.id, ...Object.keys(event.values).map((key) => `${event.id}.${key}`)];

function matches(event, desk, timeline) {
  const { kind, device, side, status, text } = desk.filter;
  if (kind && event.kind !== kind) return false;
  if (device && event.device !== device) return false;
  if (side && event.site?.side !== side) return false;
  if (status && event.status !== status) return false;
  if (!text) return true;
  const hay = [
    desk.texts[event.id]?.name,
    event.kind,
    event.device,
    event.drug,
    event.finding,
    siteText(event.site),
    heardText(timeline.words, event.words),
    ...Object.values(event.values).map((value) => figure(value.value, value.unit)),
  ]
    .join(" ")
    .toLowerCase();
  return text
    .toLowerCase()
    .split(/\s+/)
    .every((part) => hay.includes(part));
}
