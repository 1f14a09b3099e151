"""A site's own devices: what sizes are made, what pressure they bear, how wide they are at it, what they go over and
through. Numbers in, numbers out; nothing is read from disk here.

A row is one label size of one device. The chart of a balloon or stent is read between its points in straight lines
and never beyond its ends.
"""

from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise
from typing import Annotated

from pydantic import Field, model_validator

from extractor.model import Event, Frozen, Kind, Word
from extractor.units import convert

Positive = Annotated[float, Field(gt=0, lt=1e6, allow_inf_nan=False)]

#: What an event's device is called in a catalogue, where the event names none.
_KINDS = {Kind.INFLATION: "balloon", Kind.STENT: "stent"}
#: Two sizes are the same within this, mm: labels have at most two decimals.
_SAME_MM = 0.005
#: How much two units of pressure may differ by having been taken for each other: a bar is 1.3 % less than an atmosphere
#: (NIST SP 811, appendix B.8).
_BAR_SHARE = 0.01325


class Row(Frozen):
    """One label size of one device. Diameters and lengths in mm, wires in inches, gauges in French, pressures in
    ``pressure_unit``.

    ``spoken``: how people ask for it, in small letters; ``wire_in``: the thickest wire it runs on; ``sheath_fr``: the
    smallest sheath it goes through; ``gauge_fr``: the label of a sheath or catheter; ``outer_mm``: its outside;
    ``chart``: (pressure, diameter), rising.
    """

    name: Annotated[str, Field(min_length=1)]
    kind: Annotated[str, Field(min_length=1)]
    spoken: tuple[str, ...] = ()
    diameter_mm: Positive | None = None
    lengths_mm: tuple[Positive, ...] = ()
    pressure_unit: str = "atm"
    nominal: Positive | None = None
    rated: Positive | None = None
    chart: tuple[tuple[Positive, Positive], ...] = ()
    wire_in: Positive | None = None
    sheath_fr: Positive | None = None
    gauge_fr: Positive | None = None
    outer_mm: Positive | None = None

    @model_validator(mode="after")
    def _can_be(self) -> "Row":
        if self.nominal and self.rated and self.nominal > self.rated:
            raise ValueError(f"nominal pressure {self.nominal:g} is above the rated {self.rated:g}")
        for (pressure, diameter), (next_pressure, next_diameter) in pairwise(self.chart):
            if next_pressure <= pressure:
                raise ValueError(f"the chart's pressures must rise: {next_pressure:g} stands after {pressure:g}")
            if next_diameter < diameter:
                raise ValueError(
                    f"the chart's diameters must not fall: {next_diameter:g} mm at {next_pressure:g} stands after "
                    f"{diameter:g} mm at {pressure:g}"
                )
        if len(self.chart) == 1:
            raise ValueError("a chart of one point tells nothing; give two or more, or none")
        return self

    @property
    def size(self) -> str:
        """``7 mm`` or ``6 Fr``: what tells this row from the others of its device."""
        return f"{self.diameter_mm:g} mm" if self.diameter_mm else f"{self.gauge_fr:g} Fr" if self.gauge_fr else ""

    def diameter_at(self, pressure: float, unit: str) -> float | None:
        """A pressure -> the chart's diameter, mm, in a straight line between its two nearest points; None outside it.

        The ends are met within what a bar and an atmosphere differ by, where the units do.
        """
        if not self.chart:
            return None
        asked = convert(pressure, unit, self.pressure_unit)
        (low, narrowest), (high, widest) = self.chart[0], self.chart[-1]
        if low > asked >= low * (1 - self._slack(unit)):
            return narrowest
        if high < asked <= high * (1 + self._slack(unit)):
            return widest
        if not low <= asked <= high:
            return None
        place = max(1, bisect_left(self.chart, asked, key=lambda point: point[0]))
        (p0, d0), (p1, d1) = self.chart[place - 1], self.chart[place]
        return d0 + (d1 - d0) * (asked - p0) / (p1 - p0)

    def exceeded_by(self, pressure: float, unit: str) -> bool:
        """Whether a pressure is above the rated one, beyond what mixing up bar and atmospheres would make."""
        return self.rated is not None and convert(pressure, unit, self.pressure_unit) > self.rated * (
            1 + self._slack(unit)
        )

    def _slack(self, unit: str) -> float:
        return 0.0 if unit == self.pressure_unit else _BAR_SHARE


class Found(Frozen):
    """The rows that may be an event's device. ``named``: its name was said, it was not only told by kind and size."""

    rows: tuple[Row, ...]
    named: bool

    def text(self) -> str:
        """The device as a person reads it: its name and size where it is one, and how it was found."""
        names = tuple(dict.fromkeys(f"{row.name} {row.size}".rstrip() for row in self.rows))
        how = "" if self.named else " (taken by kind and size)"
        return f"{names[0]}{how}" if len(names) == 1 else f"each of the {len(names)} it can be by kind and size"


class Catalogue(Frozen):
    """All rows of a site."""

    rows: tuple[Row, ...] = ()

    @model_validator(mode="after")
    def _once(self) -> "Catalogue":
        seen = set()
        for row in self.rows:
            key = (row.name, row.diameter_mm, row.gauge_fr)
            if key in seen:
                raise ValueError(f"{row.name} {row.size}".rstrip() + " stands in it twice")
            seen.add(key)
        return self

    def devices(self, event: Event, said: str) -> Found:
        """An event and the words it was told with -> the rows of its kind, narrowed to the devices named in them."""
        kind = event.device or _KINDS.get(event.kind)
        rows = tuple(row for row in self.rows if row.kind == kind)
        padded = f" {said} "
        longest = max((len(form) for row in rows for form in row.spoken if f" {form} " in padded), default=0)
        named = tuple(row for row in rows if any(len(form) == longest and f" {form} " in padded for form in row.spoken))
        return Found(rows=named or rows, named=bool(named))


def of_size(found: Found, diameter_mm: float | None, length_mm: float | None) -> Found:
    """The rows made in a size. What nobody said, and what a row does not list, rules nothing out."""
    return Found(
        rows=tuple(
            row
            for row in found.rows
            if (diameter_mm is None or row.diameter_mm is None or abs(row.diameter_mm - diameter_mm) <= _SAME_MM)
            and (
                length_mm is None
                or not row.lengths_mm
                or any(abs(each - length_mm) <= _SAME_MM for each in row.lengths_mm)
            )
        ),
        named=found.named,
    )


def spoken_words(words: Sequence[Word]) -> str:
    """Words -> as a catalogue's ``spoken`` is compared with them."""
    return spoken_text(" ".join(word.text for word in words))


def spoken_text(text: str) -> str:
    """Text -> small letters without signs, one space between: ``Self-expanding,`` is ``self expanding``."""
    return " ".join("".join(letter if letter.isalnum() else " " for letter in text.lower()).split())
