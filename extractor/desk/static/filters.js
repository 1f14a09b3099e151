// Which events are shown: those to look at, of a kind, a device, a side, a status, with some text.

import { choice, h, refill } from "./dom.js";
import { vocabulary } from "./wording.js";

export class Filters {
  /** @param {import("./state.js").Case} desk @param {HTMLElement} place */
  constructor(desk, place) {
    this.desk = desk;
    const looks = h("input", {
      type: "checkbox",
      id: "filter-looks",
      onchange: () => desk.narrow({ looks: looks.checked }),
    });
    const text = h("input", {
      type: "search",
      id: "filter-text",
      autocomplete: "off",
      oninput: () => desk.narrow({ text: text.value.trim() }),
      onkeydown: (event) => event.key === "Escape" && (event.preventDefault(), this.clear(), text.blur()),
    });
    this.selects = ["kind", "device", "side", "status"].map((name) => {
      const select = choice({ id: `filter-${name}`, onchange: () => desk.narrow({ [name]: select.value }) }, [
        ["", "all"],
      ]);
      return { name, select };
    });
    this.looks = looks;
    this.text = text;
    this.off = h("button", { type: "button", onclick: () => this.clear() }, "Show all");
    refill(
      place,
      h("label", { class: "tick" }, looks, " Needs a look"),
      h("label", {}, h("span", {}, "Search"), text),
      this.selects.map(({ name, select }) =>
        h("label", {}, h("span", {}, name[0].toUpperCase() + name.slice(1)), select),
      ),
      this.off,
    );
    desk.addEventListener("timeline", () => this.#options());
    desk.addEventListener("filter", () => this.#show());
    this.#show();
  }

  clear() {
    this.looks.checked = false;
    this.text.value = "";
    for (const { select } of this.selects) select.value = "";
    this.desk.narrow({ looks: false, text: "", kind: "", device: "", side: "", status: "" });
  }

  #show() {
    this.off.hidden = !Object.values(this.desk.filter).some(Boolean);
  }

  /** Only what the case holds. */
  #options() {
    const { events } = this.desk.timeline;
    const held = {
      kind: Object.keys(vocabulary.kinds).filter((kind) => events.some((event) => event.kind === kind)),
      device: [...new Set(events.map((event) => event.device).filter(Boolean))].sort(),
      side: ["left", "right", "both"].filter((side) => events.some((event) => event.site?.side === side)),
      status: vocabulary.statuses.filter((status) => events.some((event) => event.status === status)),
    };
    const all = JSON.stringify(held);
    if (all === this.held) return;
    this.held = all;
    for (const { name, select } of this.selects) {
      const { value } = select;
      refill(
        select,
        [["", "all"], ...held[name].map((each) => [each, each])].map(([code, shown]) =>
          h("option", { value: code, selected: code === value }, shown),
        ),
      );
    }
  }
}
