// The case as the page knows it: what the desk has acknowledged, with what is still on its way laid over it.

import { get } from "./api.js";
import { foresee, put } from "./edits.js";
import { Outbox } from "./outbox.js";
import { lookedAt, openPoints, waiting } from "./points.js";

/** @typedef {{event: string|null, key: string|null, point: string|null, words: [number, number]|null}} Selection */

const NOTHING = { event: null, key: null, point: null, words: null };

/** Signals: `timeline` (what stands changed), `selection`, `filter`, `sending`, `kept` and `refused` (a change the desk took, or did not), `others` (revisions), `closed` (it is signed). */
export class Case extends EventTarget {
  /** What the desk has acknowledged, with `looked`. */ base = null;
  /** The same with what is on its way. */ timeline = null;
  head = 0;
  texts = {};
  /** @type {import("./edits.js").Revision[]} */ revisions = [];
  /** @type {Selection} */ selection = NOTHING;
  filter = { looks: false, kind: "", device: "", side: "", status: "", text: "" };
  info = {};
  me = { name: "" };
  #done = [];
  #undone = [];
  #open = [];
  #waits = [];

  constructor(id) {
    super();
    this.id = id;
    this.outbox = new Outbox(id, {
      head: () => this.head,
      me: () => this.me.name,
      changed: () => this.#signal("sending"),
      accept: (revisions, answer, item) => this.#accept(revisions, answer, item),
      refused: (item) => {
        this.#rebuild();
        this.#signal("refused", item);
      },
    });
  }

  /** Asks the desk for everything of the case. */
  fetch() {
    return Promise.all([get("/me"), get(`/cases/${this.id}/timeline`)]);
  }

  /** Takes in what was fetched, and what an earlier load of the page could not send: returns how many such changes. */
  async load(fetched = this.fetch()) {
    const [me, answer] = await fetched;
    this.me = me;
    this.info = answer;
    this.head = answer.head;
    this.texts = answer.texts;
    this.revisions = answer.timeline.revisions;
    this.base = { ...answer.timeline, looked: lookedAt(this.revisions) };
    this.#seedUndo();
    const kept = this.outbox.restore();
    this.#rebuild();
    this.#signal("sending");
    if (kept) this.outbox.send();
    return kept;
  }

  /** Whether it is signed: then nothing is changed without an amendment. */
  get isSigned() {
    return this.info.state === "signed";
  }

  /** Points that asked for a look when drafted or since, and those nobody has looked at yet; in the order of the case. */
  get open() {
    return this.#open;
  }

  get waits() {
    return this.#waits;
  }

  /** The words behind what is selected; null where none are. @returns {[number, number]|null} */
  range({ words, event: id, key, point } = this.selection) {
    const event = id ? this.event(id) : null;
    const repair = point?.startsWith("words-")
      ? this.timeline.corrections.find((each) => `words-${each.words[0]}` === point)
      : null;
    const caution = point?.startsWith("check-") ? this.timeline.checks[Number(point.slice(6)) - 1] : null;
    const range = words ?? repair?.words ?? caution?.words ?? event?.values[key]?.words ?? event?.words;
    return range && range[1] > range[0] ? range : null;
  }

  /** From when to when the selected words were said; null where nothing is selected. @returns {[number, number]|null} */
  stretch(selection = this.selection) {
    const { timeline } = this;
    const { event: id, point } = selection;
    const event = id ? this.event(id) : null;
    const range = this.range(selection);
    if (range) return [timeline.words[range[0]].start_ms, timeline.words[range[1] - 1].end_ms];
    if (event) return [event.start_ms, Math.max(event.end_ms, event.start_ms + 500)];
    const [sort, number] = point?.split("-") ?? [];
    if (sort === "gap") {
      const gap = timeline.gaps[number - 1];
      return [gap.start_ms, Math.max(gap.end_ms, gap.start_ms + 2000)];
    }
    return null;
  }

  /** Ids of events whose change the desk could not take yet: what is shown of them is not kept. */
  get unkept() {
    const failed = this.outbox.items.filter(({ state }) => state === "failed");
    return new Set(
      failed.flatMap(({ edit }) => [edit.event, ...(edit.events ?? [])].filter((id) => typeof id === "string")),
    );
  }

  event(id) {
    return this.timeline.events.find((event) => event.id === id) ?? null;
  }

  /** @param {Partial<Selection>} selection */
  select(selection, by = "") {
    this.selection = { ...NOTHING, ...selection };
    this.#signal("selection", by);
  }

