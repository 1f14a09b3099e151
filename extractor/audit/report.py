"""An audit -> the files of its report: one page for people, twice, and tables for programs.

``report.html`` needs nothing from outside; ``report.pdf`` holds the same. ``pressures`` holds every pressure, spoken or
only logged, ``cases`` every case by what asks for a look, each as CSV, XLSX and Parquet. The same cases give the same
bytes.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass
from html import escape
from typing import Any

from extractor.audit.agreement import Agreement, agree
from extractor.audit.cases import CASES, NOT_COMPARED, PRESSURES, UNKNOWN, VERDICTS, Audit
from extractor.audit.charts import draw_agreement, draw_counts
from extractor.handover import SAFETY
from extractor.handover.tables import Column, Row, write_csv, write_parquet, write_xlsx
from extractor.handover.typeset import typeset
from extractor.handover.wording import plain

#: More rows than this of one table stand in its file only.
SHOWN = 60
#: More bars than this make no picture.
BARS = 24

TITLE = "Spoken pressures and cases, an audit"


@dataclass(frozen=True)
class Table:
    """Heads and rows of text. ``right``: which columns are figures; ``marked``: cells that do not agree."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[bool, ...]
    marked: tuple[tuple[bool, ...], ...]


@dataclass(frozen=True)
class Section:
    """One part of the page, in order: lines, an SVG figure with what it shows, a table, small print."""

    title: str
    lines: tuple[str, ...] = ()
    figure: str | None = None
    shows: str = ""
    table: Table | None = None
    small: tuple[str, ...] = ()


def write_report(audit: Audit) -> dict[str, bytes]:
    """Audit -> file names and what they hold. OutputError where the PDF cannot be set."""
    sections = _sections(audit)
    files = {"report.html": _html(sections).encode(), "report.pdf": _pdf(sections)}
    for name, columns, rows in (("pressures", PRESSURES, audit.pressures()), ("cases", CASES, audit.ranking())):
        for end, content in (
            *((f".csv{part}", made) for part, made in write_csv(columns, rows, name).items()),
            *((".xlsx", made) for made in write_xlsx(columns, rows, name, SAFETY).values()),
            *((".parquet", made) for made in write_parquet(columns, rows, name, SAFETY).values()),
        ):
            files[name + end] = content
    return files


# --- what it says

_LEFT_OUT = (
    "kind", "length_mm", "diameter_mm", "spoken_ms", "logged_ms", "unit", "spoken", "spoken_hold_s", "logged_hold_s",
    "hold_verdict", "state", "reviewer", "recorded_at", "recording", "flags", "log",
)  # fmt: skip


def _sections(audit: Audit) -> list[Section]:
    pressures = audit.pressures()
    apart = [row for row in pressures if row["verdict"] in VERDICTS[:3]]
    return [
        Section("", (_whole(audit, pressures),), small=("No figure here says that a case was done well or badly.",)),
        _beside(pressures),
        Section(
            "Cases by what asks for a look",
            ("Pressures that disagree count first, then cautions, then all else that asks for a look.",),
            table=_table(CASES, audit.ranking(), ("recording",)),
            small=_rest(audit.cases, "cases"),
        ),
        Section(
            "Pressures that do not agree",
            () if apart else ("None.",),
            table=_table(PRESSURES, apart, _LEFT_OUT),
            small=_rest(apart, "pressures"),
        ),
        *(_counts(*each, pressures) for each in (("reviewer", _reviewer), ("device", _device), ("month", _month))),
        *([Section("Not used", tuple(map(plain, audit.faults)))] if audit.faults else []),
    ]


def _whole(audit: Audit, pressures: Sequence[Row]) -> str:
    signed = sum(case.state == "signed" for case in audit.cases)
    compared = sum(case.compared for case in audit.cases)
    verdicts = Counter(row["verdict"] for row in pressures)
    told = ", ".join(f"{verdicts[each]} {each}" for each in VERDICTS if verdicts[each]) or "none"
    return (
        f"{_many(len(audit.cases), 'case')}, {signed} signed, {compared} laid beside a pressure log. "
        f"{_many(len(pressures), 'pressure')}: {told}."
    )


def _many(number: int, what: str) -> str:
    return f"{number:,} {what}{'' if number == 1 else 's'}"


