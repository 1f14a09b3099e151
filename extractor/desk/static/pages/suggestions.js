// What people put right, and what the lexicon could learn from it: heard, read, how often, with the sound.

import { get, post, told } from "../api.js";
import { byId, h, refill, say, unseen } from "../dom.js";
import { me } from "./plain.js";

const place = byId("suggestions");
const sound = new Audio();
const AROUND_MS = 700;

show()
  .catch((error) => refill(byId("alarm"), told(error)))
  .finally(() => byId("main").removeAttribute("aria-busy"));

async function show() {
  const [all, person] = await Promise.all([get("/suggestions"), me]);
  const mayDecide = !person?.rights || person.rights.includes("lexicon");
  const open = all.filter(({ state }) => state === "proposed");
  const settled = all.filter(({ state }) => state !== "proposed");
  refill(
    place,
    open.length
      ? table("Proposed", open, mayDecide)
      : h("p", {}, "Nothing is proposed. Words put right at the desk turn up here."),
    settled.length ? table("Not proposed", settled, false) : null,
  );
}

function table(title, rows, mayDecide) {
  const id = `table-${title}`;
  return h(
    "section",
    { "aria-labelledby": id },
    h("h2", { id }, title),
    h(
      "div",
      { class: "wide" },
      h(
        "table",
        {},
        h(
          "thead",
          {},
          h(
            "tr",
            {},
            ["Heard", "Read as", "How often", "Sound", ""].map((text) =>
              h("th", { scope: "col" }, text || unseen("Decide")),
            ),
          ),
        ),
        h(
          "tbody",
          {},
          rows.map((each) =>
            h(
              "tr",
              {},
              h("td", {}, `“${each.heard}”`),
              h(
                "th",
                { scope: "row" },
                each.read,
                each.near.length ? h("small", {}, ` only beside ${each.near.join(", ")}`) : null,
              ),
              h(
                "td",
                {},
                `${each.count} ×${each.cases ? `, in ${each.cases} ${each.cases === 1 ? "case" : "cases"}` : ""}`,
              ),
              h("td", {}, clips(each)),
              h(
                "td",
                {},
                mayDecide
                  ? [button("Accept", each, true), " ", button("Decline", each, false)]
                  : (each.refused ?? each.state),
              ),
            ),
          ),
        ),
      ),
    ),
  );
}

/** The sound of the first corrections, with a little before and after. */
function clips({ heard, clips: found }) {
  return found.slice(0, 5).map((clip, n) => [
    h(
      "button",
      {
        type: "button",
        "aria-label": `Hear “${heard}”, ${n + 1}`,
        onclick: () => {
          const [from, to] = [Math.max(0, clip.start_ms - AROUND_MS), clip.end_ms + AROUND_MS];
          sound.src = `/api/cases/${clip.case}/sound#t=${from / 1000},${to / 1000}`;
          sound.play().catch(() => say("This clip cannot be played.", true));
        },
      },
      `▶ ${n + 1}`,
    ),
    " ",
  ]);
}

function button(text, { id, heard, read }, accept) {
  return h(
    "button",
    {
      type: "button",
      class: accept ? "first" : null,
      "aria-label": `${text}: “${heard}” is ${read}`,
      onclick: async () => {
        try {
          await post(`/suggestions/${id}`, { accept });
          say(accept ? `From the next draft on, “${heard}” is read as ${read}.` : "Declined.");
          await show();
          byId("main").focus();
        } catch (error) {
          say(told(error), true);
        }
      },
    },
    text,
  );
}
