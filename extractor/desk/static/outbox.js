// Changes on their way to the desk, one after another. A change stays here until the desk has acknowledged it or a
// person has let it go: through a lost connection, a reload of the page, a conflict.

import { ApiError, get, post } from "./api.js";

/**
 * @typedef {{uid: string, edit: any, why: string, what: string, changes: import("./edits.js").Change[]|null, base: number,
 *   state: "waiting"|"sending"|"failed"|"conflict"|"refused", tried: boolean, error: ApiError|null,
 *   conflict: {mine: any[], theirs: any[], head: number}|null}} Sent
 */

const PAUSES = [1000, 2000, 5000, 10000];

export class Outbox {
  /** @type {Sent[]} */
  items = [];
  #tries = 0;
  #timer = 0;
  #running = false;
  #key;
  #hooks;

  /**
   * @param {string} id of the case
   * @param {{head: () => number, accept: (revisions: any[], answer: any, item: Sent|null) => void, changed: () => void, refused: (item: Sent) => void, me: () => string}} hooks
   */
  constructor(id, hooks) {
    this.id = id;
    this.#key = `unsent:${id}`;
    this.#hooks = hooks;
    addEventListener("online", () => this.send());
    addEventListener("beforeunload", (event) => {
      if (this.items.length) event.preventDefault();
    });
  }

  /** Takes back what an earlier load of this page could not send. Returns how many there were. */
  restore() {
    const kept = JSON.parse(sessionStorage.getItem(this.#key) || "[]");
    this.items = kept.map((item) => ({ ...item, state: "waiting", tried: true, error: null, conflict: null }));
    return this.items.length;
  }

  get isEmpty() {
    return this.items.length === 0;
  }

  /** The one that needs a person: a conflict. */
  get held() {
    return this.items.find((item) => item.state === "conflict") ?? null;
  }

  add(edit, why, what, changes) {
    const uid = `${Date.now()}-${Math.random().toString(36).slice(2)}`;
    this.items.push({
      uid,
      edit,
      why,
      what,
      changes,
      base: this.#hooks.head(),
      state: "waiting",
      tried: false,
      error: null,
      conflict: null,
    });
    this.#keep();
    this.send();
  }

  /** Lets a change go, by a person's wish. */
  drop(uid) {
    this.items = this.items.filter((item) => item.uid !== uid || item.state === "sending");
    this.#keep();
    this.send();
  }

  /** Mine after all: sends it again on top of what the other did. */
  insist(uid) {
    const item = this.items.find((each) => each.uid === uid);
    if (item) Object.assign(item, { state: "waiting", conflict: null, tried: false });
    this.#keep();
    this.send();
  }

  /** Sends what waits, in order, until all is acknowledged or something stops it. */
  async send() {
    if (this.#running) return;
    clearTimeout(this.#timer);
    this.#running = true;
    try {
      while (this.items.length && this.items[0].state !== "conflict") {
        if (!(await this.#sendOne(this.items[0]))) break;
      }
    } finally {
      this.#running = false;
      this.#keep();
    }
  }

  async #sendOne(item) {
    item.state = "sending";
    this.#hooks.changed();
    try {
      if (item.tried && (await this.#arrivedBefore(item))) return true;
      item.tried = true;
      const answer = await post(`/cases/${this.id}/revisions`, {
        base: this.#hooks.head(),
        edit: item.edit,
        ...(item.why ? { why: item.why } : {}),
      });
      this.#tries = 0;
      this.#settle(item);
      this.#hooks.accept([...answer.since, answer.revision], answer, item);
      return true;
    } catch (error) {
      return this.#failed(item, error);
    }
  }

  #failed(item, error) {
    if (!(error instanceof ApiError)) throw error;
    if (error.status === 409 && error.body?.theirs) {
      item.tried = false;
      Object.assign(item, { state: "conflict", conflict: error.body });
      this.#hooks.accept(error.body.theirs, error.body, null);
      return false;
    }
    if (error.passing || error.status === 401) {
      Object.assign(item, { state: "failed", error });
      this.#timer = setTimeout(() => this.send(), PAUSES[Math.min(this.#tries++, PAUSES.length - 1)]);
      return false;
    }
    Object.assign(item, { state: "refused", error });
    this.#settle(item);
    this.#hooks.refused(item);
    return true;
  }

  /** Whether a change that got no answer is in the case all the same: then it is not sent twice. */
  async #arrivedBefore(item) {
    const news = await get(`/cases/${this.id}/revisions?since=${Math.min(item.base, this.#hooks.head())}`);
    const mine = news.find(
      (revision) => revision.number > item.base && revision.by === this.#hooks.me() && sameEdit(item.edit, revision),
    );
    if (!mine) return false;
    this.#settle(item);
    this.#hooks.accept(news, null, item);
    return true;
  }

  #settle(item) {
    this.items = this.items.filter((each) => each !== item);
    this.#keep();
  }

  #keep() {
    const kept = this.items.map(({ uid, edit, why, what, changes, base }) => ({
      uid,
      edit,
      why,
      what,
      changes,
      base,
    }));
    try {
      if (kept.length) sessionStorage.setItem(this.#key, JSON.stringify(kept));
      else sessionStorage.removeItem(this.#key);
    } catch {
      // No room or not allowed: the change is still on its way, and leaving the page warns of it.
    }
    this.#hooks.changed();
  }
}

/** Whether a revision is what this edit would have made. */
function sameEdit(edit, revision) {
  const paths = revision.changes.map((change) => change.at);
  const after = (path) => revision.changes.find((change) => change.at.startsWith(path))?.after;
  switch (edit.do) {
    case "look":
      return edit.points.every((point) => paths.includes(`looked.${point}`));
    case "delete":
      return revision.changes.some((change) => change.at === `events.${edit.event}` && change.after === null);
    case "move":
      return paths.includes(`order.${edit.event}`);
    case "word":
      return paths.includes(`corrections.${edit.words[0]}`);
    case "take":
      return paths.some((path) => path.startsWith(`events.${edit.event}.values.${edit.key}`));
    case "set":
      return paths.some((path) => path.startsWith(`events.${edit.event}.${edit.field.split(".")[0]}`));
    case "add":
      return revision.changes.some(
        (change) =>
          change.before === null &&
          change.after?.kind === edit.event.kind &&
          change.after?.start_ms === edit.event.start_ms,
      );
    case "merge":
      return edit.events.every((id) => paths.some((path) => path.startsWith(`events.${id}`)));
    case "split":
      return (
        paths.some((path) => path.startsWith(`events.${edit.event}`)) &&
        revision.changes.some((change) => change.before === null)
      );
    default:
      return after("") !== undefined && edit.do === "undo";
  }
}
