"""Record -> PDF/UA-1 (ISO 14289-1): tagged, searchable, the notice on every page, set by Typst without any file or font
of the machine.

The record goes to the typesetter as data, never as its markup: nothing that was said is read as a command.
"""

from dataclasses import asdict

from extractor.handover.record import Record
from extractor.handover.typeset import typeset

_SOURCE = r"""
#let record = json(bytes(sys.inputs.data))
#let title = if record.is_draft { "DRAFT: " + record.title } else { record.title }
#set document(title: title, date: none)
#set page(
  paper: "a4", margin: (x: 1.6cm, top: 2.2cm, bottom: 1.8cm),
  header: {
    set text(8pt, weight: if record.is_draft { "bold" } else { "regular" })
    record.notice
    line(length: 100%, stroke: 0.5pt)
  },
  footer: context { set text(8pt); record.title; h(1fr); counter(page).display("1 / 1", both: true) },
)
#set text(9.5pt, lang: "en", region: record.language.slice(3), hyphenate: false)
#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"))
#set par(leading: 0.5em, spacing: 0.6em)
#show heading.where(level: 1): set text(17pt)
#show heading.where(level: 2): it => block(above: 1.3em, below: 0.55em, sticky: true, text(12pt, it.body))
#let wide = ("What": 2.4fr, "Where": 1.7fr, "Sizes and pressures": 1.7fr, "Marks": 2.6fr, "As said": 2.6fr)
#heading(level: 1, title)
#grid(columns: (auto, 1fr), column-gutter: 1em, row-gutter: 0.45em,
  ..record.facts.map(fact => (strong(fact.at(0)), fact.at(1))).flatten())
#for section in record.sections {
  heading(level: 2, section.title)
  for line in section.lines { par(line) }
  let t = section.table
  if t != none {
    let width(head) = if t.heads.len() == 3 and head != "Point" { 1fr } else { wide.at(head, default: auto) }
    set text(8.5pt)
    table(
      columns: t.heads.map(width), stroke: (x, y) => (bottom: if y == 0 { 0.8pt } else { 0.3pt + gray }),
      inset: (x: 3pt, y: 2.6pt), align: left + top,
      fill: (x, y) => if y > 0 and t.marked.at(y - 1) { rgb("#fff2cc") },
      table.header(..t.heads.map(head => strong(head))),
      ..t.rows.flatten().map(cell => [#cell]),
    )
  }
}
"""


def write_pdf(record: Record) -> bytes:
    """Record -> a PDF. OutputError where it cannot be set."""
    return typeset(_SOURCE, asdict(record), "export record-html instead")
