// What is on its way: told in one line, with every change that the desk has not acknowledged, and what to do about it.

import { h, refill, say } from "./dom.js";
import { told } from "./api.js";
import { ask, isOpen, notice, tell } from "./dialogs.js";
import { when } from "./figures.js";
import { changeText, eventName } from "./wording.js";

export class Sending {
  /** @param {import("./state.js").Case} desk @param {HTMLElement} place */
  constructor(desk, place) {
    this.desk = desk;
    this.place = place;
    desk.addEventListener("sending", () => this.show());
    desk.addEventListener("refused", (event) => this.#refused(event.detail));
    desk.addEventListener("others", (event) => this.#others(event.detail));
    this.show();
  }

  show() {
    const { items, held } = this.desk.outbox;
    const failed = items.find((item) => item.state === "failed");
    this.place.className = `sending${failed || held ? " bad" : ""}`;
    if (!this.desk.timeline)
      refill(this.place); // nothing is known yet, least of all that all is kept
    else if (!items.length) refill(this.place, "All changes kept.");
    else if (held)
      refill(
        this.place,
        `${count(items)} not kept: somebody else changed the same. `,
        h("button", { type: "button", onclick: () => this.settle() }, "Choose"),
      );
    else if (failed)
      refill(
        this.place,
        `${count(items)} not kept yet: ${told(failed.error)} `,
        failed.error.status === 401
          ? h("a", { href: `/sign-in?next=${location.pathname}` }, "Sign in")
          : h("button", { type: "button", onclick: () => this.desk.outbox.send() }, "Send now"),
        " ",
        h("button", { type: "button", onclick: () => this.list() }, "Show"),
      );
    else refill(this.place, `Keeping ${count(items)}…`);
    if (held && held.uid !== this.later && !isOpen()) this.settle();
  }

  /** Mine and theirs, side by side. Closed without an answer, mine waits on the page until somebody chooses. */
  async settle() {
    const item = this.desk.outbox.held;
    if (!item?.conflict || this.asks) return;
    this.asks = true;
    const { mine, theirs } = item.conflict;
    const who = [...new Set(theirs.map((revision) => revision.by))].join(", ");
    const answer = await ask(
      "The same was changed twice",
      [
        h(
          "p",
          {},
          `${who} changed this while your change was on its way. Yours is not kept unless you take it; the trail holds theirs either way.`,
        ),
        h(
          "div",
          { class: "sides" },
          side("Yours", "not kept yet", [{ what: item.what, changes: mine }], this.desk),
          side("Theirs", "kept", theirs, this.desk),
        ),
      ],
      { yes: "Take mine", no: "Keep theirs", later: "later" },
    );
    this.asks = false;
    this.later = answer === "later" ? item.uid : null;
    if (answer === "later") return;
    if (answer) this.desk.insist(item.uid);
    else this.desk.letGo(item.uid);
    say(answer ? "Your change is sent again." : `The change of ${who} stands.`);
  }

  /** Everything not acknowledged, to be let go one by one. */
  async list() {
    const { items } = this.desk.outbox;
    await tell(
      "Not kept yet",
      h(
        "ul",
        {},
        items.map((item) =>
          h(
            "li",
            {},
            item.what,
            " ",
            h(
              "button",
              {
                type: "button",
                onclick: (event) => {
                  this.desk.letGo(item.uid);
                  event.target.closest("li").remove();
                },
              },
              "Let it go",
            ),
          ),
        ),
      ),
    );
  }

  #refused(item) {
    say(`Not taken: ${item.what}. ${told(item.error)}`, true);
  }

  #others(revisions) {
    const last = revisions.at(-1);
    notice(
      revisions.length === 1
        ? `${last.by} changed: ${last.what}`
        : `${revisions.length} changes by ${[...new Set(revisions.map((each) => each.by))].join(", ")}`,
    );
  }
}

const count = (items) => (items.length === 1 ? `“${items[0].what}”` : `${items.length} changes`);

function side(title, state, revisions, desk) {
  return h(
    "section",
    {},
    h("h3", {}, title),
    h("p", {}, state),
    revisions.map((revision) => [
      h("p", {}, revision.by ? `${revision.by}, ${when(revision.at)}: ` : "", h("b", {}, revision.what)),
      h("ul", { class: "changes" }, changeList(telling(revision.changes), desk)),
    ]),
  );
}

/** What a person changed, without what follows from it by itself; all of it, where there is nothing else. */
function telling(changes) {
  const found = changes.filter(({ at }) => !/\.(confidence|flags|alternatives|review)$/.test(at));
  return found.length ? found : changes;
}

/** Changes as lines: what, from, to. */
export function changeList(changes, desk) {
  return changes.map((change) => {
    const { place, field, before, after } = changeText(change);
    const event = desk?.event(place);
    return h(
      "li",
      {},
      h("span", {}, event ? eventName(event, desk.texts) : place, ", ", field, ": "),
      h("del", {}, before),
      " → ",
      h("ins", {}, after),
    );
  });
}
