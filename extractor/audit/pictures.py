"""A case as one picture: pressures over time with what was spoken, events in lanes, what wants a look. SVG or PNG.

Drawn for paper: one A4 width, every meaning told by shape or word as well as by colour. The same timeline and logs give
the same bytes.
"""

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from extractor.audit.crosscheck import Compared, CrossCheck, LogClock
from extractor.audit.paper import (
    BLUE,
    DPI,
    GREY,
    LETTERS,
    PALE,
    PURPLE,
    SMALL,
    VERMILION,
    Form,
    bytes_of,
    every,
    inches_of,
    line,
    mark,
    sheet,
)
from extractor.audit.pressure_log import PressureLog
from extractor.handover import safety
from extractor.handover.wording import (
    RECORDED,
    clock,
    event_name,
    needs_look,
    plain,
    recording_text,
    value_text,
    value_texts,
)
from extractor.model import Event, Kind, Status, Timeline
from extractor.units import BALLOON_PRESSURES, convert, figure

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: Inches.
WIDTH, LEFT, RIGHT = 11.7, 1.25, 0.35
ROW, PRESSURE_HEIGHT, HEAD, LINE = 0.155, 2.3, 0.5, 0.135
#: Letters of the list of cautions on one line.
NOTE_LETTERS = 175
#: A tick every so many seconds, and the most of them.
_TICKS_S, _MOST_TICKS = (10, 30, 60, 120, 300, 600, 900, 1800, 3600), 16
#: More samples than this are drawn as the least and greatest of each piece: finer than paper can show.
MOST_POINTS = 6_000

LANES: tuple[tuple[str, tuple[Kind, ...]], ...] = (
    ("Access, closure", (Kind.ACCESS, Kind.CLOSURE)),
    ("In and out", (Kind.INSERT, Kind.REMOVE)),
    ("Balloons, stents", (Kind.INFLATION, Kind.STENT)),
    ("Embolics", (Kind.EMBOLISE,)),
    ("Runs", (Kind.RUN,)),
    ("Drugs", (Kind.DRUG,)),
    ("Findings, measures", (Kind.FINDING, Kind.MEASURE)),
    ("Totals", (Kind.TOTAL,)),
)
#: In these lanes the figures alone tell what it is.
_FIGURES_ONLY = (Kind.RUN, Kind.MEASURE, Kind.TOTAL)


@dataclass
class Label:
    """One thing in a lane: where it is, s, what stands beside it, and on which row that found a place."""

    at_s: float
    end_s: float
    text: str
    doubtful: bool = False
    hollow: bool = False
    row: int = 0
    leftward: bool = False


@dataclass
class Lane:
    """A lane with its labels, rows counted from 0."""

    name: str
    labels: list[Label] = field(default_factory=list)

    @property
    def rows(self) -> int:
        return 1 + max((label.row for label in self.labels), default=0)


def draw_case(
    timeline: Timeline, logs: Sequence[PressureLog] = (), result: CrossCheck | None = None, form: Form = "svg"
) -> bytes:
    """A timeline, its logs and how they compare -> a picture's bytes. A log whose clock was not found is not drawn."""
    with sheet(WIDTH, 4) as drawn:
        end_s = _end_s(timeline)
        lanes = _lanes(timeline)
        for lane in lanes:
            _place(lane, drawn, end_s)
        notes = _notes(timeline, result)
        has_pressures = bool(_spoken(timeline)) or any(log.found for log in (result.logs if result else ()))
        heights = [PRESSURE_HEIGHT if has_pressures else 0.25, *(ROW * lane.rows + 0.08 for lane in lanes)]
        below = 0.35 + LINE * (len(notes) + 2)
        height = HEAD + sum(heights) + below
        drawn.set_size_inches(WIDTH, height)
        _head(drawn, timeline, height)
        top = height - HEAD
        axes: Axes | None = None
        for number, tall in enumerate(heights):
            top -= tall
            box = (LEFT / WIDTH, top / height, (WIDTH - LEFT - RIGHT) / WIDTH, tall / height)
            axes = drawn.add_axes(box, sharex=axes)
            axes.set_xlim(0, end_s)
            if number == 0:
                _pressures(axes, timeline, logs, result, has_pressures)
            else:
                _lane(axes, lanes[number - 1], last=number == len(heights) - 1)
            for gap in timeline.gaps:
                axes.axvspan(gap.start_ms / 1000, gap.end_ms / 1000, color=PALE, hatch="////", lw=0, alpha=0.6)
        for number, (text, style) in enumerate(notes):
            drawn.text(LEFT / WIDTH, (below - 0.42 - LINE * number) / height, text, fontsize=SMALL, **style)
        drawn.text(LEFT / WIDTH, 0.06 / height, safety(timeline), fontsize=SMALL, color=GREY)
        return bytes_of(drawn, form)


