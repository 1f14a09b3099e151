"""The paper pictures are drawn on: a sheet's size, colours, letters and marks -> what is drawn, as SVG or PNG.

Letters of 6.5 points and more. Colours are of Okabe and Ito's set that most colour-blind people can tell apart (from
memory). The same drawing gives the same bytes. The only home of matplotlib.
"""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, cast, get_args

from extractor.errors import OutputError

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from matplotlib.lines import Line2D
    from matplotlib.ticker import Locator

Form = Literal["svg", "png"]

BLUE, ORANGE, VERMILION, PURPLE, GREY, PALE = "#0072B2", "#E69F00", "#D55E00", "#CC79A7", "#4d4d4d", "#d9d9d9"
#: Points, dots an inch.
LETTERS, SMALL, DPI = 7.0, 6.5, 200
#: It ships with the library.
_FONT = "DejaVu Sans"
#: A dollar is a dollar; the salt makes the names inside an SVG always the same.
_STYLE: dict[str, Any] = {
    "font.family": _FONT, "font.size": LETTERS, "text.parse_math": False, "svg.hashsalt": "extractor",
}  # fmt: skip


def form_of(path: Path) -> Form:
    """A file's name -> the form its ending asks for. OutputError where it asks for another."""
    form = path.suffix.lower().removeprefix(".")
    if form not in get_args(Form):
        raise OutputError(f"{path}: not a picture that is drawn; name a file that ends in .svg or .png")
    return cast(Form, form)


@contextmanager
def sheet(width: float, height: float) -> Iterator["Figure"]:
    """An empty sheet of so many inches; all of it is drawn, and made into bytes, while it is open."""
    from matplotlib import rc_context
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with rc_context(_STYLE):
        yield FigureCanvasAgg(Figure(figsize=(width, height), dpi=DPI)).figure


def bytes_of(drawn: "Figure", form: Form = "svg") -> bytes:
    """Without the time and the version it was drawn with, so that the same drawing gives the same bytes."""
    out = io.BytesIO()
    metadata: dict[str, Any] = {"Date": None, "Creator": None} if form == "svg" else {"Software": None}
    drawn.savefig(out, format=form, dpi=DPI, metadata=metadata)
    return out.getvalue()


def inches_of(text: str, on: "Figure", *, bold: bool = False) -> float:
    """How wide small letters are on a sheet."""
    from matplotlib.font_manager import FontProperties

    font = FontProperties(family=_FONT, size=SMALL, weight="bold" if bold else "normal")
    width: float = on.canvas.get_renderer().get_text_width_height_descent(text, font, False)[0]  # type: ignore[attr-defined]
    return width / DPI


def mark(marker: str, colour: str, label: str, *, filled: bool = True) -> "Line2D":
    """A mark of a legend."""
    from matplotlib.lines import Line2D

    face = colour if filled else "white"
    return Line2D([], [], ls="", marker=marker, ms=4.5, markeredgecolor=colour, markerfacecolor=face, label=label)


def line(colour: str, points: float, label: str) -> "Line2D":
    """A line of a legend."""
    from matplotlib.lines import Line2D

    return Line2D([], [], color=colour, lw=points, label=label)


def every(step: float) -> "Locator":
    """Ticks of an axis at the multiples of a number."""
    from matplotlib.ticker import MultipleLocator

    return MultipleLocator(step)


def whole_numbers() -> "Locator":
    """Ticks of an axis at whole numbers."""
    from matplotlib.ticker import MaxNLocator

    return MaxNLocator(integer=True)