  narrow(filter) {
    this.filter = { ...this.filter, ...filter };
    this.#signal("filter");
  }

  /** What a person did: shown at once where it can be foreseen, and sent. `what` tells it where it cannot be shown. */
  edit(edit, what, why = "") {
    if (this.isSigned) return this.#signal("closed");
    const changes = foresee(this.timeline, edit);
    this.outbox.add(edit, why, what, changes);
    this.#rebuild();
  }

  /** A change that is not kept yet is given up, or sent again on top of what others did. */
  letGo(uid) {
    this.outbox.drop(uid);
    this.#rebuild();
  }

  insist(uid) {
    this.outbox.insist(uid);
    this.#rebuild();
  }

  /** The revision that undo, or redo, would take back; null where there is none. */
  toUndo = () => this.revisions.find((revision) => revision.number === this.#done.at(-1)) ?? null;
  toRedo = () => this.revisions.find((revision) => revision.number === this.#undone.at(-1)) ?? null;

  /** Takes the last own change back; `redo` takes the last undo back. Returns what it was about, or null. */
  undo(redo = false) {
    if (this.isSigned) return null;
    const last = this.outbox.items.at(-1);
    if (!redo && last && last.state !== "sending") {
      this.outbox.drop(last.uid);
      this.#rebuild();
      return last.what;
    }
    if (last?.state === "sending") {
      this.addEventListener("kept", () => this.undo(redo), { once: true });
      return last.what;
    }
    const revision = redo ? this.toRedo() : this.toUndo();
    if (!revision || !this.outbox.isEmpty) return null;
    this.outbox.add(
      { do: "undo", revision: revision.number },
      "",
      `${redo ? "again" : "undo"}: ${revision.what}`,
      null,
    );
    return revision.what;
  }

  /** Looks whether others changed the case. */
  async catchUp() {
    if (!this.outbox.isEmpty) return;
    const news = await get(`/cases/${this.id}/revisions?since=${this.head}`);
    if (news.length && this.outbox.isEmpty) this.#accept(news, null, null);
  }

  #accept(revisions, answer, item) {
    const fresh = revisions
      .filter((revision) => revision.number > this.head)
      .sort((one, other) => one.number - other.number);
    if (fresh.length && fresh[0].number !== this.head + 1) return void this.#reload();
    this.base = fresh.reduce((timeline, revision) => put(timeline, revision.changes), this.base);
    this.revisions = [...this.revisions, ...fresh];
    this.head += fresh.length;
    this.texts = { ...this.texts, ...answer?.texts };
    const own = item ? fresh.at(-1) : null;
    this.#seedUndo();
    this.#rebuild();
    if (own) this.#signal("kept", { edit: item.edit, revision: own });
    const others = fresh.filter((revision) => revision !== own);
    if (others.length) this.#signal("others", others);
    if (others.length && !answer?.texts) this.#freshTexts();
  }

  async #reload() {
    const answer = await get(`/cases/${this.id}/timeline`);
    Object.assign(this, { head: answer.head, texts: answer.texts, revisions: answer.timeline.revisions });
    this.base = { ...answer.timeline, looked: lookedAt(this.revisions) };
    this.#seedUndo();
    this.#rebuild();
  }

  async #freshTexts() {
    this.texts = (await get(`/cases/${this.id}/timeline`)).texts;
    this.#signal("timeline");
  }

  #rebuild() {
    let timeline = this.base;
    for (const item of this.outbox.items) {
      if (item.state === "conflict") continue;
      const changes = foresee(timeline, item.edit) ?? item.changes;
      if (changes) timeline = put(timeline, changes);
    }
    this.timeline = timeline;
    this.#open = openPoints(timeline);
    this.#waits = waiting(timeline);
    this.#signal("timeline");
  }

  /** What one's own undo and redo would take back, by the trail alone: so it is right after a reload, too. */
  #seedUndo() {
    const [done, undone] = [[], []];
    for (const { by, number, what } of this.revisions) {
      if (by !== this.me.name) continue;
      const taken = Number(/^undid revision (\d+)/.exec(what)?.[1]);
      if (done.includes(taken)) move(done, taken, undone, number);
      else if (undone.includes(taken)) move(undone, taken, done, number);
      else {
        done.push(number);
        undone.length = 0;
      }
    }
    this.#done = done;
    this.#undone = undone;
  }

  #signal(name, detail = undefined) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }
}

function move(from, number, to, next) {
  from.splice(from.indexOf(number), 1);
  to.push(next);
}
