"""An audit -> the files of its report: one page for people, tables for programs. The same cases give the same bytes.

``report.html`` needs nothing from outside and prints on A4; ``pressures`` holds every pressure, spoken or only logged,
``cases`` every case by what asks for a look, each as CSV, XLSX and Parquet.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from html import escape
from typing import Any

from extractor.audit.agreement import Agreement, agree
from extractor.audit.cases import CASES, NOT_COMPARED, PRESSURES, UNKNOWN, VERDICTS, Audit
from extractor.audit.pictures import draw_agreement, draw_counts
from extractor.handover import SAFETY
from extractor.handover.tables import Column, Row, write_csv, write_parquet, write_xlsx
from extractor.handover.wording import plain

#: More rows than this of one table stand in its file only.
SHOWN = 60
#: More bars than this make no picture.
BARS = 24

STYLE = """
body { font: 10.5pt/1.45 "Liberation Sans", Arial, sans-serif; max-width: 62em; margin: 2em auto; padding: 0 1em; }
h1 { font-size: 1.5em; margin-bottom: .2em } h2 { font-size: 1.15em; margin-top: 1.8em; break-after: avoid }
table { border-collapse: collapse; margin: .6em 0; font-size: .92em } caption { text-align: left; color: #444 }
th, td { padding: .18em .9em .18em 0; text-align: left; border-bottom: 1px solid #d9d9d9; vertical-align: top }
th { border-bottom: 1.5px solid #222 } td.c { white-space: nowrap }
td.n, th.n { text-align: right; font-variant-numeric: tabular-nums }
.look { font-weight: bold; color: #b34700 } .small { color: #444; font-size: .9em }
svg { max-width: 100%; height: auto }
@media print { body { margin: 0; max-width: none } tr, figure { break-inside: avoid } }
@page { size: A4; margin: 16mm }
"""


def write_report(audit: Audit) -> dict[str, bytes]:
    """Audit -> file names and what they hold."""
    files = {"report.html": _page(audit).encode()}
    for name, columns, rows in (("pressures", PRESSURES, audit.pressures()), ("cases", CASES, audit.ranking())):
        for end, content in (
            *((f".csv{part}", made) for part, made in write_csv(columns, rows, name).items()),
            *((".xlsx", made) for made in write_xlsx(columns, rows, name, SAFETY).values()),
            *((".parquet", made) for made in write_parquet(columns, rows, name, SAFETY).values()),
        ):
            files[name + end] = content
    return files


def _page(audit: Audit) -> str:
    pressures = audit.pressures()
    pairs = [row for row in pressures if row["verdict"] in ("agrees", "differs")]
    spoken, logged = ([row[key] for row in pairs] for key in ("spoken_atm", "logged_atm"))
    differs = [row["verdict"] == "differs" for row in pairs]
    agreement = agree(spoken, logged)
    parts = [
        "<h1>Spoken pressures and cases, an audit</h1>",
        f"<p class=small>{escape(SAFETY)} Not one figure here says that a case was done well or badly.</p>",
        _sentence(audit, pressures),
        "<h2>Spoken beside logged</h2>",
        _agreement(agreement, pairs),
        _figure(draw_agreement(spoken, logged, differs, agreement)) if pairs else "",
        "<h2>Cases by what asks for a look</h2>",
        "<p>Pressures that disagree count first, then cautions, then all else that asks for a look.</p>",
        _table(CASES, audit.ranking(), ("recording",), "cases"),
        "<h2>Pressures that do not agree</h2>",
        _table(PRESSURES, [row for row in pressures if row["verdict"] in VERDICTS[:3]], _LEFT_OUT, "pressures"),
    ]
    for title, key in (("reviewer", _reviewer), ("device", _device), ("month", _month)):
        parts += [f"<h2>Verdicts by {title}</h2>", *_counts(title, pressures, key)]
    parts += (
        ["<h2>Not used</h2>", *(f"<p>{escape(plain(fault))}</p>" for fault in audit.faults)] if audit.faults else []
    )
    head = f'<meta charset="utf-8"><title>Audit of {len(audit.cases)} cases</title><style>{STYLE}</style>'
    body = "\n".join(filter(None, parts))
    return f'<!doctype html>\n<html lang="en">\n<head>{head}</head>\n<body>\n{body}\n</body>\n</html>\n'


_LEFT_OUT = (
    "kind", "length_mm", "diameter_mm", "spoken_ms", "logged_ms", "unit", "spoken", "spoken_hold_s", "logged_hold_s",
    "hold_verdict", "state", "reviewer", "recorded_at", "recording", "flags", "log",
)  # fmt: skip


def _sentence(audit: Audit, pressures: Sequence[Row]) -> str:
    signed = sum(case.state == "signed" for case in audit.cases)
    compared = sum(case.compared for case in audit.cases)
    verdicts = Counter(row["verdict"] for row in pressures)
    told = ", ".join(f"{verdicts[each]} {each}" for each in VERDICTS if verdicts[each]) or "none"
    return (
        f"<p>{_many(len(audit.cases), 'case')}, {signed} signed, {compared} laid beside a pressure log. "
        f"{_many(len(pressures), 'pressure')}: {told}.</p>"
    )


def _many(number: int, what: str) -> str:
    return f"{number:,} {what}{'' if number == 1 else 's'}"


def _agreement(agreement: Agreement | None, pairs: Sequence[Row]) -> str:
    if agreement is None:
        return f"<p>{_many(len(pairs), 'pair')} of a spoken and a logged pressure: too few for limits of agreement.</p>"

    def told(value: float, interval: tuple[float, float]) -> str:
        return f"{_signed(value)} atm (95 % interval {_signed(interval[0])} to {_signed(interval[1])})"

    return (
        f"<p>{agreement.n:,} pairs, logged less spoken. Mean difference {told(agreement.mean, agreement.mean_95)}, "
        f"standard deviation {agreement.sd:.2f} atm. Limits of agreement {told(agreement.lower, agreement.lower_95)} "
        f"and {told(agreement.upper, agreement.upper_95)}.</p>"
        "<p class=small>After Bland and Altman 1986, Lancet i:307. Each pair counts for itself, also where several are "
        "of one case: the limits may then be a little narrow. Spoken pressures are mostly whole atmospheres.</p>"
    )


def _signed(value: float) -> str:
    return f"{value:+.2f}".replace("-0.00", "+0.00").replace("-", "−")


def _table(columns: Sequence[Column], rows: Sequence[Row], left_out: Sequence[str], file: str) -> str:
    shown = [column for column in columns if column.name not in left_out]
    if not rows:
        return "<p>None.</p>"
    head = "".join(f"<th{_side(column)}>{column.name.replace('_', ' ')}</th>" for column in shown)
    lines = [
        "<tr>" + "".join(f"<td{_side(column)}>{_cell(column, row[column.name])}</td>" for column in shown) + "</tr>"
        for row in rows[:SHOWN]
    ]
    rest = f"<p class=small>The first {SHOWN} of {len(rows):,}; all stand in {file}.csv.</p>"
    rest = rest if len(rows) > SHOWN else ""
    return f"<table><thead><tr>{head}</tr></thead><tbody>\n" + "\n".join(lines) + f"\n</tbody></table>{rest}"


def _side(column: Column) -> str:
    if column.type in (int, float):
        return " class=n"
    return " class=c" if column.name in ("case", "recorded_at", "clock", "verdict") else ""


def _cell(column: Column, cell: Any) -> str:
    if cell is None or cell is False:
        return ""
    if cell is True:
        return "<span class=look>?</span>" if column.name == "review" else "yes"
    text = f"{cell:,}".removesuffix(".0") if column.type in (int, float) else plain(str(cell))
    text = text[:10] if column.name == "recorded_at" else text  # the day is enough for people
    return (
        f"<span class=look>{escape(text)}</span>" if text in ("differs", "not-logged", "not-spoken") else escape(text)
    )


def _reviewer(row: Row) -> str:
    return str(row["reviewer"])


def _device(row: Row) -> str:
    size = "" if row["diameter_mm"] is None else f" {row['diameter_mm']:g} mm"
    return f"{row['device'] or UNKNOWN}{size}"


def _month(row: Row) -> str:
    return row["recorded_at"][:7] if row["recorded_at"] else UNKNOWN


def _counts(title: str, rows: Iterable[Row], key: Callable[[Row], str]) -> list[str]:
    """A table of verdicts, and a picture of it where it has few bars."""
    counts: dict[str, Counter[str]] = {}
    for row in rows:
        counts.setdefault(key(row), Counter())[row["verdict"]] += 1
    names = sorted(counts, key=lambda name: (-counts[name].total(), name)) if title == "device" else sorted(counts)
    verdicts = [verdict for verdict in VERDICTS if any(counts[name][verdict] for name in names)]
    columns = (Column(title, str, ""), *(Column(each, int, "") for each in verdicts), Column("all", int, ""))
    table: list[Row] = [{title: name, "all": counts[name].total()} | {each: counts[name][each] for each in verdicts}
                        for name in names]  # fmt: skip
    compared = [name for name in names if counts[name].total() > counts[name][NOT_COMPARED]]
    drawn = draw_counts({name: counts[name] for name in compared}, VERDICTS) if 1 < len(compared) <= BARS else None
    return [_figure(drawn) if drawn else "", _table(columns, table, (), "pressures")]


def _figure(drawn: bytes) -> str:
    return f"<figure>{drawn[drawn.index(b'<svg') :].decode()}</figure>"
