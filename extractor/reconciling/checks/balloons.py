"""Balloons and stents under pressure: no balloon named, above the rated pressure, how wide by the chart."""

from collections.abc import Iterator

from extractor.model import Event, Kind, Status
from extractor.reconciling.catalogue import Found, Row, of_size
from extractor.reconciling.checks.case import Case, Finding, Rule, read, said
from extractor.units import figure

_OPENED = (Kind.INFLATION, Kind.STENT)


def _no_balloon(case: Case) -> Iterator[Finding]:
    """A pressure, and up to then no balloon and no stent with a size: asked for, used, or here."""
    known = False
    for event in case.events:
        if event.kind in _OPENED and event.status in (Status.DONE, Status.PLANNED):
            known |= bool({"diameter", "length"} & event.values.keys())
            if (
                not known
                and event.kind is Kind.INFLATION
                and event.status is Status.DONE
                and "pressure" in event.values
            ):
                pressure = said(event.values["pressure"])
                yield Finding(f"Inflated to {pressure}, and no balloon with a size was named before.", (event,))


def _sized(case: Case) -> Iterator[tuple[Event, Found]]:
    """What was opened with a pressure, and the rows of the catalogue that have its size."""
    for event in case.of(*_OPENED):
        diameter = read(event, "diameter", "mm")
        if "pressure" in event.values and diameter is not None and read(event, "pressure", "atm") is not None:
            found = of_size(case.devices(event), diameter, read(event, "length", "mm"))
            if found.rows:
                yield event, found


def _above_rated(case: Case) -> Iterator[Finding]:
    """Above the rated pressure of every row it can be."""
    for event, found in _sized(case):
        pressure = event.values["pressure"]
        if all(row.exceeded_by(pressure.value, pressure.unit) for row in found.rows):
            row = max(found.rows, key=lambda row: row.rated or 0)
            rated = figure(row.rated or 0, row.pressure_unit)
            yield Finding(
                f"{said(pressure)} is above the rated {rated} of {found.text()}.",
                (event,),
                ("pressure", "diameter"),
            )


def _charts(case: Case) -> Iterator[tuple[Event, Found, Row]]:
    """What was opened, and its chart where it can be one only."""
    for event, found in _sized(case):
        if len({row.chart for row in found.rows}) == 1 and found.rows[0].chart:
            yield event, found, found.rows[0]


def _by_chart(case: Case) -> Iterator[Finding]:
    """How wide the chart says it was."""
    for event, found, row in _charts(case):
        pressure = event.values["pressure"]
        wide = row.diameter_at(pressure.value, pressure.unit)
        if wide is not None:
            yield Finding(
                f"By the chart of {found.text()} it is {wide:.2f} mm at {said(pressure)}.",
                (event,),
                ("pressure", "diameter"),
            )


def _outside_chart(case: Case) -> Iterator[Finding]:
    for event, found, row in _charts(case):
        pressure = event.values["pressure"]
        if row.diameter_at(pressure.value, pressure.unit) is None:
            ends = f"{row.chart[0][0]:g} to {figure(row.chart[-1][0], row.pressure_unit)}"
            yield Finding(
                f"{said(pressure)} is outside the chart of {found.text()}, {ends}: no diameter can be told.",
                (event,),
                ("pressure", "diameter"),
            )


RULES = (
    Rule("no-balloon-named", "review", "common practice, no source", _no_balloon),
    Rule("above-rated-pressure", "review", "the site's catalogue", _above_rated),
    Rule("diameter-by-chart", "note", "the site's catalogue", _by_chart),
    Rule("outside-chart", "note", "the site's catalogue", _outside_chart),
)