# --- pressures


def _spoken(timeline: Timeline) -> list[tuple[Event, float]]:
    """What was inflated with a spoken pressure, and that pressure in atm."""
    return [
        (event, convert(value.value, value.unit, "atm"))
        for event in timeline.events
        if event.status is Status.DONE and event.kind in (Kind.INFLATION, Kind.STENT)
        if (value := event.values.get("pressure")) and value.unit in BALLOON_PRESSURES
    ]


def _pressures(
    axes: "Axes", timeline: Timeline, logs: Sequence[PressureLog], result: CrossCheck | None, has_pressures: bool
) -> None:
    """The trace where there is one, else each inflation as long as it was said to be held; spoken values on it."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.tick_params(labelbottom=False, length=2)
    if not has_pressures:
        axes.set_axis_off()
        return
    found = {log.name: log for log in result.logs if log.found} if result else {}
    for log in logs:
        if log.name in found:
            _trace(axes, log, found[log.name])
    compared = {row.event: row for row in (*result.pairs, *result.not_logged) if row.event} if result else {}
    highest = [atm for _, atm in _spoken(timeline)]
    texts: list[tuple[float, float, str, str]] = []
    for event, atm in _spoken(timeline):
        row = compared.get(event.id)
        at_s = (row.spoken_ms if row and row.spoken_ms is not None else event.start_ms) / 1000
        text, style = value_text("pressure", event.values["pressure"]), _style(row, needs_look(event))
        if row and row.verdict == "differs" and row.logged_atm is not None:
            axes.plot([at_s, at_s], [atm, row.logged_atm], color=VERMILION, lw=0.8, ls=":")
            text += f", logged {figure(round(row.logged_atm, 1), 'atm')}"
        if not found:
            held_s = _held_s(event)
            axes.fill_between([at_s, at_s + held_s], [atm, atm], color=BLUE, alpha=0.15, lw=0)
            axes.plot([at_s, at_s, at_s + held_s, at_s + held_s], [0, atm, atm, 0], color=BLUE, lw=0.7)
        axes.plot([at_s], [atm], ls="", zorder=5, **style)
        texts.append((at_s, atm, text, style["markeredgecolor"]))
    for row in result.not_spoken if result else ():
        at_ms, logged = row.logged_on_recording_ms, row.logged_atm
        if at_ms is not None and logged is not None and 0 <= at_ms <= timeline.recording.duration_ms:
            axes.plot([at_ms / 1000], [logged], ls="", marker="x", ms=6, color=PURPLE, zorder=5)
            texts.append((at_ms / 1000, logged, f"{figure(round(logged, 1), 'atm')}, not spoken", PURPLE))
            highest.append(logged)
    axes.set_ylim(0, 1.3 * max([*highest, 1]))
    axes.set_ylabel("Pressure, atm", fontsize=LETTERS)
    axes.grid(axis="y", color=PALE, lw=0.5)
    axes.set_axisbelow(True)
    _write_apart(axes, sorted(texts, key=lambda text: (text[3] == BLUE, *text)))  # what does not fit goes first
    _legend(axes, bool(found), result)


def _held_s(event: Event) -> float:
    held = event.values.get("duration")
    return convert(held.value, held.unit, "s") if held and held.unit in ("s", "min") else 0.0


def _style(row: Compared | None, doubtful: bool) -> dict[str, Any]:
    """How a spoken pressure is marked: a disc where the log agrees, a diamond where it differs, open where alone."""
    colour = VERMILION if doubtful or (row and row.verdict in ("differs", "not-logged")) else BLUE
    marker = {"differs": "D", "not-logged": "v"}.get(row.verdict, "o") if row else "^" if doubtful else "o"
    filled = bool(row and row.verdict in ("agrees", "differs")) or not row
    return {
        "marker": marker,
        "ms": 4.5,
        "markeredgecolor": colour,
        "markerfacecolor": colour if filled else "white",
    }


def _trace(axes: "Axes", log: PressureLog, clock_: LogClock) -> None:
    """The log on the recording's clock: its samples, or where it is a list each inflation as a box."""
    import numpy as np

    drift, offset_s = 1 + (clock_.drift_ppm or 0) * 1e-6, (clock_.offset_ms or 0) / 1000

    def on_recording(at_s: Any) -> Any:
        return (at_s - offset_s) / drift

    if log.samples is None:
        for each in log.inflations:
            first, past = (on_recording(at / 1000) for at in (each.peak_ms, each.down_ms or each.peak_ms))
            axes.plot([first, first, past, past], [0, each.atm, each.atm, 0], color=GREY, lw=0.8)
        return
    at_s, atm = _thinned(log.samples.at_s, log.samples.atm)
    for start, end in log.silences:
        silent = (at_s * 1000 > start) & (at_s * 1000 < end)
        atm = np.where(silent, np.nan, atm)
        place = int(np.searchsorted(at_s * 1000, (start + end) / 2))
        at_s, atm = np.insert(at_s, place, (start + end) / 2000), np.insert(atm, place, np.nan)
    axes.plot(on_recording(at_s), atm, color=GREY, lw=0.7)


