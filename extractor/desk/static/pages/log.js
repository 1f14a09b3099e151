// The log: who saw and did what, between two days; as a table here and as CSV to take away.

import { get, told } from "../api.js";
import { byId, h, refill } from "../dom.js";
import { when } from "../figures.js";
import "./plain.js";

const SHOWN = 500;
const since = h("input", { type: "date" });
const until = h("input", { type: "date" });
const result = h("div", { role: "status" });
const file = h("a", { class: "button" }, "As CSV");

refill(
  byId("log"),
  h("p", { class: "buttons" }, h("label", {}, "From ", since), h("label", {}, "until ", until), file),
  result,
);
for (const input of [since, until]) input.addEventListener("change", () => show());
show();

function query(more = {}) {
  const days = {
    ...(since.value ? { since: since.value } : {}),
    ...(until.value ? { until: until.value } : {}),
    ...more,
  };
  return Object.keys(days).length ? `?${new URLSearchParams(days)}` : "";
}

async function show() {
  file.href = `/api/log${query({ form: "csv" })}`;
  file.setAttribute("download", "log.csv");
  try {
    const lines = await get(`/log${query()}`);
    const latest = [...lines].reverse().slice(0, SHOWN);
    refill(
      result,
      h(
        "p",
        {},
        lines.length > SHOWN
          ? `The latest ${SHOWN} of ${lines.length}; the file holds all.`
          : `${lines.length} entries`,
      ),
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
              ["When", "Who", "What", "Case"].map((text) => h("th", { scope: "col" }, text)),
            ),
          ),
          h(
            "tbody",
            {},
            latest.map((line) =>
              h(
                "tr",
                {},
                h("td", {}, when(line.at)),
                h("td", {}, line.who),
                h("td", {}, line.what),
                h("td", {}, line.case ?? ""),
              ),
            ),
          ),
        ),
      ),
    );
  } catch (error) {
    refill(byId("alarm"), told(error));
  } finally {
    byId("main").removeAttribute("aria-busy");
  }
}
