"""Timeline -> what a terminal shows: rich renderables, and the progress bar. Builds; ``cli`` prints.

Readable at 100 columns and without colour: what wants a look says so in its own column and carries a ``?``, colour only
repeats it. What happened stands first; what was only planned, considered or quoted comes with ``show --all``, dimmed,
and is counted where it is left out. Text from the recording is never read as markup.
"""

import math
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from extractor.handover import SAFETY, safety
from extractor.handover.wording import (
    RECORDED,
    clock,
    correction_text,
    counts_text,
    doubts,
    event_name,
    flag_sentences,
    gap_text,
    looks,
    made_by_text,
    needs_look,
    plain,
    recording_text,
    site_text,
    value_text,
    value_texts,
)
from extractor.model import Correction, Event, Gap, Status, Timeline, Value, WordRange
from extractor.units import figure

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.table import Table
    from rich.text import Text

    from extractor.audit.crosscheck import Compared, CrossCheck, LogClock

Progress = Callable[[str, float, float], None]

#: Columns where the output is not a terminal and nobody said how wide.
WIDTH = 100
#: How many words of talk ``explain`` shows on each side of an event.
AROUND = 14

#: How much of the values stands on one line.
VALUES_LETTERS = 20

LOOK = "bold yellow"
EARLIER = "(6 mm) was said earlier in the case, not here. 14 atm? wants a look."


def console(*, record: bool = False) -> "Console":
    """A console on standard output, 100 columns wide where that is no terminal."""
    import os

    from rich.console import Console

    width = None if Console().is_terminal or "COLUMNS" in os.environ else WIDTH
    return Console(width=width, highlight=False, record=record)


@contextmanager
def progress_bar() -> Iterator[Progress | None]:
    """A bar a stage with the time left, on standard error; None where that is no terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

    errors = Console(stderr=True)
    if not errors.is_terminal:
        yield None
        return
    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    with Progress(*columns, console=errors, transient=True) as bar:
        stages = {}

        def show(stage: str, done: float, total: float) -> None:
            if stage not in stages:
                stages[stage] = bar.add_task(stage, total=total)
            bar.update(stages[stage], completed=done, total=total)

        yield show


def timeline_view(timeline: Timeline, *, everything: bool = False) -> "RenderableType":
    """Timeline -> its head, the table, and beneath it what wants a look besides."""
    from rich.console import Group

    shown = [event for event in timeline.events if everything or event.status in RECORDED or needs_look(event)]
    parts: list[RenderableType] = [_head(timeline), _table(timeline, shown)]
    parts += [_line(text, LOOK) for text in _cautions(timeline)]
    notes = [check for check in timeline.checks if check.severity == "note"]
    parts += [_line(f"Note: {plain(check.message)} {' '.join(check.events)}".rstrip()) for check in notes]
    repaired = sum(not correction.review for correction in timeline.corrections)
    if repaired:
        parts.append(_line(f"Repaired words: {repaired}. transcript.vtt notes what was heard at each.", "dim"))
    if len(shown) < len(timeline.events):
        ids = {event.id for event in shown}
        left_out = counts_text(event for event in timeline.events if event.id not in ids)
        parts.append(_line(f"Not shown: {left_out}. See them with --all."))
    parts.append(_line(f"{EARLIER} Why an event stands here: extractor explain DIR ID", "dim"))
    parts.append(_line(safety(timeline), "dim"))
    return Group(*parts)


def event_view(timeline: Timeline, event: Event) -> "RenderableType":
    """One event -> what it is, the talk it came from, its rule, and where each value came from."""
    from rich.console import Group

    times = f"{clock(event.start_ms)} to {clock(event.end_ms)}"
    title = ", ".join(filter(None, (event_name(event), site_text(event.site))))
    parts: list[RenderableType] = [
        _line(f"{event.id}  {title}", "bold"),
        _line(f"{event.status}, {times}, confidence {event.confidence:.2f}, rule {plain(event.rule)}"),
    ]
    parts += [_line(sentence, LOOK if event.review else "") for sentence in flag_sentences(event.flags)]
    parts += [_line(""), _talk(timeline, event), _line("")]
    if event.values:
        parts.append(_values_table(timeline, event))
    parts += [_line(_repair(repair, timeline)) for repair in timeline.corrections if _touches(repair, event)]
    parts += [
        _line(f"Caution: {plain(check.message)}", LOOK)
        for check in timeline.cautions.values()
        if event.id in check.events
    ]
    return Group(*parts)


def crosscheck_view(result: "CrossCheck") -> "RenderableType":
    """A cross-check -> its clocks, the table of spoken beside logged, and the counts. Times are the recording's."""
    from rich import box
    from rich.console import Group
    from rich.table import Table

    parts: list[RenderableType] = []
    for log in result.logs:
        parts.append(_line(_log_text(log), "" if log.found else LOOK))
        parts += [_line(f"  {plain(repair)}", "dim") for repair in log.repairs]
    rows = sorted((*result.pairs, *result.not_spoken, *result.not_logged), key=_compared_at)
    if result.clock_found:
        table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False)
        for name in ("Time", "Id", "Spoken", "Logged", "Difference", "Held: said", "logged"):
            table.add_column(name, justify="left" if name == "Id" else "right", no_wrap=True)
        table.add_column("Verdict")
        for row in rows:
            style = "" if row.verdict == "agrees" else LOOK
            table.add_row(*_compared_cells(row), _line(_verdict_text(row), style))
        counts = Counter(row.verdict for row in rows)
        parts += [
            table,
            _line(", ".join(f"{count} {verdict}" for verdict, count in counts.items()) or "No inflations."),
        ]
    parts.append(_line(SAFETY, "dim"))
    return Group(*parts)


