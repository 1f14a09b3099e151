"""Timeline -> what people and other tools read. Pure: text in, text out; who calls it writes the files."""

#: Stands on everything a person is handed.
SAFETY = (
    "A draft until signed by the responsible clinician. It advises nothing: "
    "device instructions, local policy and licensed practice come first."
)
