"""The checks: a drafted case -> plain cautions with their evidence. Each says what does not fit, never what to do.

A check reads what was done, values carried over included; what was planned, quoted or ruled out it reads only where it
says so. One file a subject; each holds its rules, each rule one code. To add one: a ``Rule`` in a file here, its
file in ``RULES``, and its row in docs/checks.md (the tests compare the two).
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from extractor.model import Check, Event, Word, WordRange
from extractor.reconciling.catalogue import Catalogue
from extractor.reconciling.checks import (
    balloons,
    closures,
    clotting,
    contrast,
    dose,
    drugs,
    figures,
    fit,
    left_in,
    stents,
)
from extractor.reconciling.checks.case import Case, Finding, Rule
from extractor.reconciling.checks.site_rules import SiteRules

RULES: tuple[Rule, ...] = tuple(
    rule
    for subject in (balloons, fit, stents, left_in, closures, contrast, drugs, clotting, dose, figures)
    for rule in subject.RULES
)


def check_case(
    events: Sequence[Event],
    words: Sequence[Word],
    site: SiteRules | None = None,
    catalogue: Catalogue | None = None,
    unplaced: Sequence[WordRange] = (),
) -> tuple[Check, ...]:
    """The events of a case and its words, a site's rules and devices, and the words of the figures no event took up ->
    its cautions, in order of their first event.

    Pure. What the site switched off is not there.
    """
    case = Case(tuple(events), tuple(words), site or SiteRules(), catalogue or Catalogue(), tuple(unplaced))
    place = {event.id: number for number, event in enumerate(events)}
    found = [check for rule in RULES for check in _checked(rule, case)]
    return tuple(sorted(found, key=lambda check: min((place[each] for each in check.events), default=len(place))))


def _checked(rule: Rule, case: Case) -> Iterable[Check]:
    severity = case.site.severity(rule.code, rule.severity)
    if severity is None:
        return
    found: dict[tuple[str, WordRange | None], Finding] = {}
    for finding in rule.find(case):
        # What is said of several events in the same words is said once.
        same = finding.message, finding.words
        events = found[same].events if same in found else ()
        found[same] = replace(finding, events=(*events, *finding.events))
    for finding in found.values():
        yield Check(
            code=rule.code,
            severity=severity,
            message=finding.message + case.doubt(finding),
            events=tuple(dict.fromkeys(event.id for event in finding.events)),
            words=finding.words,
        )
