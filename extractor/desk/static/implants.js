// Implants and their labels: the barcode of each is pasted, or scanned by a reader that types, and read at once.

import { post, told } from "./api.js";
import { h, refill } from "./dom.js";
import { clock } from "./figures.js";
import { eventName, figure, keyName } from "./wording.js";

const IMPLANTED = ["stent", "embolise", "closure"];

/** A field an implant; `keep` takes the particulars that change. Nothing where nothing was implanted. */
export function implants(timeline, texts, particulars, keep) {
  const events = timeline.events.filter(
    (event) =>
      event.status === "done" &&
      (IMPLANTED.includes(event.kind) ||
        (event.kind === "insert" && /filter|graft|port|stent/.test(event.device ?? ""))),
  );
  return events.map((event) => {
    const told = h("div", { class: "label", role: "status" });
    const input = h("input", {
      value: particulars.barcodes?.[event.id] ?? "",
      autocomplete: "off",
      spellcheck: "false",
      maxlength: 1000,
    });
    const read = async (isNew) => {
      const text = input.value.trim();
      const { [event.id]: old, ...others } = particulars.barcodes ?? {};
      if (isNew && text !== (old ?? "")) await keep({ barcodes: text ? { ...others, [event.id]: text } : others });
      refill(told, text ? await label(text) : null);
    };
    input.addEventListener("change", () => read(true));
    input.addEventListener("keydown", (key) => {
      if (key.key !== "Enter") return;
      key.preventDefault();
      const inputs = [...document.querySelectorAll("#implants input")];
      (inputs[inputs.indexOf(input) + 1] ?? document.querySelector("#implants h2"))?.focus?.();
      input.blur();
    });
    read(false);
    const sizes = Object.entries(event.values)
      .map(
        ([key, value]) =>
          `${keyName(key)} ${figure(value.value, value.unit)}${value.review && !timeline.looked[`${event.id}.${key}`] ? "?" : ""}`,
      )
      .join(", ");
    return h(
      "div",
      { class: "implant" },
      h(
        "label",
        { class: "field" },
        h("span", {}, `${clock(event.start_ms)} ${eventName(event, texts)}${sizes ? `: ${sizes}` : ""}`),
        input,
        h("small", {}, "Barcode of its label, GS1, scanned or pasted"),
      ),
      told,
    );
  });
}

async function label(text) {
  let found;
  try {
    found = await post("/barcode", { text });
  } catch (error) {
    return h("p", { class: "fault" }, told(error));
  }
  const facts = [
    ["Device identifier", found.device],
    ["Lot", found.lot],
    ["Serial number", found.serial],
    ["Use by", found.expires_on],
  ].filter(([, value]) => value);
  return [
    found.expired ? h("p", { class: "fault" }, `Expired: its use-by date was ${found.expires_on}.`) : null,
    found.faults.map((fault) => h("p", { class: "fault" }, fault)),
    h(
      "dl",
      { class: "facts" },
      facts.map(([name, value]) => [h("dt", {}, name), h("dd", {}, value)]),
    ),
  ];
}
