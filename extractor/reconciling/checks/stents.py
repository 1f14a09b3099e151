"""Stents deployed, beside the count said aloud at the end. A count is read in the words after the last deployment."""

import re
from collections.abc import Iterator

from extractor.model import Event, Kind
from extractor.reconciling.catalogue import spoken_words
from extractor.reconciling.checks.case import Case, Finding, Rule

_WORDS = "one two three four five six seven eight nine ten eleven twelve".split()
_NUMBERS = {text: number for number, word in enumerate(_WORDS, 1) for text in (word, str(number))}
#: "two stents", "stents two", "stent count is two"; "two more stents" is another thing.
_COUNT = re.compile(
    rf"\b({'|'.join(_NUMBERS)}) (?:stents|implants)\b"
    rf"|\b(?:stents|implants|stent count|implant count)(?: is| are| in)? ({'|'.join(_NUMBERS)})\b(?! by\b)"
)


def _counted(case: Case) -> tuple[int | None, tuple[Event, ...], int]:
    """The count said last after the last stent, the deployments, and how many stents those were."""
    stents = case.of(Kind.STENT)
    if not stents:
        return None, (), 0
    counts = _COUNT.findall(spoken_words(case.words[stents[-1].words[1] :]))
    number = sum(round(stent.values["count"].value) if "count" in stent.values else 1 for stent in stents)
    return (_NUMBERS[counts[-1][0] or counts[-1][1]] if counts else None), stents, number


def _never(case: Case) -> Iterator[Finding]:
    """One stent is its own count; more want one said aloud, where a site asks for it."""
    counted, stents, number = _counted(case)
    if counted is None and number > 1 and case.is_closed:
        yield Finding(f"{number} stents deployed, and no count of them was said after the last one.", stents)


def _otherwise(case: Case) -> Iterator[Finding]:
    counted, stents, number = _counted(case)
    if counted is not None and counted != number:
        yield Finding(f"{counted} stents counted aloud at the end; {number} deployed by this timeline.", stents)


RULES = (
    Rule("stents-not-counted", "off", "common practice, no source", _never),
    Rule("stent-count-differs", "review", "common practice, no source", _otherwise),
)
