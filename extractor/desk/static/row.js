// What a row of the timeline shows, part by part. Doubt is told in words, a mark and a frame, never by colour alone.

import { h, unseen } from "./dom.js";
import { clock } from "./figures.js";
import { eventName, figure, gapText, heardText, keyName, marked, reasons, siteText, statusText } from "./wording.js";

const LONGEST_HEARD = 24; // words of an event shown in its row; all of them stand under "Words"

export function heardLine(desk, event) {
  if (event.words[1] <= event.words[0]) return h("p", { class: "heard" }, "Not heard: added by hand.");
  return h("p", { class: "heard" }, unseen("Heard: "), `“${shortened(heardText(desk.timeline.words, event.words))}”`);
}

export function headLine(desk, event, tab) {
  const doubtful = event.review && !desk.timeline.looked[event.id];
  const status = statusText(event.status);
  return h(
    "p",
    { class: "head" },
    h(
      "button",
      {
        type: "button",
        class: "name",
        tabIndex: tab,
        onclick: () => desk.select({ event: event.id, point: doubtful ? event.id : null }, "row"),
      },
      eventName(event, desk.texts),
      doubtful ? h("span", { class: "q" }, "?", unseen(" needs a look")) : null,
    ),
    status ? h("span", { class: "status" }, status) : null,
    desk.unkept.has(event.id) ? h("span", { class: "status unkept" }, "not kept yet") : null,
    h("span", { class: "site" }, siteText(event.site)),
  );
}

/** The event's values, each a button that selects it; pressed again, it is heard. */
export function valueChips(desk, event, tab, play) {
  const chips = Object.entries(event.values).map(([key, value]) => {
    const open = value.review && !desk.timeline.looked[`${event.id}.${key}`];
    const chosen = desk.selection.event === event.id && desk.selection.key === key;
    return h(
      "li",
      {},
      h(
        "button",
        {
          type: "button",
          class: `chip${open ? " look" : ""}${value.flags.includes("set-by-hand") ? " by-hand" : ""}`,
          tabIndex: tab,
          "data-value": key,
          "aria-pressed": String(chosen),
          onclick: () => choose(desk, event, key, open, play),
        },
        h("span", { class: "key" }, keyName(key)),
        " ",
        h("b", {}, marked(value)),
        unseenOf(value, open),
      ),
    );
  });
  return chips.length ? h("ul", { class: "values", "aria-label": "Values" }, chips) : null;
}

function unseenOf(value, open) {
  const rivals = value.alternatives
    .filter(() => open)
    .map((each) => ` or ${figure(each.value, each.unit ?? value.unit)}`);
  return unseen(
    [
      value.flags.includes("carried-over") ? ", said earlier" : "",
      value.flags.includes("set-by-hand") ? ", set by hand" : "",
      open ? `, needs a look${rivals.join("")}` : value.review ? ", looked at" : "",
    ].join(""),
  );
}

function choose(desk, event, key, open, play) {
  const { selection } = desk;
  const again = selection.event === event.id && selection.key === key;
  desk.select({ event: event.id, key, point: open ? `${event.id}.${key}` : null }, "row");
  if (again) play(desk.selection);
}

/** Why each doubtful thing of the event wants a look, what else it may be and what was heard: in words, always shown. */
export function doubtLines(desk, event) {
  const lines = [];
  const { looked } = desk.timeline;
  if (event.review) lines.push(doubtLine("", reasons(event.flags), [], looked[event.id]));
  for (const [key, value] of Object.entries(event.values)) {
    if (!value.review) continue;
    const rivals = value.alternatives.map((each) => figure(each.value, each.unit ?? value.unit));
    lines.push(
      doubtLine(
        `${keyName(key)} ${figure(value.value, value.unit)}`,
        reasons(value.flags),
        rivals,
        looked[`${event.id}.${key}`],
        value.heard,
      ),
    );
  }
  return lines.length ? h("ul", { class: "doubts" }, lines) : null;
}

/** Cautions that speak of the event, and what the pump logged. */
export function besideLines(checks, verdict) {
  const lines = checks.map((check) =>
    h(
      "li",
      { class: `check ${check.severity}` },
      h("b", {}, check.severity === "review" ? "Caution: " : "Note: "),
      check.message,
    ),
  );
  if (verdict) lines.push(h("li", { class: `verdict ${verdict.verdict}` }, verdictText(verdict)));
  return lines.length ? h("ul", { class: "beside" }, lines) : null;
}

/** What a row between events holds: a gap, or an inflation that only the pump logged. */
export function betweenParts(desk, { gap, logged, key, ms }) {
  const time = h("span", { class: "time" }, clock(ms));
  if (logged)
    return [
      time,
      h("p", {}, `Pump log: inflation to ${figure(Number(logged.logged_atm.toFixed(1)), "atm")}, not spoken of.`),
    ];
  const mark = desk.timeline.looked[key] ? " (looked at)" : h("span", { class: "q" }, "?", unseen(" needs a look"));
  const name = h(
    "button",
    { type: "button", class: "name", tabIndex: -1, onclick: () => desk.select({ point: key }, "row") },
    gapText(gap),
    mark,
  );
  return [time, h("p", {}, name, " ", h("span", { class: "why" }, gap.why))];
}

/** Where the focus is inside a row, as a way back to it after the row was made anew; null where it is elsewhere. */
export function focusIn(row) {
  const { activeElement: active } = document;
  if (!active || active === row || !row.contains(active) || active.closest("form")) return null;
  const where = active.dataset.value ? `[data-value="${CSS.escape(active.dataset.value)}"]` : ".name";
  return (element) => (element.querySelector(where) ?? element).focus({ preventScroll: true });
}

function shortened(text) {
  const words = text.split(" ");
  return words.length <= LONGEST_HEARD ? text : `${words.slice(0, 16).join(" ")} … ${words.slice(-7).join(" ")}`;
}

function doubtLine(what, why, rivals, looked, heard = "") {
  return h(
    "li",
    { class: looked ? "settled" : "open" },
    h("b", {}, looked ? "Looked at: " : "Needs a look: "),
    what
      ? [what, rivals.map((rival) => ` or ${rival}`), heard ? `, heard “${heard}”` : "", ". "]
      : "is this what happened? ",
    why.join(" "),
  );
}

/** What the pump logged, beside what was said. */
function verdictText({ verdict, logged_atm, note, hold_verdict, logged_hold_s, fits_alternative_atm }) {
  const logged =
    logged_atm === null || logged_atm === undefined ? "" : ` ${figure(Number(logged_atm.toFixed(1)), "atm")}`;
  const first =
    {
      agrees: `Pump log:${logged}, agrees`,
      differs: `Pump log differs:${logged}`,
      "not-logged": "Pump log: no inflation here",
      "not-spoken": `Pump log:${logged}, pressure not spoken of`,
    }[verdict] ?? verdict;
  const hold = hold_verdict === "differs" ? `; held ${Math.round(logged_hold_s)} s by the log` : "";
  const fits = fits_alternative_atm
    ? `; ${figure(fits_alternative_atm, "atm")}, which the words may also be, would agree`
    : "";
  return `${first}${hold}${fits}.${note ? ` ${note}` : ""}`;
}
