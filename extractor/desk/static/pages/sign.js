// Signing: the record as it will be, what is left open and why, and what the signature binds. Afterwards: what was
// signed, its files, and amending it.

import { get, post, put, told } from "../api.js";
import { byId, h, refill, say } from "../dom.js";
import { clock } from "../figures.js";
import { implants } from "../implants.js";
import { particularsForm } from "../particulars.js";
import { lookedAt, openPoints, waiting } from "../points.js";
import { disagreements } from "../pressure_log.js";
import { showSigned } from "../signed.js";
import { eventName, figure, gapText, keyName, vocabulary } from "../wording.js";
import { me } from "./plain.js";

const id = location.pathname.split("/")[2];

start()
  .catch((error) => refill(byId("alarm"), told(error)))
  .finally(() => byId("main").removeAttribute("aria-busy"));

async function start() {
  const asked = ["signature", "timeline", "particulars"].map((what) => get(`/cases/${id}/${what}`));
  const [words, signature, answer, particulars] = await Promise.all([get("/vocabulary"), ...asked]);
  Object.assign(vocabulary, words);
  byId("case-title").textContent = `Sign: ${answer.title}`;
  document.title = `${answer.title} · sign`;
  byId("back").href = `/cases/${id}`;
  showRecord();
  if (signature.signatures.length) showSigned(id, signature);
  if (!signature.to_sign) return;
  const timeline = { ...answer.timeline, looked: lookedAt(answer.timeline.revisions) };
  showMissing(timeline, answer.texts, particulars);
  toSign(timeline, answer.texts, signature.to_sign, particulars, await me);
  const told = disagreements(await get(`/cases/${id}/crosscheck`).catch(() => null));
  byId("log-note").hidden = !told;
  byId("log-note").textContent = told;
}

const showRecord = () => (byId("record").src = `/api/cases/${id}/record?form=html`);

function section(name, content) {
  byId(name).hidden = false;
  refill(byId(name).querySelector(".fill"), content);
}

/** What the voice does not tell: labels of implants, the patient, the order. Each field is kept as it is left. */
function showMissing(timeline, texts, particulars) {
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
  const fields = implants(timeline, texts, particulars, keep).flat().filter(Boolean);
  if (fields.length) section("implants", fields);
  section("particulars", particularsForm(particulars, keep));
}

function toSign(timeline, texts, { head, seen_sha256 }, particulars, person) {
  const waits = waiting(timeline);
  const fault = h("p", { class: "fault", role: "alert" });
  const button = h("button", { class: "first", id: "sign" }, "Sign");
  const name = h("input", {
    name: "name",
    value: person?.named === false ? "" : person?.name,
    autocomplete: "name",
    required: true,
    maxlength: 200,
  });
  const meaning = h("textarea", {
    name: "meaning",
    rows: 2,
    required: true,
    maxlength: 300,
    value: vocabulary.meaning,
  });
  const passphrase = h("input", { name: "passphrase", type: "password", autocomplete: "off" });
  const form = h(
    "form",
    {},
    leftOpen(timeline, texts, waits),
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
        "Only if your key has one. Your first signature makes you a key; a passphrase given then locks it.",
      ),
    ),
    h("p", {}, "What is bound: the timeline as it stands, with its trail. SHA-256:"),
    h("p", { class: "hash", id: "seen" }, seen_sha256),
    fault,
    h("p", { class: "buttons" }, button),
  );
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const fields = [...form.querySelectorAll("[data-point]")];
    const bare = fields.find((input) => !input.value.trim());
    if (bare) {
      fault.textContent = "Each point that was not looked at needs a look, or a reason.";
      return bare.focus();
    }
    button.disabled = true;
    const left_open = Object.fromEntries(fields.map((input) => [input.dataset.point, input.value.trim()]));
    const secret = passphrase.value ? { passphrase: passphrase.value } : {};
    const statement = {
      seen_sha256,
      head,
      name: name.value.trim(),
      meaning: meaning.value.trim(),
      left_open,
      particulars,
      ...secret,
    };
    try {
      if (person?.named === false) await put("/me", { name: statement.name });
      await post(`/cases/${id}/signature`, statement);
      location.reload();
    } catch (error) {
      fault.textContent = told(error);
      button.disabled = false;
    }
  });
  section("signature", form);
}

/** Points that nobody looked at, each with a field for why it stays open. */
function leftOpen(timeline, texts, waits) {
  if (!waits.length) {
    const looked = openPoints(timeline).length;
    return h(
      "p",
      { class: "good" },
      looked ? `All ${looked} that asked for a look were looked at.` : "Nothing asked for a look.",
    );
  }
  const fields = waits.map((point) =>
    h(
      "li",
      {},
      h(
        "p",
        {},
        h("a", { href: `/cases/${id}#${point.name}` }, title(point, timeline, texts)),
        h("span", { class: "q" }, "?"),
      ),
      h(
        "label",
        { class: "field" },
        h("span", {}, "Left open, because"),
        h("input", { "data-point": point.name, maxlength: 300, autocomplete: "off" }),
      ),
    ),
  );
  const link = h("a", { href: `/cases/${id}` }, "review");
  const intro = `${waits.length} not looked at. Look at each in the `;
  return [
    h("p", {}, intro, link, ", or say why it stays open; the record will tell."),
    h("ul", { class: "open-points" }, fields),
  ];
}

function title({ sort, event: eventId, key, index }, timeline, texts) {
  if (sort === "gap") return `${clock(timeline.gaps[index].start_ms)} ${gapText(timeline.gaps[index])}`;
  if (sort === "check") return `Caution: ${timeline.checks[index].message}`;
  if (sort === "words")
    return `Heard “${timeline.corrections[index].heard}”, read “${timeline.corrections[index].read}”`;
  const event = timeline.events.find((each) => each.id === eventId);
  const { value, unit } = event.values[key] ?? {};
  return `${clock(event.start_ms)} ${eventName(event, texts)}${sort === "value" ? `: ${keyName(key)} ${figure(value, unit)}` : ""}`;
}
