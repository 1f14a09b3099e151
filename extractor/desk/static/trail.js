// The trail: who changed what, when, from what to what, and why; any change can be taken back from here.

import { h, refill, unseen } from "./dom.js";
import { told } from "./api.js";
import { tell } from "./dialogs.js";
import { when } from "./figures.js";
import { changeList } from "./sending.js";

const AT_ONCE = 100; // revisions shown before "earlier ones"

/** @param {import("./state.js").Case} desk */
export function showTrail(desk) {
  const list = h("ol", { class: "trail", reversed: true });
  const more = h("button", { type: "button" }, "Show earlier ones");
  let shown = AT_ONCE;
  const fill = () => {
    const latest = [...desk.revisions].reverse();
    refill(
      list,
      latest.slice(0, shown).map((revision) => line(revision, desk)),
    );
    more.hidden = shown >= latest.length;
  };
  more.addEventListener("click", () => {
    shown += AT_ONCE;
    fill();
  });
  fill();
  const fault = h("p", { class: "fault", role: "alert" });
  const refused = ({ detail }) => (fault.textContent = told(detail.error));
  desk.addEventListener("timeline", fill);
  desk.addEventListener("refused", refused);
  const nothing = desk.revisions.length ? null : h("p", {}, "Nothing was changed since it was drafted.");
  return tell("Trail of this case", [nothing, fault, list, more]).then(() => {
    desk.removeEventListener("timeline", fill);
    desk.removeEventListener("refused", refused);
  });
}

function line(revision, desk) {
  const undo = () => desk.edit({ do: "undo", revision: revision.number }, `undo ${revision.number}: ${revision.what}`);
  return h(
    "li",
    { value: revision.number },
    h("p", {}, h("b", {}, revision.what), revision.why ? h("span", { class: "why" }, ` (${revision.why})`) : null),
    h("p", { class: "by" }, `${revision.by}, `, h("time", { datetime: revision.at }, when(revision.at))),
    h("ul", { class: "changes" }, changeList(revision.changes, desk)),
    desk.isSigned ? null : h("button", { type: "button", onclick: undo }, "Undo this", unseen(`: ${revision.what}`)),
  );
}
