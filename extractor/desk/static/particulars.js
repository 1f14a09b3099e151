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
];

/** One field each; `keep` takes what changed as soon as a field is left. */
export function particularsForm(particulars, keep) {
  return h(
    "div",
    { class: "grid" },
    FIELDS.map(([path, label, sort]) => {
      const [first, second] = path.split(".");
      const stands = second ? particulars[first]?.[second] : particulars[first];
      const value = Array.isArray(stands) ? stands.join(", ") : (stands ?? "");
      const input = Array.isArray(sort)
        ? choice({ name: path }, [["", "not told"], ...sort], value)
        : h("input", { name: path, type: sort ?? "text", value, maxlength: 1000, autocomplete: "off" });
      input.addEventListener("change", () => {
        const text = input.value.trim() || null;
        if (second) return keep({ [first]: { ...particulars[first], [second]: text } });
        return keep({
          [first]:
            first === "assistants"
              ? (text ?? "")
                  .split(",")
                  .map((each) => each.trim())
                  .filter(Boolean)
              : text,
        });
      });
      return h("label", {}, h("span", {}, label), input);
    }),
  );
}