def _beside(pressures: Sequence[Row]) -> Section:
    pairs = [row for row in pressures if row["verdict"] in ("agrees", "differs")]
    spoken, logged = ([row[key] for row in pairs] for key in ("spoken_atm", "logged_atm"))
    agreement = agree(spoken, logged)
    drawn = draw_agreement(spoken, logged, [row["verdict"] == "differs" for row in pairs], agreement) if pairs else None
    return Section(
        "Spoken beside logged",
        (_agreement(agreement, len(pairs)),),
        figure=_svg(drawn),
        shows="Logged less spoken over the mean of both, each pair a mark, with the mean and the limits of agreement.",
        small=(
            "After Bland and Altman 1986, Lancet i:307. Each pair counts for itself, also where several are of one "
            "case: the limits may then be a little narrow. Spoken pressures are mostly whole atmospheres.",
        )
        if agreement
        else (),
    )


def _agreement(agreement: Agreement | None, pairs: int) -> str:
    if agreement is None:
        return f"{_many(pairs, 'pair')} of a spoken and a logged pressure: too few for limits of agreement."

    def told(value: float, interval: tuple[float, float]) -> str:
        return f"{_signed(value)} atm (95 % interval {_signed(interval[0])} to {_signed(interval[1])})"

    return (
        f"{agreement.n:,} pairs, logged less spoken. Mean difference {told(agreement.mean, agreement.mean_95)}, "
        f"standard deviation {agreement.sd:.2f} atm. Limits of agreement {told(agreement.lower, agreement.lower_95)} "
        f"and {told(agreement.upper, agreement.upper_95)}."
    )


def _signed(value: float) -> str:
    return f"{value:+.2f}".replace("-0.00", "+0.00").replace("-", "−")


def _reviewer(row: Row) -> str:
    return str(row["reviewer"])


def _device(row: Row) -> str:
    size = "" if row["diameter_mm"] is None else f" {row['diameter_mm']:g} mm"
    return f"{row['device'] or UNKNOWN}{size}"


def _month(row: Row) -> str:
    return row["recorded_at"][:7] if row["recorded_at"] else UNKNOWN


def _counts(title: str, key: Callable[[Row], str], rows: Iterable[Row]) -> Section:
    """Verdicts by what ``key`` tells of a row; a picture of them where it has few bars."""
    counts: dict[str, Counter[str]] = {}
    for row in rows:
        counts.setdefault(key(row), Counter())[row["verdict"]] += 1
    names = sorted(counts, key=lambda name: (-counts[name].total(), name)) if title == "device" else sorted(counts)
    verdicts = [verdict for verdict in VERDICTS if any(counts[name][verdict] for name in names)]
    columns = (Column(title, str, ""), *(Column(each, int, "") for each in verdicts), Column("all", int, ""))
    table: list[Row] = [
        {title: name, "all": counts[name].total()} | {each: counts[name][each] for each in verdicts} for name in names
    ]
    compared = [name for name in names if counts[name].total() > counts[name][NOT_COMPARED]]
    drawn = draw_counts({name: counts[name] for name in compared}, VERDICTS) if 1 < len(compared) <= BARS else None
    shows = f"How many of each verdict, a bar a {title}; as in the table."
    made = _table(columns, table, ())
    return Section(f"Verdicts by {title}", figure=_svg(drawn), shows=shows, table=made, small=_rest(table, "pressures"))


def _svg(drawn: bytes | None) -> str | None:
    return None if drawn is None else drawn[drawn.index(b"<svg") :].decode()


def _rest(rows: Sequence[object], file: str) -> tuple[str, ...]:
    return (f"The first {SHOWN} of {len(rows):,}; all stand in {file}.csv.",) if len(rows) > SHOWN else ()


def _table(columns: Sequence[Column], rows: Sequence[Row], left_out: Sequence[str]) -> Table | None:
    shown = [column for column in columns if column.name not in left_out]
    cells = [tuple(_cell(column, row[column.name]) for column in shown) for row in rows[:SHOWN]]
    if not cells:
        return None
    return Table(
        heads=tuple(column.name.replace("_", " ") for column in shown),
        rows=tuple(cells),
        right=tuple(column.type in (int, float) for column in shown),
        marked=tuple(tuple(cell in VERDICTS[:3] or cell == "?" for cell in line) for line in cells),
    )


def _cell(column: Column, cell: Any) -> str:
    if cell is None or cell is False:
        return ""
    if cell is True:
        return "?" if column.name == "review" else "yes"
    if column.type in (int, float):
        return f"{cell:,}".removesuffix(".0")
    return str(cell)[:10] if column.name == "recorded_at" else plain(str(cell))  # the day is enough for people


