// What the voice does not tell and the record needs: the patient, the order, who was there. Nothing is guessed from speech.

import { choice, h } from "./dom.js";

const FIELDS = [
  ["patient.id", "Patient's number"],
  ["patient.family_name", "Family name"],
  ["patient.given_name", "Given name"],
  ["patient.birth_date", "Born", "date"],
  ["patient.sex", "Sex", ["female", "male", "other", "unknown"]],
  ["procedure", "Procedure"],
  ["indication", "Indication"],
  ["consent", "Consent"],
  ["sedation", "Sedation"],
  ["operator", "Operator"],
  ["assistants", "Assistants, with commas"],
  ["site", "Hospital"],
  ["accession_number", "Accession number"],
  ["started_at", "Recording began", "datetime-local"],
];

/** One field each; `keep` takes what changed as soon as a field is left. */
export function particularsForm(particulars, keep) {
  return h(
    "div",
    { class: "grid" },
    FIELDS.map(([path, label, sort]) => h("label", {}, h("span", {}, label), field(particulars, path, sort, keep))),
  );
}

function field(particulars, path, sort, keep) {
  const [first, second] = path.split(".");
  const value = shown(second ? particulars[first]?.[second] : particulars[first], sort);
  const input = Array.isArray(sort)
    ? choice({ name: path }, [["", "not told"], ...sort], value)
    : h("input", {
        name: path,
        type: sort ?? "text",
        step: sort === "datetime-local" ? 1 : null,
        value,
        maxlength: 1000,
        autocomplete: "off",
      });
  input.addEventListener("change", () => {
    const told = read(input.value.trim(), path, sort);
    keep({ [first]: second ? { ...particulars[first], [second]: told } : told });
  });
  return input;
}

/** What stands, as its field shows it; times where the reader is. */
function shown(value, sort) {
  if (Array.isArray(value)) return value.join(", ");
  if (!value || sort !== "datetime-local") return value ?? "";
  const time = new Date(value);
  return new Date(time.getTime() - time.getTimezoneOffset() * 60000).toISOString().slice(0, 19);
}

function read(text, path, sort) {
  if (path === "assistants")
    return text
      .split(",")
      .map((each) => each.trim())
      .filter(Boolean);
  if (sort === "datetime-local" && text) return new Date(text).toISOString();
  return text || null;
}
