"""The activated clotting time, by the site's own rule. A recording keeps the time of the case, a dictation does not."""

from collections.abc import Iterator

from extractor.model import Event, Kind
from extractor.reconciling.checks.case import Case, Finding, Rule


def _overdue(case: Case) -> Iterator[Finding]:
    """Longer than the site allows from heparin, or the last time measured, to the next one or the last thing done."""
    due_min = case.site.clotting.due_min
    if due_min is None:
        return
    since: Event | None = None
    heparin = False
    for event in case.done:
        measured = event.kind is Kind.MEASURE and "act" in event.values
        if since and (measured or event is case.done[-1]):
            waited_min = (event.start_ms - since.end_ms) / 60_000
            if waited_min > due_min:
                until = "it was measured again" if measured else "the last thing done, and it was not measured"
                yield Finding(
                    f"{waited_min:.0f} min from {'heparin' if since.drug else 'the last clotting time'} until {until}; "
                    f"by the site's rule it is due after {due_min:g} min.",
                    (since, event),
                    ("act",),
                )
        heparin |= event.kind is Kind.DRUG and event.drug == "heparin"
        if heparin and (measured or (since is None and event.drug == "heparin")):
            since = event


RULES = (Rule("clotting-time-overdue", "review", "the site's own rule", _overdue),)
