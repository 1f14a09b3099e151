"""A case written by hand, one event a line -> what the checks say of it. No reading, no sound.

    12:30 inflation done balloon | diameter 6 mm, pressure 14 atm? :: up to fourteen please

The time first, ``?`` marks a value or an event for review, and after ``::`` stand the words it was told with.
"""

import re
from collections.abc import Sequence

from extractor.model import Check, Event, Kind, Value, Word
from extractor.reconciling.catalogue import Catalogue
from extractor.reconciling.checks import check_case
from extractor.reconciling.checks.site_rules import SiteRules

_LINE = re.compile(
    r"(?:(\d+):(\d\d) )?(\w+) (\w+)(?: ([^|:?]+?))?(\?)?\s*(?:\| (.*?))?\s*(?::: (.*))?"  # time, kind, status, thing
)
SECONDS_APART = 10


def case_of(text: str) -> tuple[tuple[Event, ...], tuple[Word, ...]]:
    """Lines -> events and the words they were told with; a line that begins with ``::`` is talk of no event."""
    events: list[Event] = []
    words: list[Word] = []
    at_ms = 0
    for line in filter(None, map(str.strip, text.splitlines())):
        first = len(words)
        match = _LINE.fullmatch(line)
        if line.startswith("::"):
            words += _spoken(line.removeprefix("::"), at_ms)
            continue
        assert match, line
        minutes, seconds, kind, status, thing, doubted, values, said = match.groups()
        at_ms = (int(minutes) * 60 + int(seconds)) * 1000 if minutes else at_ms + SECONDS_APART * 1000
        words += _spoken(said or "so", at_ms)
        events.append(
            Event(
                id=f"e{len(events) + 1:04d}",
                kind=Kind(kind),
                status=status,
                start_ms=at_ms,
                end_ms=at_ms + 1000,
                drug=thing if kind == "drug" else None,
                finding=thing if kind == "finding" else None,
                device=None if kind in ("drug", "finding") else thing,
                values=_values(values or "", (first, len(words))),
                confidence=0.9,
                review=bool(doubted),
                words=(first, len(words)),
                rule="by-hand",
            )
        )
    return tuple(events), tuple(words)


def checked(text: str, site: SiteRules | None = None, catalogue: Catalogue | None = None) -> tuple[Check, ...]:
    """Lines -> what the checks say."""
    return check_case(*case_of(text), site, catalogue)


def codes(checks: Sequence[Check]) -> list[str]:
    return [check.code for check in checks]


def _spoken(text: str, at_ms: int) -> list[Word]:
    return [Word(text=word, start_ms=at_ms, end_ms=at_ms + 100) for word in text.split()]


def _values(text: str, words: tuple[int, int]) -> dict[str, Value]:
    found = {}
    for each in filter(None, text.split(", ")):
        key, number, unit = each.split()
        found[key] = Value(
            value=float(number), unit=unit.rstrip("?"), confidence=0.9, review=unit.endswith("?"), words=words
        )
    return found
