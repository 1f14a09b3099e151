// What a person can do in the review, by key or by button: one function each, all on what is selected.

import { post } from "./api.js";
import { say } from "./dom.js";
import { askWhy, notice } from "./dialogs.js";
import { clock } from "./figures.js";
import { askEvent, askMerge, askSaid, askSplit, askWord } from "./questions.js";
import { eventName, figure, heardText, keyName } from "./wording.js";

const AROUND_MS = 3000; // sound before and after, where more than the words is asked for

export class Acts {
  /** Whether each point is heard as one comes to it. */ hears = false;

  /** @param {import("./state.js").Case} desk @param {import("./player.js").Player} player */
  constructor(desk, player) {
    Object.assign(this, { desk, player });
    desk.addEventListener("closed", () => this.#closed());
    desk.addEventListener("kept", ({ detail }) => this.#warn(detail.edit));
    /** @type {import("./rows.js").Rows} */ this.rows = null;
    /** @type {import("./looks.js").Looks} */ this.looks = null;
  }

  // --- hearing

  /** From when to when the selected words were said; null where nothing is selected. */
  stretch() {
    return this.desk.stretch();
  }

  play(wide = false) {
    const stretch = this.stretch();
    if (!stretch) return this.player.toggle();
    if (this.player.missing) return notice("There is no sound with this case.");
    const more = wide ? AROUND_MS : 0;
    this.player.play(Math.max(0, stretch[0] - more), stretch[1] + more);
  }

  hearFrom(ms) {
    this.player.seek(ms);
    if (!this.player.isPlaying) this.player.toggle();
  }

  skip(ms) {
    this.player.seek(this.player.ms + ms);
  }

  // --- going about

  next(step) {
    const point = this.looks.next(step);
    if (point) this.goTo(point);
    else notice("Nothing waits for a look.");
  }

  goTo(point) {
    this.desk.select({ event: point.event, key: point.key, point: point.name });
    this.#arrive();
  }

  goToEvent(id) {
    this.desk.select({ event: id });
    this.#arrive();
  }

  /** The event above or below, among those the filters show. */
  step(step) {
    const { shown } = this.rows;
    if (!shown.length) return;
    const now = shown.indexOf(this.desk.selection.event);
    this.goToEvent(shown[now < 0 ? 0 : Math.max(0, Math.min(shown.length - 1, now + step))]);
  }

  /** The value before or behind, within the event. */
  stepValue(step) {
    const event = this.#event();
    if (!event) return;
    const keys = [null, ...Object.keys(event.values)];
    const key = keys[(keys.indexOf(this.desk.selection.key) + step + keys.length) % keys.length];
    const point = key ? `${event.id}.${key}` : event.id;
    this.desk.select({
      event: event.id,
      key,
      point: this.desk.waits.some((each) => each.name === point) ? point : null,
    });
    this.#arrive();
  }

  #arrive() {
    const { event, point } = this.desk.selection;
    const id = event ?? point;
    if (id && this.rows.list.has(id) && !document.activeElement?.closest(".card, .looks, dialog")) this.rows.focus(id);
    const stretch = this.stretch();
    if (stretch && !this.player.isPlaying) this.player.seek(stretch[0]);
    if (this.hears && stretch) this.player.play(...stretch);
    say(this.#told());
  }

  /** What is selected, for whoever does not see it. */
  #told() {
    const { event: id, key, point } = this.desk.selection;
    const event = id ? this.desk.event(id) : null;
    const waits = point && this.desk.waits.some((each) => each.name === point) ? ", needs a look" : "";
    if (!event) return point ? `${point.replace("-", " ")}${waits}` : "";
    const value = event.values[key];
    return `${clock(event.start_ms)} ${eventName(event, this.desk.texts)}${value ? `, ${keyName(key)} ${figure(value.value, value.unit)}, heard ${value.heard}` : ""}${waits}`;
  }

  // --- changing

  #closed() {
    notice("This case is signed: it is changed only by an amendment. ", {
      text: "To the signature",
      run: () => location.assign(`/cases/${this.desk.id}/sign`),
    });
  }