def _thinned(at_s: Any, atm: Any) -> tuple[Any, Any]:
    """Samples -> at most ``MOST_POINTS`` of them: the least and greatest of each piece, in order of time."""
    import numpy as np

    if len(at_s) <= MOST_POINTS:
        return at_s, atm
    edges = np.linspace(0, len(at_s), MOST_POINTS // 2 + 1).astype(int)
    extremes = (np.argmin, np.argmax)
    kept = sorted({int(first + pick(atm[first:past])) for first, past in pairwise(edges) for pick in extremes})
    return at_s[kept], atm[kept]


def _write_apart(axes: "Axes", texts: Iterable[tuple[float, float, str, str]]) -> None:
    """Each text above its mark, higher where another stands there already; where there is no place, none."""
    renderer = axes.figure.canvas.get_renderer()  # type: ignore[attr-defined]
    inside = axes.get_window_extent(renderer)
    taken: list[Any] = []
    for at_s, atm, text, colour in texts:
        written = axes.annotate(
            text, (at_s, atm), (0, 5), textcoords="offset points", ha="center", fontsize=SMALL, color=colour,
            bbox={"fc": "white", "ec": "none", "pad": 0.3, "alpha": 0.8}, zorder=6,
        )  # fmt: skip
        beyond = written.get_window_extent(renderer).x1 - inside.x1
        aside = -max(0.0, beyond) * 72 / DPI
        for lift in range(5, 60, 8):
            written.set_position((aside, lift))
            box = written.get_window_extent(renderer).padded(1)
            if not any(box.overlaps(other) for other in taken):
                taken.append(box)
                break
        else:
            written.remove()  # its lane tells it too


def _legend(axes: "Axes", traced: bool, result: CrossCheck | None) -> None:
    marks = [
        mark("o", BLUE, "spoken"),
        mark("^", VERMILION, "spoken, wants a look"),
        line(BLUE, 0.7, "as long as it was said to be held"),
    ]
    if traced and result:
        marks = [
            line(GREY, 0.8, "logged"),
            mark("o", BLUE, "spoken, log agrees"),
            mark("D", VERMILION, "spoken, log differs"),
            mark("v", VERMILION, "spoken, not logged", filled=False),
            mark("x", PURPLE, "logged, not spoken"),
        ]
    axes.legend(
        handles=marks, loc="lower right", bbox_to_anchor=(1, 1.0), ncols=len(marks), fontsize=SMALL, frameon=False,
        handletextpad=0.4, columnspacing=1.4, borderpad=0,
    )  # fmt: skip


# --- lanes


def _lanes(timeline: Timeline) -> list[Lane]:
    """What was recorded, in its lanes, empty ones left out, and the cautions in one of their own."""
    lanes = []
    for name, kinds in LANES:
        labels = [_label(event) for event in timeline.events if event.kind in kinds and event.status in RECORDED]
        if labels:
            lanes.append(Lane(name, labels))
    at_s = {event.id: event.start_ms / 1000 for event in timeline.events}
    marks = [
        Label(at_s[check.events[-1]], at_s[check.events[-1]], str(number), doubtful=check.severity == "review")
        for number, check in timeline.cautions.items()
        if check.events and check.events[-1] in at_s
    ]
    return [*lanes, Lane("Cautions, below", sorted(marks, key=lambda mark: mark.at_s))] if marks else lanes


def _label(event: Event) -> Label:
    figures = ", ".join(text for text, _ in value_texts(event))
    device = (event.device or "").capitalize()
    name = event_name(event)
    if event.status is Status.DONE:
        short = {Kind.INFLATION: "", Kind.STENT: device or "Stent", Kind.EMBOLISE: device or "Embolic"}
        name = short.get(event.kind, name)
        if event.kind in _FIGURES_ONLY and figures:
            name = ""
    doubtful = needs_look(event)
    text = ", ".join(filter(None, (name, figures))) or "Inflation"
    return Label(
        event.start_ms / 1000,
        event.end_ms / 1000,
        text if "?" in text or not doubtful else f"{text}?",
        doubtful=doubtful,
        hollow=event.status is Status.NEGATED,
    )


def _place(lane: Lane, drawn: "Figure", end_s: float) -> None:
    """Every label -> the first row where it does not stand on another; near the right edge it is written leftward."""
    inches_a_s = (WIDTH - LEFT - RIGHT) / end_s
    free_from: list[float] = []
    for label in lane.labels:
        width = inches_of(label.text, drawn, bold=label.doubtful) + 0.16
        at, end = label.at_s * inches_a_s, end_s * inches_a_s
        label.leftward = at + width > end + RIGHT - 0.1 and at - width > -0.05
        first, past = (at - width, at + 0.08) if label.leftward else (at - 0.04, at + width)
        label.row = next((row for row, free in enumerate(free_from) if free <= first), len(free_from))
        free_from[label.row :] = [past, *free_from[label.row + 1 :]]


def _lane(axes: "Axes", lane: Lane, *, last: bool) -> None:
    axes.spines[["top", "right", "left"]].set_visible(False)
    axes.spines["bottom"].set_color(GREY if last else PALE)
    axes.set_yticks([])
    axes.set_ylim(lane.rows, -0.35)
    axes.set_ylabel(lane.name, rotation=0, ha="right", va="center", fontsize=LETTERS)
    axes.tick_params(labelbottom=last, length=2 if last else 0)
    for label in lane.labels:
        colour, middle = VERMILION if label.doubtful else BLUE, label.row + 0.4
        axes.plot([label.at_s, label.end_s], [label.row + 0.85] * 2, color=colour, lw=1, alpha=0.4)
        axes.plot(
            [label.at_s], [middle], ls="", marker="^" if label.doubtful else "|" if not label.hollow else "o",
            ms=4 if label.doubtful or label.hollow else 6, mec=colour, mfc="white" if label.hollow else colour,
        )  # fmt: skip
        axes.annotate(
            label.text, (label.at_s, middle), (-4 if label.leftward else 4, 0), textcoords="offset points",
            ha="right" if label.leftward else "left", va="center", fontsize=SMALL,
            color=colour if label.doubtful else "black", fontweight="bold" if label.doubtful else "normal",
        )  # fmt: skip
    if last:
        span_s = axes.get_xlim()[1]
        axes.xaxis.set_major_locator(every(next((step for step in _TICKS_S if span_s / step <= _MOST_TICKS), 7200)))
        axes.xaxis.set_major_formatter(lambda at_s, _: clock(round(1000 * max(0, at_s))))


# --- words


def _head(drawn: "Figure", timeline: Timeline, height: float) -> None:
    state = "DRAFT" if timeline.state == "draft" else "SIGNED"
    title = f"{state}: {recording_text(timeline.recording)}"
    drawn.text(LEFT / WIDTH, 1 - 0.2 / height, title, fontsize=9, weight="bold")


def _notes(timeline: Timeline, result: CrossCheck | None) -> list[tuple[str, dict[str, Any]]]:
    """Cautions by number, and logs that are not drawn -> lines with their style."""
    found: list[tuple[str, dict[str, Any]]] = []
    for number, check in timeline.cautions.items():
        style = {"color": VERMILION, "weight": "bold"} if check.severity == "review" else {"color": "black"}
        text = f"{number}  {plain(check.message)} {' '.join(check.events)}"
        found += [(line, style) for line in textwrap.wrap(text, NOTE_LETTERS, subsequent_indent="    ")]
    for log in result.logs if result else ():
        if not log.found:
            found.append((f"{plain(log.name)} is not drawn, its clock was not found: {log.why}.", {"color": GREY}))
    return found


def _end_s(timeline: Timeline) -> float:
    last_ms = max((event.end_ms for event in timeline.events), default=0)
    return max(timeline.recording.duration_ms, last_ms, 1000) / 1000
