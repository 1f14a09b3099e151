"""What was said in figures and is told by no event."""

from collections.abc import Iterator

from extractor.reconciling.checks.case import Case, Finding, Rule
from extractor.reconciling.rivalled import placed_words

#: So many words before a figure, and behind it, are told with it.
_BEFORE, _BEHIND = 6, 4


def _without_place(case: Case) -> Iterator[Finding]:
    """Those that belong by all that stands around them, until a value rests on them or a person adds an event there."""
    taken = _taken(case)
    for first, past in case.unplaced:
        if taken.isdisjoint(range(first, past)):
            figure = _text(case, first, past).rstrip(".,;:!?…")
            around = _text(case, max(0, first - _BEFORE), past + _BEHIND)
            yield Finding(f"“{figure}” was said and stands in no event: “… {around} …”", words=(first, past))


def _taken(case: Case) -> set[int]:
    return placed_words(case.events) | {
        word for event in case.events if event.rule == "by-hand" for word in range(*event.words)
    }


def _text(case: Case, first: int, past: int) -> str:
    return " ".join(word.text for word in case.words[first:past])


RULES = (Rule("figure-without-place", "review", "measured, docs/validation.md", _without_place),)
