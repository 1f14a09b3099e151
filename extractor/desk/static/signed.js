// A signed case: who signed what, verified as the page is opened; its files; opening an amendment.

import { download, post, told } from "./api.js";
import { askWhy } from "./dialogs.js";
import { byId, h, refill, say } from "./dom.js";
import { when } from "./figures.js";

/** Formats a case is handed on in, in words; the desk knows the same. */
export const FORMATS = {
  "record-pdf": "Record, PDF",
  "record-docx": "Record, for a word processor (DOCX)",
  "record-html": "Record, one page (HTML)",
  "record-text": "Record, plain text",
  "implants-csv": "Implants, table (CSV)",
  "implants-xlsx": "Implants, table (XLSX)",
  fhir: "FHIR R4B bundle",
  dicom: "DICOM procedure log",
  "events-csv": "Events, table (CSV)",
  "events-xlsx": "Events, table (XLSX)",
  "events-jsonl": "Events, one JSON object a line",
  "events-parquet": "Events, table (Parquet)",
  captions: "Captions (WebVTT)",
  chapters: "Chapters (WebVTT)",
  srt: "Captions (SRT)",
};

const SIGNED =
  "Signed. It is changed only by an amendment, signed in its turn. " +
  "Not advice: device instructions, local policy and licensed practice come first.";

/** The record's signature and its amendments', the newest first. */
export function showSigned(id, { state, signatures }) {
  const isSigned = state === "signed";
  byId("record-title").textContent = isSigned ? "The record" : "The record as it will be";
  byId("record").title = byId("record-title").textContent;
  if (isSigned) byId("notice").textContent = SIGNED;
  const seals = signatures.map((signature, place) => seal(signature, place)).reverse();
  byId("signed").hidden = false;
  const open = h("p", {}, "An amendment is open. What was signed stands until it is signed again.");
  refill(byId("signed"), seals, isSigned ? null : open);
  if (isSigned) refill(byId("hand-on"), handOn(id), amendButton(id));
}

function seal({ name, signed_at, meaning, reason, sha256, fingerprint, left_open, fault }, place) {
  const facts = [
    ["Name", name],
    ["Time", h("time", { datetime: signed_at }, when(signed_at))],
    ["Meaning", meaning],
    ...(reason ? [["Why it was amended", reason]] : []),
    ["SHA-256 of what was signed", h("span", { class: "hash" }, sha256)],
    ["Fingerprint of the key", h("span", { class: "hash fingerprint" }, fingerprint ?? "cannot be read")],
  ];
  const what = place ? `Amendment ${place}` : "Signed";
  return h(
    "section",
    { class: fault ? "seal broken" : "seal", "aria-label": place ? `Signature of amendment ${place}` : "Signature" },
    h("h2", {}, fault ? `${what}: altered since` : `${what}; verified just now`),
    fault ? h("p", { class: "fault" }, fault) : null,
    h(
      "dl",
      { class: "facts" },
      facts.map(([label, value]) => [h("dt", {}, label), h("dd", {}, value)]),
    ),
    left_open.length ? h("h3", {}, "Left open") : null,
    h(
      "ul",
      {},
      left_open.map(({ point, reason }) => h("li", {}, `${point}: ${reason}`)),
    ),
  );
}

function handOn(id) {
  const links = Object.entries(FORMATS).map(([format, name]) => {
    const href = `/api/cases/${id}/export/${format}`;
    return h("li", {}, h("a", { href, download: "", onclick: (event) => save(event, href) }, name));
  });
  return h(
    "section",
    { "aria-labelledby": "exports-title" },
    h("h2", { id: "exports-title" }, "Hand on"),
    h("ul", { class: "exports" }, links),
  );
}

/** A file saved under the name the desk gives it; why it cannot be made is told here, not saved. */
async function save(event, href) {
  event.preventDefault();
  try {
    const { content, name } = await download(href);
    const address = URL.createObjectURL(content);
    h("a", { href: address, download: name }).click();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
    say(`${name} is saved.`);
  } catch (error) {
    say(told(error), true);
  }
}

function amendButton(id) {
  const amend = async () => {
    const why = await askWhy(
      "Amend the signed record",
      "What was signed stays as it is. The amendment is reviewed and signed in its turn, and names what it amends.",
    );
    if (why === null) return;
    try {
      await post(`/cases/${id}/amendment`, { why });
      location.assign(`/cases/${id}`);
    } catch (error) {
      say(told(error), true);
    }
  };
  return h("p", { class: "buttons" }, h("button", { type: "button", id: "amend", onclick: amend }, "Amend"));
}