  #event() {
    const { event } = this.desk.selection;
    const found = event ? this.desk.event(event) : null;
    if (!found) notice("Select an event first: arrow keys, or n for the next one to look at.");
    return found;
  }

  /** One change; those that turn what happened ask why. */
  async edit(edit, what) {
    const event = edit.event && typeof edit.event === "string" ? this.desk.event(edit.event) : null;
    let why = "";
    if (edit.do === "set" && edit.field === "status" && (event.status === "done") !== (edit.value === "done")) {
      why = await askWhy(
        edit.value === "done" ? "It did happen in this case" : "It did not happen in this case",
        `${eventName(event, this.desk.texts)}: ${event.status} → ${edit.value}`,
      );
      if (why === null) return this.rows.show(true);
    }
    this.desk.edit(edit, what, why);
  }

  /** Right as it stands; then on to the next. */
  right() {
    const { point, event, key } = this.desk.selection;
    const name = point ?? (event && key ? `${event}.${key}` : event);
    if (!name || !this.desk.waits.some((each) => each.name === name))
      return notice("What is selected does not ask for a look.");
    const after = this.looks.next(1);
    this.desk.edit({ do: "look", points: [name] }, `${name} looked at`);
    this.#onFrom(after, name);
  }

  take(index) {
    const { event: id, key } = this.desk.selection;
    const value = id && key ? this.desk.event(id)?.values[key] : null;
    const rival = value?.alternatives[index];
    if (!rival) return notice("There is no such reading here.");
    const after = this.looks.next(1);
    this.desk.edit(
      { do: "take", event: id, key, alternative: index },
      `${keyName(key)} ${figure(value.value, value.unit)} → ${figure(rival.value, rival.unit ?? value.unit)}`,
    );
    this.#onFrom(after, `${id}.${key}`);
  }

  /** A figure set by hand is taken as it is; one outside what is usual goes on asking for a look, and says so at once. */
  #warn(edit) {
    const key =
      edit.do === "take"
        ? edit.key
        : edit.do === "set" && edit.field.startsWith("values.")
          ? edit.field.split(".")[1]
          : null;
    const value = key ? this.desk.event(edit.event)?.values[key] : null;
    if (!value?.review || !value.flags.includes("implausible")) return;
    const point = `${edit.event}.${key}`;
    notice(
      `${keyName(key)} ${figure(value.value, value.unit)} is outside what is usual for this. It is kept as set and still asks for a look. `,
      {
        text: "Go there",
        run: () =>
          this.goTo(this.desk.waits.find(({ name }) => name === point) ?? { event: edit.event, key, name: point }),
      },
    );
  }

  #onFrom(after, name) {
    if (after && after.name !== name && this.desk.waits.some((each) => each.name === after.name)) this.goTo(after);
    else say(this.desk.waits.length ? "Done." : "Done. Nothing waits for a look.");
  }

  open() {
    const event = this.#event();
    if (!event) return;
    if (this.desk.isSigned) this.#closed();
    else this.rows.open(event.id, this.desk.selection.key);
  }

  async remove() {
    const event = this.#event();
    if (!event) return;
    const why = await askWhy(
      "Delete this event",
      `${clock(event.start_ms)} ${eventName(event, this.desk.texts)}. It stays in the trail.`,
    );
    if (why === null) return;
    const { shown } = this.rows;
    const after = shown[shown.indexOf(event.id) + 1] ?? shown[shown.indexOf(event.id) - 1] ?? null;
    this.desk.edit({ do: "delete", event: event.id }, `deleted ${eventName(event, this.desk.texts)}`, why);
    if (after) this.goToEvent(after);
    else this.desk.select({});
  }

  async merge() {
    const event = this.#event();
    if (!event) return;
    const { events } = this.desk.timeline;
    const place = events.indexOf(event);
    const near = events.slice(Math.max(0, place - 4), place + 5).filter((each) => each !== event);
    const best = near.find((each) => each.kind === event.kind) ?? near[0];
    if (!best) return notice("There is no other event to merge with.");
    const data = await askMerge(event, near, best, (each) => this.#line(each));
    if (!data) return;
    const pair = [event.id, data.other].sort(
      (one, other) => events.findIndex(({ id }) => id === one) - events.findIndex(({ id }) => id === other),
    );
    this.desk.edit({ do: "merge", events: pair }, `merged ${pair.join(" and ")}`, data.why);
    this.desk.select({ event: pair[0] });
  }

  async split() {
    const event = this.#event();
    if (!event) return;
    const keys = Object.keys(event.values);
    if (!keys.length) return notice("An event without values cannot be split; add another one with a.");
    const data = await askSplit(event, this.#line(event));
    if (data)
      this.desk.edit({ do: "split", event: event.id, keys: data.keys }, `split ${eventName(event, this.desk.texts)}`);
  }

  /** One place up or down in the order of the case. */
  move(step) {
    const event = this.#event();
    if (!event) return;
    const { events } = this.desk.timeline;
    const place = events.indexOf(event);
    if (place + step < 0 || place + step >= events.length) return say("It is the last in that direction.");
    const behind = step > 0 ? events[place + 1].id : (events[place - 2]?.id ?? null);
    this.desk.edit({ do: "move", event: event.id, after: behind }, `moved ${eventName(event, this.desk.texts)}`);
    say(`Moved ${step > 0 ? "down" : "up"}.`);
    this.rows.focus(event.id);
  }

  async word() {
    const range = this.desk.range();
    if (!range) return notice("Select words first.");
    const heard = heardText(this.desk.timeline.words, range);
    const old = this.desk.timeline.corrections.find((each) => each.words[0] === range[0]);
    const data = await askWord(heard, old?.read ?? heard);
    if (data && data.read !== (old?.read ?? heard))
      this.desk.edit({ do: "word", words: range, read: data.read }, `“${heard}” read as “${data.read}”`);
  }

  /** Written as it would be said and read like any recording; what cannot be read so has fields to fill in. */
  async add() {
    const { selection } = this.desk;
    const [from, to] = this.stretch() ?? [this.player.ms, this.player.ms + 1000];
    const behind = selection.event ?? this.desk.timeline.events.findLast((event) => event.start_ms <= from)?.id ?? null;
    const times = { start_ms: Math.round(from), end_ms: Math.round(to) };
    const said = await askSaid((text) => post(`/cases/${this.desk.id}/reading`, { text, ...times }));
    if (!said) return;
    const isFilled = !said.events.length;
    const filled = isFilled && (await askEvent(from, to, behind ? this.#line(this.desk.event(behind)) : ""));
    const events = isFilled ? [filled].filter(Boolean) : said.events;
    const range = selection.words ?? (selection.event ? null : this.desk.range());
    const words = range ? { words: range } : {};
    // The last first, for each stands right behind the same one.
    for (const event of events.reverse())
      this.desk.edit({ do: "add", after: behind, event: { ...event, ...words } }, `added ${event.kind}`);
    if (filled) notice("Added. Further values go into its fields: e.");
  }

  #line(event) {
    return [
      eventName(event, this.desk.texts),
      ...Object.entries(event.values).map(([key, value]) => `${keyName(key)} ${figure(value.value, value.unit)}`),
    ].join(", ");
  }

  undo(redo = false) {
    const what = this.desk.undo(redo);
    notice(what ? `${redo ? "Done again" : "Undone"}: ${what}` : redo ? "Nothing to do again." : "Nothing to undo.");
  }
}
