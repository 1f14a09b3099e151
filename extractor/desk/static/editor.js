// An event's fields, each a change of its own as soon as it is left. What somebody is typing is never overwritten.

import { choice, h, refill, say } from "./dom.js";
import { clock, readClock, readFigure } from "./figures.js";
import { keyName, unitName, vocabulary } from "./wording.js";

const SIDES = [["", "not said"], "left", "right", "both"];

export class Editor {
  #fields = new Map();
  #valueKeys = "";

  /** @param {any} event @param {{edit: (edit: any, what: string) => void, close: () => void}} acts */
  constructor(event, acts) {
    this.id = event.id;
    this.acts = acts;
    this.values = h("fieldset", { class: "edit-values" });
    this.form = h(
      "form",
      {
        class: "editor",
        "aria-label": `Fields of ${event.id}`,
        onsubmit: (submit) => submit.preventDefault(),
        onkeydown: (key) => this.#key(key),
      },
      h(
        "div",
        { class: "grid" },
        this.#select("kind", "Event", Object.keys(vocabulary.kinds)),
        this.#select("status", "Status", vocabulary.statuses),
        this.#text("device", "Device", "names-devices"),
        this.#text("drug", "Drug", "names-drugs"),
        this.#text("finding", "Finding", "names-findings"),
        this.#text("site.name", "Where", "names-sites"),
        this.#select("site.side", "Side", SIDES),
        this.#text("site.part", "Part", "names-parts"),
        this.#time("start_ms", "From"),
        this.#time("end_ms", "To"),
      ),
      this.values,
      h("p", { class: "buttons" }, h("button", { type: "button", onclick: () => this.acts.close() }, "Close fields")),
    );
  }

  /** What stands now goes into every field that nobody is in. */
  update(event) {
    this.event = event;
    const keys = Object.keys(event.values).join() + event.kind;
    if (keys !== this.#valueKeys) this.#makeValues(event, keys);
    for (const [field, { input, read }] of this.#fields) {
      if (input !== document.activeElement) input.value = read(event);
      input.closest("label, .pair")?.classList.toggle("off", !this.#fits(field, event));
    }
  }

  focus(key) {
    const field = key ? this.#fields.get(`values.${key}.value`) : null;
    (field ?? this.#fields.get("kind")).input.focus();
    field?.input.select();
  }

  /** Which of device, drug and finding an event of this kind has; one that is filled is always shown. */
  #fits(field, event) {
    if (field === "drug") return event.kind === "drug" || Boolean(event.drug);
    if (field === "finding") return event.kind === "finding" || Boolean(event.finding);
    if (field === "device")
      return !["drug", "finding", "total", "remark", "run"].includes(event.kind) || Boolean(event.device);
    return true;
  }

  #register(field, input, read, wanted) {
    this.#fields.set(field, { input, read });
    input.dataset.field = field;
    const take = () => {
      const value = wanted(input.value);
      if (value === undefined) {
        say(`“${input.value}” cannot be read here. It was not taken.`, true);
        input.setAttribute("aria-invalid", "true");
        return;
      }
      input.removeAttribute("aria-invalid");
      if (read(this.event) !== String(input.value))
        this.acts.edit({ do: "set", event: this.id, field, value }, `${plainName(field)} ${shown(input)}`);
    };
    // A list gone through by arrow keys changes at every step: it is taken when it is left, or with Enter.
    let keyed = false;
    if (input.tagName === "SELECT")
      input.addEventListener("keydown", ({ key }) => {
        keyed = key !== "Enter";
        if (!keyed) take();
      });
    input.addEventListener("pointerdown", () => (keyed = false));
    input.addEventListener("change", () => keyed || take());
    input.addEventListener("blur", () => keyed && take());
    return input;
  }

  #labelled(text, input) {
    return h("label", {}, h("span", {}, text), input);
  }

