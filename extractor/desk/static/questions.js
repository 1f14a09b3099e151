// The questions that change more than a field: which event to merge with, what to split off, what was said, what to add.

import { ask, field } from "./dialogs.js";
import { choice, h, refill } from "./dom.js";
import { clock, readClock, readFigure } from "./figures.js";
import { figure, keyName, unitName, vocabulary } from "./wording.js";

/** Which of the events nearby is the same one, and why: {other, why}, or null. */
export function askMerge(event, near, best, line) {
  const told = (each) => `${clock(each.start_ms)} ${line(each)}`;
  const why = h("input", { name: "why", autocomplete: "off", maxlength: 500 });
  const content = [
    h("p", {}, told(event)),
    radios(
      "other",
      near.map((each) => [each.id, told(each)]),
      best.id,
    ),
    field("Why?", why, "One line. It is kept with the change."),
  ];
  return ask("Merge with", content, {
    yes: "Merge",
    check: ({ why: text }) => (text ? "" : "Say why in a few words."),
  });
}

/** Which values go into a second event: {keys}, or null. */
export function askSplit(event, line) {
  const box = (key) =>
    h(
      "label",
      { class: "tick" },
      h("input", { type: "checkbox", name: "keys", value: key }),
      ` ${keyName(key)} ${figure(event.values[key].value, event.values[key].unit)}`,
    );
  const content = [
    h("p", {}, "Which values belong to the second event?"),
    h("fieldset", {}, h("legend", {}, line), Object.keys(event.values).map(box)),
  ];
  return ask("Split in two", content, {
    yes: "Split",
    check: ({ keys = [] }) => (keys.length ? "" : "Choose at least one."),
  });
}

/** What was said for some words: {read}, or null. */
export function askWord(heard, read) {
  const input = h("input", { name: "read", value: read, autocomplete: "off", autofocus: true, maxlength: 200 });
  const content = [
    h("p", {}, "Heard: ", h("q", {}, heard)),
    field("Said", input, "What was heard stays in the timeline beside it."),
  ];
  return ask("What was said here?", content, {
    yes: "Take it",
    check: ({ read: text }) => (text ? "" : "Write what was said."),
  });
}

/**
 * What happened, written as it would be said: {events}, empty for whoever would rather fill in fields, or null.
 * The first Enter shows how the line is read, the second takes that.
 * @param {(text: string) => Promise<{events: any[], texts: {name: string, values: {text: string}[], site: string}[]}>} read
 */
export async function askSaid(read) {
  const input = h("input", { name: "said", autocomplete: "off", autofocus: true, maxlength: 300 });
  const list = h("ul", { class: "read", "aria-label": "Read as" });
  const told = ({ name, values, site }) =>
    [name, ...values.map(({ text }) => text.replace("?", "")), site].filter(Boolean).join(", ");
  let shown = { text: "", events: [] };
  let asked = "";
  const show = async (text) => {
    const { events, texts } = await read(text);
    if (text !== asked) return; // another line was asked about meanwhile
    shown = { text, events };
    refill(
      list,
      texts.map((each) => h("li", {}, told(each))),
    );
    input.form.querySelector(".fault").textContent = events.length
      ? "Is this what happened? Enter once more adds it."
      : "Nothing was read in that line. Say it otherwise, or leave it empty for fields to fill in.";
  };
  const check = ({ said }) => {
    if (!said || (said === shown.text && shown.events.length)) return "";
    asked = said;
    show(said).catch((error) => (input.form.querySelector(".fault").textContent = error.message));
    return "Reading…";
  };
  const help = "As at the table: six by eighty balloon to fourteen. Left empty, there are fields to fill in.";
  const data = await ask("Add what happened", [field("Say it", input, help), list], { yes: "Add", check });
  return data && { events: data.said ? shown.events : [] };
}

/** A new event, as an edit takes it, or null. Times in ms; `behind`: the event it will stand behind, in words. */
export async function askEvent(from, to, behind) {
  const data = await ask("Add an event", addForm(from, to, behind), { yes: "Add", check: checkAdded });
  if (!data) return null;
  const of = { drug: "drug", finding: "finding" }[data.kind] ?? "device";
  return {
    kind: data.kind,
    status: data.status,
    start_ms: readClock(data.from),
    end_ms: readClock(data.to),
    ...(data.thing ? { [of]: data.thing } : {}),
    ...(data.site || data.side ? { site: { name: data.site || null, side: data.side || null, part: null } } : {}),
    values: data.figure ? { [data.key]: { value: readFigure(data.figure), unit: data.unit } } : {},
  };
}

function radios(name, options, chosen) {
  return h(
    "fieldset",
    { class: "radios" },
    h("legend", {}, "Events nearby"),
    options.map(([value, text]) =>
      h("label", { class: "tick" }, h("input", { type: "radio", name, value, checked: value === chosen }), ` ${text}`),
    ),
  );
}

function addForm(from, to, behind) {
  const kind = choice({ name: "kind", autofocus: true }, Object.keys(vocabulary.kinds));
  const key = h("select", { name: "key" });
  const unit = h("select", { name: "unit" });
  const thing = h("input", { name: "thing", list: "names-devices", autocomplete: "off" });
  const options = (select, values, name) =>
    select.replaceChildren(...values.map((value) => h("option", { value }, name(value))));
  const units = () => options(unit, vocabulary.values[key.value]?.units ?? [], (code) => unitName(code) || "number");
  const keys = () => {
    options(key, vocabulary.kinds[kind.value] ?? [], keyName);
    thing.setAttribute("list", { drug: "names-drugs", finding: "names-findings" }[kind.value] ?? "names-devices");
    units();
  };
  kind.addEventListener("change", keys);
  key.addEventListener("change", units);
  keys();
  return [
    behind ? h("p", {}, "It will stand behind: ", behind) : null,
    h(
      "div",
      { class: "grid" },
      field("Event", kind),
      field("Status", choice({ name: "status" }, vocabulary.statuses, "done")),
      field("What (device, drug or finding)", thing),
      field("Where", h("input", { name: "site", list: "names-sites", autocomplete: "off" })),
      field("Side", choice({ name: "side" }, [["", "not said"], "left", "right", "both"])),
      field("From", h("input", { name: "from", value: clock(from, true), autocomplete: "off" })),
      field("To", h("input", { name: "to", value: clock(Math.max(to, from + 100), true), autocomplete: "off" })),
      field("Value", key),
      field("Figure", h("input", { name: "figure", inputmode: "decimal", autocomplete: "off" }), "May stay empty."),
      field("Unit", unit),
    ),
  ];
}

function checkAdded({ from, to, figure: text }) {
  const [start, end] = [readClock(from), readClock(to)];
  if (start === null || end === null) return "Times are written as 1:23 or 1:02:03.";
  if (end < start) return "It cannot end before it begins.";
  return text && readFigure(text) === null ? `“${text}” cannot be read as a figure.` : "";
}