def _log_text(log: "LogClock") -> str:
    if not log.found:
        return f"{plain(log.name)}: {log.inflations} inflations; clock not found, nothing paired: {log.why}."
    offset_s, error_s = (log.offset_ms or 0) / 1000, (log.offset_error_ms or 0) / 1000
    drift, drift_error = log.drift_ppm or 0.0, log.drift_error_ppm or 0.0
    drifts = f"drift {drift:+.0f} ± {drift_error:.0f} ppm" if abs(drift) > drift_error else "no drift to be seen"
    return (
        f"{plain(log.name)}: {log.inflations} inflations; the recording begins at "
        f"{_log_time(offset_s, log.clock)} of its clock (± {error_s:.1f} s); {drifts}."
    )


def _log_time(seconds: float, form: str) -> str:
    if form == "seconds":
        return f"{seconds:,.1f} s"
    whole = round(seconds) % 86_400
    return f"{whole // 3600:02}:{whole % 3600 // 60:02}:{whole % 60:02}"


def _compared_at(row: "Compared") -> int:
    return row.spoken_ms if row.spoken_ms is not None else row.logged_on_recording_ms or 0


def _compared_cells(row: "Compared") -> list[str]:
    def cell(value: float | None, unit: str, form: str = ".1f") -> str:
        return "" if value is None else f"{value:{form}} {unit}".replace("-0.0 ", "+0.0 ")

    at = _compared_at(row)
    return [
        clock(at) if at >= 0 else f"-{clock(-at)}",
        row.event or "",
        cell(row.spoken_atm, "atm"),
        cell(row.logged_atm, "atm"),
        cell(row.difference_atm, "atm", "+.1f"),
        cell(row.spoken_hold_s, "s", ".0f"),
        cell(row.logged_hold_s, "s", ".0f"),
    ]


def _verdict_text(row: "Compared") -> str:
    hold = "holds differ" if row.hold_verdict == "differs" else ""
    rival = "" if row.fits_alternative_atm is None else f"fits {row.fits_alternative_atm:g} atm, also heard"
    return "; ".join(filter(None, (row.verdict, rival, hold, (row.note or "").rstrip("."))))


def _head(timeline: Timeline) -> "RenderableType":
    from rich.text import Text

    count = looks(timeline)
    wanted = f"{count} want a look" if count != 1 else "1 wants a look"
    text = Text(f"{recording_text(timeline.recording)}; {made_by_text(timeline)}\n", style="dim")
    text.append(f"{timeline.state.upper()}: ", style="bold not dim")
    text.append(f"{counts_text(timeline.events) or 'no events'}; ", style="not dim")
    return text.append(wanted, style=f"{LOOK} not dim" if count else "not dim")


def _table(timeline: Timeline, shown: list[Event]) -> "Table":
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, expand=True, padding=(0, 1, 0, 0), pad_edge=False)
    table.add_column("Time", justify="right", no_wrap=True)
    table.add_column("Id", no_wrap=True, style="dim")
    table.add_column("Event", ratio=26)
    table.add_column("Sizes and pressures", ratio=21, min_width=VALUES_LETTERS)
    table.add_column("Status", no_wrap=True)
    table.add_column("Needs a look", ratio=27, style=LOOK)
    rows: list[Event | Gap] = sorted([*shown, *timeline.gaps], key=lambda row: row.start_ms)
    for row in rows:
        if isinstance(row, Gap):
            table.add_row(clock(row.start_ms), "", _line(gap_text(row), LOOK), "", "", plain_text(row.why))
        else:
            table.add_row(
                clock(row.start_ms), row.id, _event_cell(row), _values_cell(row), str(row.status),
                plain_text("; ".join(doubts(row, brief=True))), style="" if row.status in RECORDED else "dim",
            )  # fmt: skip
    return table


