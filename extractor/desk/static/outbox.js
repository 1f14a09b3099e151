// Changes on their way to the desk, one after another. A change stays here until the desk has acknowledged it or a
// person has let it go: through a lost connection, a reload of the page, a conflict.

import { ApiError, get, post } from "./api.js";
import { isOf } from "./same_edit.js";

/**
 * @typedef {{uid: string, edit: any, why: string, what: string, changes: import("./edits.js").Change[]|null, base: number,
 *   state: "waiting"|"sending"|"failed"|"conflict"|"refused", tried: boolean, error: ApiError|null,
 *   conflict: {mine: any[], theirs: any[], head: number}|null}} Sent
 */

const PAUSES = [1000, 2000, 5000, 10000];

export class Outbox {
  /** @type {Sent[]} */
  items = [];
  /** Numbers of the revisions that came of this outbox: what one's own earlier change did is no conflict. */
  #own = new Set();
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
    const { items, own } = JSON.parse(sessionStorage.getItem(this.#key) || '{"items": [], "own": []}');
    this.items = items.map((item) => ({ ...item, state: "waiting", error: null, conflict: null }));
    this.#own = new Set(own);
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
    if (item?.conflict) Object.assign(item, { state: "waiting", base: item.conflict.head, conflict: null });
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
      this.#keep();
      const answer = await post(`/cases/${this.id}/revisions`, {
        base: item.base,
        edit: item.edit,
        ...(item.why ? { why: item.why } : {}),
      });
      this.#tries = 0;
      this.#own.add(answer.revision.number);
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
      const { mine, theirs, head } = error.body;
      const others = theirs.filter(({ number }) => !this.#own.has(number));
      if (!others.length && item.base < head) {
        item.base = head; // only what was done here before stood in the way
        return true;
      }
      Object.assign(item, { state: "conflict", conflict: { mine, theirs: others.length ? others : theirs, head } });
      this.#hooks.accept(theirs, null, null);
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
    const news = await get(`/cases/${this.id}/revisions?since=${item.base}`);
    const me = this.#hooks.me();
    const mine = news.find((revision) => revision.by === me && !this.#own.has(revision.number) && isOf(item, revision));
    if (!mine) return false;
    this.#own.add(mine.number);
    this.#settle(item);
    this.#hooks.accept(news, null, item);
    return true;
  }

  #settle(item) {
    this.items = this.items.filter((each) => each !== item);
    this.#keep();
  }

  #keep() {
    const items = this.items.map(({ state, error, conflict, ...kept }) => kept);
    if (!items.length) this.#own.clear();
    try {
      if (items.length) sessionStorage.setItem(this.#key, JSON.stringify({ items, own: [...this.#own] }));
      else sessionStorage.removeItem(this.#key);
    } catch {
      // No room or not allowed: the change is still on its way, and leaving the page warns of it.
    }
    this.#hooks.changed();
  }
}
