"""The hole that was closed, beside the sheath that made it."""

from collections.abc import Iterator

from extractor.model import Event, Kind
from extractor.reconciling.checks.case import Case, Finding, Rule, read, said
from extractor.units import convert, figure


def _hole(case: Case) -> Iterator[Finding]:
    """A closure whose gauge fits no sheath of the case: neither its label nor what its outside can be.

    A sheath's outside is one to two French above its label (common practice, no source), or what the catalogue says.
    """
    for closure in case.of(Kind.CLOSURE):
        gauge = read(closure, "gauge", "[Ch]")
        before = [event for event in case.done if event.words[0] < closure.words[0] or event.kind is Kind.REMOVE]
        sheaths = [event for event in before if event.device == "sheath" and event.kind in (Kind.INSERT, Kind.REMOVE)]
        made = [*sheaths, *[event for event in before if event.kind is Kind.REMOVE][-1:]]  # a catheter without a sheath
        unknown = any(event.kind is Kind.INSERT and "gauge" not in event.values for event in sheaths)
        sized = [event for event in sheaths if "gauge" in event.values]
        if gauge is None or not sized or unknown or any(_fits(case, event, gauge) for event in made):
            continue
        widest = max(sized, key=lambda sheath: read(sheath, "gauge", "[Ch]") or 0)
        low, high = _outside(case, widest)
        hole = figure(low, "[Ch]") if low == high else f"{low:g} to {figure(high, '[Ch]')}"
        yield Finding(
            f"Closed as {said(closure.values['gauge'])}; the widest sheath told was "
            f"{said(widest.values['gauge'])}, {hole} outside.",
            (widest, closure),
            ("gauge",),
        )


def _fits(case: Case, sheath: Event, gauge: float) -> bool:
    label = read(sheath, "gauge", "[Ch]")
    if label is None:
        return False
    return label + case.site.tolerances.hole_least_fr <= gauge <= max(label, _outside(case, sheath)[1])


def _outside(case: Case, sheath: Event) -> tuple[float, float]:
    """Least and greatest outside of a sheath, French."""
    label = read(sheath, "gauge", "[Ch]") or 0
    rows = [row for row in case.devices(sheath).rows if row.gauge_fr == label]
    outer = [convert(row.outer_mm, "mm", "[Ch]") for row in rows if row.outer_mm]
    if outer and len(outer) == len(rows):
        return round(min(outer), 1), round(max(outer), 1)
    return label + 1, label + case.site.tolerances.hole_most_fr


RULES = (Rule("closure-fits-no-sheath", "review", "common practice, no source", _hole),)