  #text(field, label, list) {
    return this.#plain(field, label, h("input", { type: "text", list, autocomplete: "off" }));
  }

  #select(field, label, options) {
    return this.#plain(field, label, choice({}, options));
  }

  /** What stands in it is what it means; empty is nothing. */
  #plain(field, label, input) {
    return this.#labelled(
      label,
      this.#register(
        field,
        input,
        (event) => deep(event, field) ?? "",
        (text) => text.trim() || null,
      ),
    );
  }

  #time(field, label) {
    const input = h("input", { type: "text", inputmode: "decimal", autocomplete: "off" });
    return this.#labelled(
      label,
      this.#register(
        field,
        input,
        (event) => clock(event[field], true),
        (text) => readClock(text) ?? undefined,
      ),
    );
  }

  #makeValues(event, keys) {
    const inside = document.activeElement?.dataset?.field;
    this.#valueKeys = keys;
    for (const field of [...this.#fields.keys()]) if (field.startsWith("values.")) this.#fields.delete(field);
    const free = (vocabulary.kinds[event.kind] ?? []).filter((key) => !(key in event.values));
    refill(
      this.values,
      h("legend", {}, "Values"),
      Object.keys(event.values).map((key) => this.#pair(key, event.values[key])),
      this.#adder(free),
    );
    if (inside) this.#fields.get(inside)?.input.focus();
  }

  #pair(key, value) {
    const name = keyName(key);
    const figure = h("input", { type: "text", inputmode: "decimal", autocomplete: "off", "aria-label": name });
    const units = [...new Set([value.unit, ...(vocabulary.values[key]?.units ?? [])])].map((unit) => [
      unit,
      unitName(unit) || "number",
    ]);
    const unit = choice({ "aria-label": `Unit of ${name}` }, units, value.unit);
    return h(
      "div",
      { class: "pair" },
      h("span", {}, name),
      this.#register(
        `values.${key}.value`,
        figure,
        (event) => String(event.values[key]?.value ?? ""),
        (text) => readFigure(text) ?? undefined,
      ),
      this.#register(
        `values.${key}.unit`,
        unit,
        (event) => event.values[key]?.unit ?? "",
        (text) => text,
      ),
      h(
        "button",
        {
          type: "button",
          class: "quiet",
          "aria-label": `Take ${name} away`,
          onclick: () =>
            this.acts.edit({ do: "set", event: this.id, field: `values.${key}`, value: null }, `${name} taken away`),
        },
        "×",
      ),
      value.heard ? h("small", {}, `heard “${value.heard}”`) : null,
    );
  }

  #adder(free) {
    if (!free.length) return null;
    const key = choice(
      { "aria-label": "Value to add" },
      free.map((each) => [each, keyName(each)]),
    );
    const figure = h("input", {
      type: "text",
      inputmode: "decimal",
      autocomplete: "off",
      "aria-label": "Its figure",
      placeholder: "figure",
    });
    const unit = h("select", { "aria-label": "Its unit" });
    const fillUnits = () =>
      refill(
        unit,
        (vocabulary.values[key.value]?.units ?? []).map((each) =>
          h("option", { value: each }, unitName(each) || "number"),
        ),
      );
    key.addEventListener("change", fillUnits);
    fillUnits();
    const add = () => {
      const value = readFigure(figure.value);
      if (value === null) return say("Write the figure first.", true);
      this.acts.edit(
        { do: "set", event: this.id, field: `values.${key.value}`, value: { value, unit: unit.value } },
        `${keyName(key.value)} added`,
      );
    };
    figure.addEventListener("keydown", (event) => event.key === "Enter" && add());
    return h(
      "div",
      { class: "pair adder" },
      key,
      figure,
      unit,
      h("button", { type: "button", onclick: add }, "Add value"),
    );
  }

  #key(event) {
    if (event.key === "Escape") {
      event.stopPropagation();
      const field = this.#fields.get(event.target.dataset.field);
      if (field && field.input.value !== field.read(this.event)) field.input.value = field.read(this.event);
      else this.acts.close();
    }
  }
}

const deep = (event, field) => field.split(".").reduce((holder, name) => holder?.[name], event);

/** `values.pressure.value` -> `pressure`, `site.side` -> `side`. */
function plainName(field) {
  const [first, second] = field.split(".");
  return first === "values" ? keyName(second) : (second ?? first).replace("_ms", "").replace("_", " ");
}

const shown = (input) => (input.tagName === "SELECT" ? input.selectedOptions[0]?.textContent : input.value);
