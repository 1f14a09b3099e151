// Implants and their labels: the barcode of each is pasted, or scanned by a reader that types, and read at once.

import { post, told } from "./api.js";
import { h, refill } from "./dom.js";
import { clock } from "./figures.js";
import { eventName, figure, keyName } from "./wording.js";

/** Devices that stay in the body when they are put in; the record names the same. */
export const STAYING = ["clip", "coil", "filter", "plug", "port"];
const USED = ["insert", "inflation", "stent", "embolise", "closure"];

const isUsed = (event) =>
  event.status === "done" && USED.includes(event.kind) && (event.kind !== "closure" || event.device);
const stays = ({ kind, device }) =>
  ["stent", "embolise"].includes(kind) || (kind === "insert" && STAYING.includes(device));

/** A field an implant, those of other devices folded away; `keep` takes the particulars that change. */
export function implants(timeline, texts, particulars, keep) {
  const used = timeline.events.filter(isUsed);
  const field = (event) => labelField(event, timeline, texts, particulars, keep);
  const others = used.filter((event) => !stays(event));
  return [
    strays(used, particulars, keep),
    used.filter(stays).map(field),
    others.length
      ? h("details", {}, h("summary", {}, `Other devices used: ${others.length}`), others.map(field))
      : null,
  ];
}

/** Barcodes of what is no longer a device that was used: no record can be made with them, and none is dropped unseen. */
function strays(used, particulars, keep) {
  const known = new Set(used.map(({ id }) => id));
  const lost = Object.entries(particulars.barcodes ?? {}).filter(([id]) => !known.has(id));
  return lost.map(([id, text]) => {
    const line = h("p", { class: "fault" }, `${id} is no device that was used any more, and has the barcode ${text}. `);
    const takeAway = async () => {
      const barcodes = { ...particulars.barcodes };
      delete barcodes[id];
      await keep({ barcodes });
      line.remove();
    };
    line.append(h("button", { type: "button", onclick: takeAway }, "Take it away"));
    return line;
  });
}

function labelField(event, timeline, texts, particulars, keep) {
  const shown = h("div", { class: "label", role: "status" });
  const stands = particulars.barcodes?.[event.id] ?? "";
  const input = h("input", { value: stands, autocomplete: "off", spellcheck: "false", maxlength: 1000 });
  const read = async (isNew) => {
    const text = input.value.trim();
    const { [event.id]: old = "", ...others } = particulars.barcodes ?? {};
    if (isNew && text !== old) await keep({ barcodes: text ? { ...others, [event.id]: text } : others });
    refill(shown, text ? await label(text) : null);
  };
  input.addEventListener("change", () => read(true));
  input.addEventListener("keydown", (key) => {
    if (key.key !== "Enter") return; // a scanner ends with it: on to the next label
    key.preventDefault();
    const inputs = [...document.querySelectorAll("#implants input")];
    (inputs[inputs.indexOf(input) + 1] ?? input).focus();
    if (document.activeElement === input) input.blur();
  });
  read(false);
  return h(
    "div",
    { class: "implant" },
    h(
      "label",
      { class: "field" },
      h("span", {}, what(event, timeline, texts)),
      input,
      h("small", {}, "Barcode of its label, GS1, scanned or pasted"),
    ),
    shown,
  );
}

function what(event, timeline, texts) {
  const open = (key, value) => value.review && !timeline.looked[`${event.id}.${key}`];
  const sizes = Object.entries(event.values).map(
    ([key, value]) => `${keyName(key)} ${figure(value.value, value.unit)}${open(key, value) ? "?" : ""}`,
  );
  return `${clock(event.start_ms)} ${eventName(event, texts)}${sizes.length ? `: ${sizes.join(", ")}` : ""}`;
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
