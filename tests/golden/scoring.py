"""How near a draft is to what its script says: events matched one to one, then what is wrong and nobody asked to see.

A small scorer for the invented cases, so that a rewritten golden file cannot hide that the draft became worse.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import astuple, dataclass
from typing import Any

from extractor.model import Event, Status, Value
from extractor.units import FACTORS, convert

#: A drafted event may begin this long before its line or after it: people say a thing and name it later.
SLACK_MS = 6000
#: Units as the scripts write them, where UCUM writes them otherwise.
_CODES = {"Fr": "[Ch]", "in": "[in_i]", "U": "[iU]", "mmHg": "mm[Hg]", "psi": "[psi]", "": "{count}"}


@dataclass(frozen=True)
class Expected:
    """One event of a script, with the time of its lines and its values as (number, UCUM code)."""

    kind: str
    status: str
    name: str | None
    start_ms: int
    end_ms: int
    values: Mapping[str, tuple[float, str]]


@dataclass(frozen=True)
class Score:
    """Pairs of expected and drafted events, and what the draft tells that differs."""

    done_precision: float
    done_recall: float
    silent_wrong: tuple[str, ...]  # told by both, and not the same
    silent_extra: tuple[str, ...]  # told by the draft only

    @property
    def done_f1(self) -> float:
        both = self.done_precision + self.done_recall
        return 2 * self.done_precision * self.done_recall / both if both else 0.0


@dataclass(frozen=True)
class Tally:
    """Counts over cases; they add up. ``silent`` values and ``phantoms`` are those that nobody is asked to look at."""

    cases: int = 0
    done_true: int = 0
    done_told: int = 0
    done_both: int = 0
    matched: int = 0
    status_right: int = 0
    values_true: int = 0
    values_right: int = 0
    shown: int = 0
    flagged: int = 0
    silent: int = 0  # values told by both that differ
    phantoms: int = 0  # events told as done that were not

    def __add__(self, other: "Tally") -> "Tally":
        return Tally(*(mine + theirs for mine, theirs in zip(astuple(self), astuple(other), strict=True)))

    @property
    def done_f1(self) -> float:
        return 2 * self.done_both / (self.done_true + self.done_told) if self.done_true + self.done_told else 1.0

    @property
    def value_recall(self) -> float:
        return self.values_right / self.values_true if self.values_true else 1.0

    @property
    def status_accuracy(self) -> float:
        return self.status_right / self.matched if self.matched else 1.0

    @property
    def silent_share(self) -> float:
        return self.silent / self.shown if self.shown else 0.0

    @property
    def burden(self) -> float:
        return self.flagged / self.shown if self.shown else 0.0


def read_script(script: Mapping[str, Any], times_s: Sequence[tuple[float, float]]) -> list[Expected]:
    """A script and the seconds of each of its lines -> its events. Remarks are left out: nobody is to draft them."""
    return [
        Expected(
            kind=event["kind"],
            status=event["status"],
            name=event.get("device") or event.get("drug") or event.get("finding"),
            start_ms=round(times_s[number][0] * 1000),
            end_ms=round(times_s[number + event.get("span", 0)][1] * 1000),
            values={key: _quantity(text) for key, text in event.get("values", {}).items()},
        )
        for number, line in enumerate(script["lines"])
        for event in line.get("events", ())
        if event["kind"] != "remark"
    ]


def score(expected: Sequence[Expected], drafted: Iterable[Event]) -> Score:
    """Expected and drafted events of one case -> Score. A value is wrong if it differs from the script's by more than
    1 %, extra if the script has none, and silent unless it or its event is marked for review.
    """
    told = [event for event in drafted if event.kind != "remark"]
    pairs = match(expected, told)
    right = sum(truth.status == event.status == Status.DONE for truth, event in pairs)
    said = sum(event.status == Status.DONE for event in told)
    true = sum(truth.status == Status.DONE for truth in expected)
    silent = [
        (truth.values.get(key), f"{event.id} {event.kind} {key}: {value.value:g} {value.unit}, {truth.values.get(key)}")
        for truth, event in pairs
        for key, value in event.values.items()
        if not (value.review or event.review or agrees(truth.values.get(key), value))
    ]
    return Score(
        done_precision=right / said if said else 0.0,
        done_recall=right / true if true else 1.0,
        silent_wrong=tuple(line for quantity, line in silent if quantity is not None),
        silent_extra=tuple(line for quantity, line in silent if quantity is None),
    )


def tally(expected: Sequence[Expected], drafted: Iterable[Event]) -> Tally:
    """Expected and drafted events of one case -> its counts."""
    told = [event for event in drafted if event.kind != "remark"]
    pairs = match(expected, told)
    found = {event.id for truth, event in pairs if truth.status == Status.DONE}
    values = [
        (truth.values[key], value, value.review or event.review)
        for truth, event in pairs
        for key, value in event.values.items()
        if key in truth.values
    ]
    done = [event for event in told if event.status == Status.DONE]
    return Tally(
        cases=1,
        done_true=sum(truth.status == Status.DONE for truth in expected),
        done_told=len(done),
        done_both=sum(event.id in found for event in done),
        matched=len(pairs),
        status_right=sum(truth.status == event.status for truth, event in pairs),
        values_true=sum(len(truth.values) for truth in expected),
        values_right=sum(agrees(truth, value) for truth, value, _ in values),
        shown=sum(len(event.values) for event in told),
        flagged=sum(value.review or event.review for event in told for value in event.values.values()),
        silent=sum(not marked and not agrees(truth, value) for truth, value, marked in values),
        phantoms=sum(event.id not in found and not event.review for event in done),
    )


def match(expected: Sequence[Expected], drafted: Sequence[Event]) -> list[tuple[Expected, Event]]:
    """One-to-one pairs of one kind and near in time, the likest first: same status, then values, name and time."""
    likest = sorted(
        (
            (_likeness(truth, event), i, j)
            for i, truth in enumerate(expected)
            for j, event in enumerate(drafted)
            if truth.kind == event.kind and _apart_ms(truth, event) <= SLACK_MS
        ),
        key=lambda pair: (tuple(-part for part in pair[0]), pair[1:]),
    )
    pairs: list[tuple[Expected, Event]] = []
    left_i, left_j = set(range(len(expected))), set(range(len(drafted)))
    for _, i, j in likest:
        if i in left_i and j in left_j:
            pairs.append((expected[i], drafted[j]))
            left_i.remove(i)
            left_j.remove(j)
    return pairs


def _likeness(truth: Expected, event: Event) -> tuple[float, ...]:
    same = sum(agrees(truth.values.get(key), value) for key, value in event.values.items())
    differ = len(truth.values.keys() | event.values.keys()) - same
    name = event.device or event.drug or event.finding
    return (truth.status == event.status, same - differ, truth.name == name, -_apart_ms(truth, event))


def _apart_ms(truth: Expected, event: Event) -> int:
    return max(0, event.start_ms - truth.end_ms, truth.start_ms - event.end_ms)


def agrees(truth: tuple[float, str] | None, value: Value) -> bool:
    """Whether a drafted value is the script's, within 1 %."""
    if truth is None or FACTORS[truth[1]][0] != FACTORS[value.unit][0]:
        return False
    number = convert(value.value, value.unit, truth[1])
    return abs(number - truth[0]) <= 0.01 * abs(truth[0])


def _quantity(text: object) -> tuple[float, str]:
    number, _, unit = str(text).partition(" ")
    if unit == "Gy":
        return float(number) * 1000, "mGy"
    return float(number), _CODES.get(unit, unit)
