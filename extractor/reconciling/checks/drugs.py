"""The same drug in the same dose within a short time: two doses, or one told twice."""

from collections.abc import Iterator
from itertools import pairwise

from extractor.model import SIDES, Event, Kind
from extractor.reconciling.catalogue import spoken_words
from extractor.reconciling.checks.case import Case, Finding, Rule, read, said

#: Said with the second one: it is another dose.
_ANOTHER = frozenset("another again more second third repeat repeated further other also same half rest extra".split())
#: How many words before and after it.
_NEAR = 10


def _meant(case: Case, first: Event, second: Event) -> bool:
    """Whether the second is told as another dose: it says so, or is for another side."""
    texts = [
        set(spoken_words(case.words[max(0, event.words[0] - _NEAR) : event.words[1] + after]).split())
        for event, after in ((first, 0), (second, _NEAR))
    ]
    return bool(_ANOTHER & texts[1]) or bool((SIDES & texts[1]) - texts[0])


def _again(case: Case) -> Iterator[Finding]:
    within_ms = case.site.tolerances.drug_again_s * 1000
    by_drug: dict[str, list[Event]] = {}
    for event in case.of(Kind.DRUG):
        if event.drug and "dose" in event.values:
            by_drug.setdefault(event.drug, []).append(event)
    for drug, events in by_drug.items():
        for first, second in pairwise(events):
            again = read(second, "dose", first.values["dose"].unit)
            soon = second.start_ms - first.end_ms <= within_ms
            if soon and again == first.values["dose"].value and not _meant(case, first, second):
                apart_s = max(0, second.start_ms - first.end_ms) // 1000
                yield Finding(
                    f"{drug[0].upper()}{drug[1:]} {said(first.values['dose'])} told as given twice, {apart_s} s apart: "
                    "two doses, or one told twice.",
                    (first, second),
                    ("dose",),
                )


RULES = (Rule("drug-told-twice", "review", "common practice, no source", _again),)
