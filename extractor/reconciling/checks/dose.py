"""Dose and screening time beside the levels at which a site wants to be told."""

from collections.abc import Iterator

from extractor.model import Event, Kind
from extractor.reconciling.checks.case import Case, Finding, Rule, read, said
from extractor.units import figure

_NAMES = {
    "fluoro_time": ("Screening time", "min"),
    "air_kerma": ("Air kerma", "mGy"),
    "dap": ("Dose area product", "Gy.cm2"),
}


def _reached(case: Case) -> Iterator[tuple[bool, Finding]]:
    """The greatest total of each quantity, where it reaches a level -> (whether it is the high one, what is said)."""
    dose = case.site.dose
    levels = {"fluoro_time": dose.fluoro_time_min, "air_kerma": dose.air_kerma_mgy, "dap": dose.dap_gycm2}
    for key, (name, unit) in _NAMES.items():
        totals: list[tuple[float, Event]] = [
            (total, event) for event in case.of(Kind.TOTAL) if (total := read(event, key, unit)) is not None
        ]
        if not totals:
            continue
        total, event = max(totals, key=lambda pair: pair[0])
        high = total >= levels[key].high
        if total >= levels[key].first:
            level, which = (levels[key].high, "high") if high else (levels[key].first, "first")
            yield (
                high,
                Finding(
                    f"{name} {said(event.values[key])} has reached the {which} notification level, "
                    f"{figure(level, unit)} ({dose.source}).",
                    (event,),
                    (key,),
                ),
            )


def _first(case: Case) -> Iterator[Finding]:
    return (finding for high, finding in _reached(case) if not high)


def _high(case: Case) -> Iterator[Finding]:
    return (finding for high, finding in _reached(case) if high)


_SOURCE = "Stecker 2009, J Vasc Interv Radiol 20:S263, figures from memory; or the site's own"
RULES = (Rule("dose-first-level", "note", _SOURCE, _first), Rule("dose-high-level", "review", _SOURCE, _high))
