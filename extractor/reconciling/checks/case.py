"""What every check works with: the case as it was drafted, what the site says, and the wording of a caution."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from extractor.model import Event, Kind, Status, Value, Word, WordRange
from extractor.reconciling.catalogue import Catalogue, Found, spoken_words
from extractor.reconciling.checks.site_rules import SiteRules, Switch
from extractor.units import convert, figure


@dataclass(frozen=True)
class Finding:
    """One thing that does not fit: its sentence, the events it rests on, the keys of the values it read of them, and
    the words it is about.
    """

    message: str
    events: tuple[Event, ...] = ()
    keys: tuple[str, ...] = ()
    words: WordRange | None = None


@dataclass(frozen=True)
class Rule:
    """One check: its code, how much it asks for if the site says nothing, where it is from, and how it is found."""

    code: str
    severity: Switch
    source: str
    find: Callable[["Case"], Iterator[Finding]]


@dataclass(frozen=True)
class Case:
    """The events of a case in order, its words, the site's rules and devices; and the figures no event took up."""

    events: tuple[Event, ...]
    words: tuple[Word, ...]
    site: SiteRules
    catalogue: Catalogue
    unplaced: tuple[WordRange, ...] = ()

    @cached_property
    def done(self) -> tuple[Event, ...]:
        return tuple(event for event in self.events if event.status is Status.DONE)

    def of(self, *kinds: Kind) -> tuple[Event, ...]:
        """What was done, of these kinds."""
        return tuple(event for event in self.done if event.kind in kinds)

    @cached_property
    def is_closed(self) -> bool:
        """Whether the case was told to its end: the access closed, or totals read out."""
        return bool(self.of(Kind.CLOSURE, Kind.TOTAL))

    @cached_property
    def _told_in(self) -> dict[tuple[Kind, int], set[WordRange]]:
        """A kind of event and a word -> the word ranges of such events that hold the word."""
        found: dict[tuple[Kind, int], set[WordRange]] = {}
        for event in self.events:
            for word in range(*event.words):
                found.setdefault((event.kind, word), set()).add(event.words)
        return found

    def told_with(self, event: Event) -> str:
        """The words an event was told with, and those of the request its sizes came from."""
        ranges = {event.words}
        for value in event.values.values():
            first, past = value.words
            ranges |= {each for each in self._told_in.get((event.kind, first), ()) if past <= each[1]}
        return " ".join(spoken_words(self.words[first:past]) for first, past in sorted(ranges))

    @cached_property
    def _devices(self) -> dict[str, Found]:
        return {}

    def devices(self, event: Event) -> Found:
        """The rows of the catalogue that may be an event's device, whatever its size."""
        if not self.catalogue.rows:
            return Found(rows=(), named=False)
        if event.id not in self._devices:
            self._devices[event.id] = self.catalogue.devices(event, self.told_with(event))
        return self._devices[event.id]

    def doubt(self, finding: Finding) -> str:
        """A sentence where a finding rests on what is itself marked for review; else nothing."""
        doubted = [
            figure(event.values[key].value, event.values[key].unit)
            for event in finding.events
            for key in finding.keys
            if key in event.values and event.values[key].review
        ]
        doubted += [event.id for event in finding.events if event.review]
        return f" Rests on what is marked for review: {', '.join(dict.fromkeys(doubted))}." if doubted else ""


def said(value: Value) -> str:
    """A value as it was said, with its unit: ``14 atm``."""
    return figure(value.value, value.unit)


def read(event: Event, key: str, unit: str) -> float | None:
    """A value of an event in a unit; None where it was not said, or in a unit of another kind (a dose told in mL)."""
    value = event.values.get(key)
    if value is None:
        return None
    try:
        return convert(value.value, value.unit, unit)
    except ValueError:
        return None