def _event_cell(event: Event) -> "Text":
    from rich.text import Text

    text = Text(event_name(event), style="bold" if event.status is Status.DONE else "")
    where = site_text(event.site)
    return text.append(f", {where}", style="not bold") if where else text


def _values_cell(event: Event) -> "Text":
    from rich.text import Text

    cell = Text()
    line = 0
    for text, review in value_texts(event):
        # Broken here rather than by the table, so that no figure is parted from its unit.
        if line and line + len(", ") + len(text) > VALUES_LETTERS:
            cell.append("\n")
            line = 0
        elif line:
            cell.append(", ")
        cell.append(text, style=LOOK if review else "")
        line += len(text)
    return cell


def _cautions(timeline: Timeline) -> list[str]:
    repairs = [
        f"Word check at {_time(correction.words, timeline)}: {correction_text(correction)}."
        for correction in timeline.corrections
        if correction.review
    ]
    return repairs + [
        f"Caution{f' at {_time(check.words, timeline)}' if check.words else ''}: "
        f"{plain(check.message)} {' '.join(check.events)}".rstrip()
        for check in timeline.checks
        if check.severity == "review"
    ]


def _talk(timeline: Timeline, event: Event) -> "Text":
    from rich.text import Text

    first, past = event.words
    words = [plain(word.text) for word in timeline.words]
    text = Text("… " if first > AROUND else "").append(" ".join(words[max(0, first - AROUND) : first]), style="dim")
    text.append(f" [{' '.join(words[first:past])}] ", style="bold")
    text.append(" ".join(words[past : past + AROUND]), style="dim")
    return text.append(" …" if past + AROUND < len(words) else "")


def _values_table(timeline: Timeline, event: Event) -> "Table":
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, expand=True, padding=(0, 1, 0, 0), pad_edge=False)
    for name, ratio in (("Value", 15), ("Figure", 15), ("Heard", 25), ("At", None), ("Confidence", None), ("Why", 35)):
        table.add_column(name, ratio=ratio, no_wrap=ratio is None)
    for key, value in event.values.items():
        first, past = value.words
        said = timeline.words[first:past]
        heard = value.heard or " ".join(word.text for word in said)
        table.add_row(
            key.replace("_", " "),
            _line(value_text(key, value), LOOK if value.review else ""),
            plain_text(heard),
            clock(said[0].start_ms) if said else "",
            f"{value.confidence:.2f}",
            plain_text(_why(value)),
        )
    return table


def _why(value: Value) -> str:
    rivals = [
        f"Or {figure(rival.value, rival.unit or value.unit)}{_odds(rival.log_ratio)}." for rival in value.alternatives
    ]
    return " ".join(flag_sentences(value.flags) + rivals)


def _odds(log_ratio: float | None) -> str:
    """ " (8 times less likely)", empty where it is not known."""
    if log_ratio is None:
        return ""
    times = math.exp(abs(log_ratio))
    return " (as likely)" if times < 1.5 else f" ({times:.0f} times {'more' if log_ratio > 0 else 'less'} likely)"


def _repair(correction: Correction, timeline: Timeline) -> str:
    cost = "" if correction.audio_cost is None else f", audio cost {correction.audio_cost:.1f}"
    look = "; wants a look" if correction.review else ""
    at = _time(correction.words, timeline)
    return f"Repair at {at}: {correction_text(correction)} ({plain(correction.why)}{cost}{look})"


def _touches(correction: Correction, event: Event) -> bool:
    ranges = [event.words, *(value.words for value in event.values.values())]
    return any(correction.words[0] < past and first < correction.words[1] for first, past in ranges)


def _time(words: WordRange, timeline: Timeline) -> str:
    return clock(timeline.words[words[0]].start_ms)


def _line(text: str, style: str = "") -> "Text":
    from rich.text import Text

    return Text(text, style=style)


def plain_text(text: str) -> "Text":
    """Any text -> a renderable in which nothing is markup or a control code."""
    return _line(plain(text))