# --- how it is set

_STYLE = """
body { font: 10.5pt/1.45 "Liberation Sans", Arial, sans-serif; max-width: 62em; margin: 2em auto; padding: 0 1em; }
h1 { font-size: 1.5em; margin-bottom: .2em } h2 { font-size: 1.15em; margin-top: 1.8em; break-after: avoid }
table { border-collapse: collapse; margin: .6em 0; font-size: .92em }
th, td { padding: .18em .9em .18em 0; text-align: left; border-bottom: 1px solid #d9d9d9; vertical-align: top }
th { border-bottom: 1.5px solid #222 } .n { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap }
.look { font-weight: bold; color: #b34700 } .small { color: #444; font-size: .9em }
svg { max-width: 100%; height: auto }
@media print { body { margin: 0; max-width: none } tr, figure { break-inside: avoid } }
@page { size: A4; margin: 16mm }
"""


def _html(sections: Sequence[Section]) -> str:
    parts = [f"<h1>{TITLE}</h1>", f"<p class=small>{escape(SAFETY)}</p>"]
    for section in sections:
        parts += [f"<h2>{escape(section.title)}</h2>"] if section.title else []
        parts += [f"<p>{escape(line)}</p>" for line in section.lines]
        if section.figure:
            parts.append(f'<figure role="img" aria-label="{escape(section.shows)}">{section.figure}</figure>')
        parts += [_html_table(section.table)] if section.table else []
        parts += [f"<p class=small>{escape(line)}</p>" for line in section.small]
    head = f'<meta charset="utf-8"><title>{TITLE}</title><style>{_STYLE}</style>'
    body = "\n".join(parts)
    return f'<!doctype html>\n<html lang="en">\n<head>{head}</head>\n<body>\n{body}\n</body>\n</html>\n'


def _html_table(table: Table) -> str:
    def cell(tag: str, text: str, right: bool, mark: bool) -> str:
        inside = f"<span class=look>{escape(text)}</span>" if mark else escape(text)
        return f"<{tag}{' class=n' if right else ''}>{inside}</{tag}>"

    heads = "".join(cell("th", head, right, False) for head, right in zip(table.heads, table.right, strict=True))
    rows = (
        "".join(cell("td", *each) for each in zip(row, table.right, marks, strict=True))
        for row, marks in zip(table.rows, table.marked, strict=True)
    )
    body = "\n".join(f"<tr>{row}</tr>" for row in rows)
    return f"<table><thead><tr>{heads}</tr></thead><tbody>\n{body}\n</tbody></table>"


_SOURCE = r"""
#let report = json(bytes(sys.inputs.data))
#set document(title: report.title, date: none)
#set page(
  paper: "a4", margin: (x: 1.5cm, top: 2cm, bottom: 1.6cm),
  header: { set text(8pt); report.notice; line(length: 100%, stroke: 0.5pt) },
  footer: context { set text(8pt); report.title; h(1fr); counter(page).display("1 / 1", both: true) },
)
#set text(9.5pt, lang: "en", hyphenate: false, font: ("Libertinus Serif", "DejaVu Sans Mono"))
#show heading.where(level: 1): set text(16pt)
#show heading.where(level: 2): it => block(above: 1.4em, below: 0.6em, sticky: true, text(12pt, it.body))
#heading(level: 1, report.title)
#for section in report.sections {
  if section.title != "" { heading(level: 2, section.title) }
  for line in section.lines { par(line) }
  if section.figure != none { image(bytes(section.figure), format: "svg", width: 88%, alt: section.shows) }
  let t = section.table
  if t != none {
    set text(8pt)
    table(
      columns: t.heads.len(), inset: (x: 3pt, y: 2.4pt),
      stroke: (x, y) => (bottom: if y == 0 { 0.8pt } else { 0.3pt + gray }),
      align: (x, y) => top + if t.right.at(x) { right } else { left },
      table.header(..t.heads.map(head => strong(head))),
      ..t.rows.zip(t.marked).map(((row, marks)) => row.zip(marks).map(((cell, mark)) =>
        if mark { strong(text(rgb("#b34700"), cell)) } else [#cell])).flatten(),
    )
  }
  for line in section.small { par(text(8pt, line)) }
}
"""


def _pdf(sections: Sequence[Section]) -> bytes:
    data = {"title": TITLE, "notice": SAFETY, "sections": [asdict(section) for section in sections]}
    return typeset(_SOURCE, data, "read the cases with extractor show")
