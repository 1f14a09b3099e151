// Signing: the record as it will be, what is left open and why, and what the signature binds. Afterwards: what was
// signed, its files, and amending it.

import { get, post, put, told } from "../api.js";
import { askWhy } from "../dialogs.js";
import { byId, h, refill, say } from "../dom.js";
import { clock, when } from "../figures.js";
import { implants } from "../implants.js";
import { particularsForm } from "../particulars.js";
import { lookedAt, openPoints, waiting } from "../points.js";
import { eventName, figure, gapText, keyName, vocabulary } from "../wording.js";
import { me } from "./plain.js";

const id = location.pathname.split("/")[2];

start()
  .catch((error) => refill(byId("alarm"), told(error)))
  .finally(() => byId("main").removeAttribute("aria-busy"));

async function start() {
  const [words, info, answer, signature, particulars] = await Promise.all([
    get("/vocabulary"),
    get(`/cases/${id}`),
    get(`/cases/${id}/timeline`),
    get(`/cases/${id}/signature`).catch(() => null),
    get(`/cases/${id}/particulars`).catch(() => null),
  ]);
  Object.assign(vocabulary, words);
  byId("case-title").textContent = `Sign: ${info.title}`;
  document.title = `${info.title} · sign`;
  byId("back").href = `/cases/${id}`;
  showRecord();
  if (signature) showSigned(signature, info.state);
  if (!signature || info.state === "amending") toSign(answer, particulars, await me);
}

const showRecord = () => (byId("record").src = `/api/cases/${id}/record?form=html`);

function section(name, ...content) {
  const place = byId(name);
  place.hidden = content.flat().filter(Boolean).length === 0;
  refill(place.querySelector(".fill"), ...content);
}

// --- before

function toSign({ head, timeline: raw, texts, sha256 }, particulars, person) {
  const timeline = { ...raw, looked: lookedAt(raw.revisions) };
  const waits = waiting(timeline);
  const looked = openPoints(timeline).length - waits.length;
  if (particulars) {
    const keep = async (changed) => {
      Object.assign(particulars, changed);
      try {
        await put(`/cases/${id}/particulars`, particulars);
        say("Kept.");
        showRecord();
        refill(byId("alarm"));
      } catch (error) {
        say(told(error), true);
      }
    };
    section("implants", implants(timeline, texts, particulars, keep));
    section("particulars", particularsForm(particulars, keep));
  }
  const fault = h("p", { class: "fault", role: "alert" });
  const reasons = waits.map((point) =>
    h(
      "li",
      {},
      h("p", {}, h("b", {}, title(point, timeline, texts)), h("span", { class: "q" }, "?")),
      h(
        "label",
        { class: "field" },
        h("span", {}, "Left open, because"),
        h("input", { "data-point": point.name, maxlength: 500, autocomplete: "off" }),
      ),
    ),
  );
  const name = h("input", {
    name: "name",
    value: person?.name ?? "",
    autocomplete: "name",
    required: true,
    maxlength: 200,
  });
  const meaning = h("textarea", {
    name: "meaning",
    rows: 2,
    required: true,
    maxlength: 500,
    value: vocabulary.meaning,
  });
  const passphrase = h("input", { name: "passphrase", type: "password", autocomplete: "off" });
  const button = h("button", { class: "first", id: "sign" }, "Sign");
  const form = h(
    "form",
    {},
    reasons.length
      ? [
          h(
            "p",
            {},
            `${reasons.length} not looked at. Look at each in the `,
            h("a", { href: `/cases/${id}` }, "review"),
            ", or say why it stays open; the record will tell.",
          ),
          h("ul", { class: "open-points" }, reasons),
        ]
      : h(
          "p",
          { class: "good" },
          looked ? `All ${looked} that asked for a look were looked at.` : "Nothing asked for a look.",
        ),
    h("label", { class: "field" }, h("span", {}, "Name"), name),
    h("label", { class: "field" }, h("span", {}, "Meaning of the signature"), meaning),
    h(
      "label",
      { class: "field" },
      h("span", {}, "Passphrase of your key"),
      passphrase,
      h(
        "small",
        {},
        "Only if your key has one. With your first signature a key is made for you; a passphrase given then locks it.",
      ),
    ),
    h("p", {}, "What is bound: the whole timeline with its trail, SHA-256 "),
    h("p", { class: "hash", id: "seen" }, sha256),
    fault,
    h("p", { class: "buttons" }, button),
  );
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const left_open = Object.fromEntries(
      [...form.querySelectorAll("[data-point]")].map((input) => [input.dataset.point, input.value.trim()]),
    );
    const bare = [...form.querySelectorAll("[data-point]")].find((input) => !input.value.trim());
    if (bare) {
      fault.textContent = "Each point that was not looked at needs a reason, or a look.";
      return bare.focus();
    }
    button.disabled = true;
    try {
      const signed = await post(`/cases/${id}/signature`, {
        seen_sha256: sha256,
        head,
        name: name.value.trim(),
        meaning: meaning.value.trim(),
        left_open,
        ...(passphrase.value ? { passphrase: passphrase.value } : {}),
      });
      say(`Signed, fingerprint ${signed.fingerprint}.`);
      location.reload();
    } catch (error) {
      fault.textContent =
        error.status === 409
          ? "Somebody changed the case since this page was opened. Read the record again: reload the page."
          : told(error);
      button.disabled = false;
    }
  });
  section("signature", form);
}

