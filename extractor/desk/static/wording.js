// Values, events and doubts in words. Marks as everywhere: `14 atm?` wants a look, `(6 mm)` was said earlier.

import { clock, number } from "./figures.js";

/** What the desk knows: kinds, statuses, units, values, flags, names. Filled once by the page. */
export const vocabulary = {
  kinds: {},
  statuses: [],
  units: {},
  values: {},
  flags: {},
  devices: [],
  drugs: [],
  findings: [],
  sites: [],
  parts: [],
  meaning: "",
};

/** Rivals less likely than this are shown, but small: the same border the draft is printed with. */
export const CLOSE = -3;

export const unitName = (unit) => vocabulary.units[unit] ?? unit ?? "";
export const keyName = (key) => vocabulary.values[key]?.name ?? key.replaceAll("_", " ");

/** 14, "atm" -> `14 atm`. */
export const figure = (value, unit) => `${number(value)} ${unitName(unit)}`.trim();

/** A value with its marks, without its name. */
export function marked(value) {
  const text = figure(value.value, value.unit);
  return (value.flags.includes("carried-over") ? `(${text})` : text) + (value.review ? "?" : "");
}

/** Why, one sentence a flag. That a value was carried over is a reason for doubt only where there is no other. */
export function reasons(flags) {
  const telling = flags.filter((flag) => flag !== "carried-over" && flag !== "set-by-hand");
  return (telling.length ? telling : flags).map((flag) => vocabulary.flags[flag] ?? `${flag}.`);
}

/** What the event is of. */
export const thing = (event) => event.drug || event.finding || event.device || "";

/** An event's name: the desk's wording, and until it has answered a plain one. */
export function eventName(event, texts) {
  const told = texts[event.id]?.name;
  return told || [event.kind === "embolise" ? "embolic" : event.kind, thing(event)].filter(Boolean).join(", ");
}

/** Where in the body. */
export function siteText(site) {
  if (!site) return "";
  const side = site.side === "both" ? "left and right" : site.side;
  return [[side, site.name].filter(Boolean).join(" "), site.part].filter(Boolean).join(", ");
}

/** Status in words, as a mark beside the event; what was done needs none. */
export const statusText = (status) =>
  ({ done: "", negated: "ruled out or not done", past: "before this case" })[status] ?? status;

/** The words of a range as they were heard. */
export const heardText = (words, [first, past]) =>
  words
    .slice(first, past)
    .map((word) => word.text)
    .join(" ");

/** One change in words: its path, and what stood before and stands after. */
export function changeText({ at, before, after }) {
  const [what, id, ...field] = at.split(".");
  const show = (value) => {
    if (value === null || value === undefined) return "nothing";
    if (typeof value !== "object") return typeof value === "boolean" ? (value ? "yes" : "no") : String(value);
    if ("message" in value) return value.message;
    if ("kind" in value)
      return [
        value.kind,
        thing(value),
        ...Object.entries(value.values ?? {}).map(([key, each]) => `${keyName(key)} ${figure(each.value, each.unit)}`),
      ]
        .filter(Boolean)
        .join(", ");
    if ("read" in value) return `read “${value.read}” for “${value.heard}”`;
    if ("value" in value) return figure(value.value, value.unit);
    if (Array.isArray(value)) return value.map(show).join(", ") || "none";
    return siteText(value) || "nothing";
  };
  const name = field
    .filter((part) => part !== "values")
    .join(" ")
    .replaceAll("_", " ");
  const place =
    what === "corrections"
      ? `word ${id}`
      : what === "checks"
        ? `check-${id}`
        : what === "looked"
          ? [id, ...field].join(".")
          : id;
  return {
    place,
    field:
      {
        events: name || "the whole event",
        order: "place in the order",
        corrections: "what is read",
        looked: "looked at",
        checks: "caution",
      }[what] ?? what,
    before: show(before),
    after: show(after),
  };
}

/** A gap, as a line. */
export function gapText(gap) {
  const until = gap.end_ms > gap.start_ms ? ` until ${clock(gap.end_ms)}` : "";
  return `No ${gap.recorded === false ? "sound" : "words"}${until}`;
}