function title({ sort, event: eventId, key, index }, timeline, texts) {
  if (sort === "gap") return `${clock(timeline.gaps[index].start_ms)} ${gapText(timeline.gaps[index])}`;
  if (sort === "check") return `Caution: ${timeline.checks[index].message}`;
  if (sort === "words")
    return `Heard “${timeline.corrections[index].heard}”, read “${timeline.corrections[index].read}”`;
  const event = timeline.events.find((each) => each.id === eventId);
  return `${clock(event.start_ms)} ${eventName(event, texts)}${sort === "value" ? `: ${keyName(key)} ${figure(event.values[key].value, event.values[key].unit)}` : ""}`;
}

// --- afterwards

function showSigned(signature, state) {
  const { verified, fault, name, signed_at, meaning, sha256, fingerprint, left_open = [], amendments = [] } = signature;
  const facts = {
    Name: name,
    Time: when(signed_at),
    Meaning: meaning,
    "SHA-256 of what was signed": h("span", { class: "hash" }, sha256),
    "Fingerprint of the key": h("span", { class: "hash", id: "fingerprint" }, fingerprint),
  };
  const place = byId("signed");
  place.hidden = false;
  byId("record-title").textContent = state === "amending" ? "The record as it will be" : "The record";
  byId("record").title = byId("record-title").textContent;
  document.getElementById("notice").textContent =
    state === "signed"
      ? "Signed. It is changed only by an amendment, signed in its turn. Not advice: device instructions, local policy and licensed practice come first."
      : document.getElementById("notice").textContent;
  refill(
    place,
    h(
      "section",
      { class: verified ? "seal" : "seal broken", "aria-label": "Signature" },
      h("h2", {}, verified ? "Signed; verified just now" : "This is not what was signed"),
      verified ? null : h("p", { class: "fault" }, fault),
      h(
        "dl",
        { class: "facts" },
        Object.entries(facts).map(([label, value]) => [h("dt", {}, label), h("dd", {}, value)]),
      ),
      left_open.length
        ? [
            h("h3", {}, "Left open"),
            h(
              "ul",
              {},
              left_open.map(({ point, reason }) => h("li", {}, `${point}: ${reason}`)),
            ),
          ]
        : null,
      amendments.length
        ? [
            h("h3", {}, "Amendments"),
            h(
              "ol",
              {},
              amendments.map((each) =>
                h(
                  "li",
                  {},
                  `${when(each.signed_at)}, ${each.name}: ${each.why ?? ""} `,
                  h("span", { class: "hash" }, each.fingerprint ?? ""),
                ),
              ),
            ),
          ]
        : null,
    ),
    state === "signed"
      ? [exports(), h("p", { class: "buttons" }, h("button", { type: "button", id: "amend", onclick: amend }, "Amend"))]
      : h("p", {}, "An amendment is open. What was signed stands until it is signed again."),
  );
}

function exports() {
  const links = Object.entries(vocabulary.exports).map(([format, { title: what, ending }]) =>
    h("li", {}, h("a", { href: `/api/cases/${id}/export/${format}`, download: `${id}.${ending}` }, what)),
  );
  return h(
    "section",
    { "aria-labelledby": "exports-title" },
    h("h2", { id: "exports-title" }, "Hand on"),
    h("ul", { class: "exports" }, links),
  );
}

async function amend() {
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
}
