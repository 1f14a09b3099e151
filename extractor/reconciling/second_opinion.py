"""What becomes of the second reader's opinions: what it alone reads is told too, what it does not believe is doubted.

Both are marked for a look, but for what it tells of its own and is surest of (``read-alone``). It takes away nothing
that the rules read, and changes three things: what they take for planned and it is sure was done is told as done; of
two figures for one place it tells the one it holds with, both shown and marked; and what nobody said went in, or a size
with a question mark, is no longer marked where it is sure of what was done. Each border below was chosen on scenes and
cases the network was not fitted to (tests/speakers/scenes/aside, docs/validation.md).
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import prod

from extractor.lexicon import Limits
from extractor.model import Item, Kind, Quantity, Sentence, Status, WordRange
from extractor.reconciling.rivalled import placed_words
from extractor.reconciling.second_reader import AGAIN, Opinion, Reading, happening
from extractor.reconciling.story import KEPT_SIZES, NOT_DONE, Draft
from extractor.units import VALUE_UNITS

#: Something told as done is doubted where the second reader holds it less likely than this.
_UNLIKELY_EVENT = 0.035
#: What nobody said went in did from this on: two that read apart agree (113 of 116 in cases it was not fitted to).
_SURELY_IN = 0.95
#: The size of a thing was asked for, not about, from this on.
_SURELY_ANSWERED = 0.97
#: What it alone tells is right as often as what the rules tell, and is not marked, from these on: of 373 such events
#: 359 had happened (of the rules' own, unmarked, 95 in 100), and 195 of 206 values of theirs were right.
_SURE_EVENT, _SURE_VALUE = 0.98, 0.93
#: What no rule reads and the second reader takes for done is told from this on.
_LIKELY_EVENT = 0.85
#: A figure without a place is told from this on, its status being as likely as the second.
_LIKELY_VALUE, _LIKELY_STATUS = 0.87, 0.7
#: Where a rule took the figure and made no value of it, it had a reason more often than not: a step, a slip put right.
_LIKELY_IF_TAKEN = 0.95
#: Another of its kind is told beside one that has such a value already from this on; a thing is called by its name.
_LIKELY_ANOTHER, _LIKELY_CALLED = 0.98, 0.5
#: A figure that the rules placed is told elsewhere too from this on.
_LIKELY_ELSEWHERE = 0.94
#: A figure without a place is a rival of the one its event has there from this on, being likelier by so much; that one
#: is not held with below it. Of 337 cases and scenes kept aside: 29 of 42 such were right, and 6 of 18 of the likelier.
_LIKELY_RIVAL, _LIKELIER = 0.5, 0.05
#: What the rules take for planned is told as done from this on, being planned less likely than the second.
_LIKELY_DONE, _UNLIKELY_PLANNED = 0.85, 0.3
#: From this on it is right as often as a rule (35 of 37 in what is kept aside), and is not marked.
_SURELY_DONE = 0.93
#: A figure belongs to an event of its sentence or the one beside it; nothing new of a kind happens so near the same.
_BESIDE, _REACH = 1, 2
#: What may be told of an event long after it, and makes no event alone.
_TOLD_LATER = {"duration", "count"}
#: What a thing keeps from being asked for to being used, and how many sentences later at most.
_KEPT, _REMEMBERED = KEPT_SIZES | {"dose"}, 20
#: An event told over more sentences is looked for by its last so many.
_LONGEST = 20
#: What is done with a thing that has been told of: it has the sizes told then. A measure is taken anew.
_OF_A_THING = {Kind.INSERT, Kind.REMOVE, Kind.INFLATION, Kind.STENT, Kind.EMBOLISE, Kind.CLOSURE, Kind.DRUG}
_NAMED_BY = {Kind.DRUG: "drug", Kind.FINDING: "finding", Kind.INSERT: "device", Kind.REMOVE: "device"}
_RULE = "second reader"


def take_second_opinion(
    drafts: Sequence[Draft], sentences: Sequence[Sentence], opinion: Opinion, limits: Limits
) -> list[Draft]:
    """Events of a case, its sentences and what the second reader says of them -> the events, doubts marked in place,
    with those that it alone reads, in order.
    """
    case = _Case(drafts, sentences, opinion, limits)
    case.doubt_events()
    case.place_figures()
    case.move_figures()
    case.add_events()
    return sorted(case.drafts, key=lambda draft: draft.words)


class _Case:
    def __init__(
        self, drafts: Sequence[Draft], sentences: Sequence[Sentence], opinion: Opinion, limits: Limits
    ) -> None:
        self._sentences, self._opinion, self._limits = sentences, opinion, limits
        self._starts = [sentence.words[0] for sentence in sentences]
        self.drafts: list[Draft] = []
        self._by_sentence: dict[tuple[Kind, int], list[Draft]] = defaultdict(list)  # of the first that tells it
        for draft in drafts:
            self._keep(draft)

    def _keep(self, draft: Draft) -> None:
        self.drafts.append(draft)
        self._by_sentence[draft.kind, self._sentences_of(draft)[0]].append(draft)

    def _near(self, kind: Kind, number: int, before: int, behind: int) -> Iterator[Draft]:
        """The events of a kind that are told at most so many sentences before or behind one, or span it."""
        for first in range(number - before - _LONGEST, number + behind + 1):
            for draft in self._by_sentence.get((kind, first), ()):
                if self._sentences_of(draft)[1] >= number - before:
                    yield draft

    def doubt_events(self) -> None:
        """Marks what is told as done where the second reader thinks that nothing such is; what it is sure of too is no
        longer marked for having been named only.
        """
        for draft in self.drafts:
            label = self._opinion.labels.get((_name(draft), draft.status))
            if draft.status is Status.DONE and label is not None:
                first, last = self._sentences_of(draft)
                around = self._opinion.events[max(0, first - _BESIDE) : last + _BESIDE + 1]
                if 1 - prod(1 - likely[label] for likely in around) < _UNLIKELY_EVENT:
                    draft.flags.add("read-otherwise")
                surest = self._surest(draft, draft.status)
                if surest >= _SURELY_IN:
                    draft.flags.discard("not-said-in")
                if surest >= _SURELY_ANSWERED:
                    _answer(draft)
            elif draft.status is Status.PLANNED:
                self._turn(draft)

    def _surest(self, draft: Draft, status: Status) -> float:
        """How likely one of its sentences tells an event of this status."""
        label = self._opinion.labels.get((_name(draft), status))
        first, last = self._sentences_of(draft)
        return max(likely[label] for likely in self._opinion.events[first : last + 1]) if label is not None else 0.0

    def _turn(self, draft: Draft) -> None:
        """Tells as done what the rules take for planned and the second reader does not."""
        name, (first, _) = _name(draft), self._sentences_of(draft)
        surest = self._surest(draft, Status.DONE)
        if surest < _LIKELY_DONE or self._surest(draft, draft.status) >= _UNLIKELY_PLANNED:
            return
        if not self._sentences[first].question and not any(
            other.status is Status.DONE and _name(other) == name
            for other in self._near(draft.kind, first, _REACH, _REACH)
        ):
            draft.flags.add("second-reading" if surest < _SURELY_DONE else "read-as-done")
            draft.status = Status.DONE

    def place_figures(self) -> None:
        """Tells figures that found no place, where the second reader knows one."""
        for number, item, figure in list(self._loose()):
            said = self._opinion.figures.get(figure.words)
            if said is None or not said.place or said.status_likely < _LIKELY_STATUS:
                continue
            if said.status is Status.DONE and (self._sentences[number].question or item.status in NOT_DONE):
                continue
            value = self._as_new(number, said, figure)
            is_likely = said.likely >= (_LIKELY_IF_TAKEN if item.used else _LIKELY_VALUE)
            if value is None or (is_likely and self._give(number, item, said, value)):
                continue
            if said.likely >= _LIKELY_RIVAL:
                self._rival(number, said, value)

    def move_figures(self) -> None:
        """Tells figures that the rules placed also where the second reader is sure they belong; both are marked."""
        for draft in list(self.drafts):
            for key, value in list(draft.values.items()):
                said = self._opinion.figures.get(value.words) if "carried-over" not in value.flags else None
                if said is None or said.likely < _LIKELY_ELSEWHERE or said.status_likely < _LIKELY_STATUS:
                    continue
                if not said.place or said.place == f"{draft.kind} {key}":
                    continue
                number = self._sentence(value.words[0])
                moved = self._as_new(number, said, value) if value.unit is not None else None
                if moved is not None and self._give(number, None, said, moved):
                    draft.values[key] = value.flagged("read-otherwise")

    def add_events(self) -> None:
        """Tells what no rule reads and the second reader takes for done."""
        done = [(name, label) for (name, status), label in self._opinion.labels.items() if status is Status.DONE]
        put_right = self._put_right()
        for number, likely in enumerate(self._opinion.events):
            for name, label in done:
                if (
                    likely[label] >= _LIKELY_EVENT
                    and (name, number) not in put_right
                    and not self._sentences[number].question
                    and not self._is_told(number, name)
                ):
                    kind = Kind(name.split()[0])
                    named = self._named(number, kind)
                    if kind not in _NAMED_BY or (named and (kind is Kind.DRUG or happening(kind, named) == name)):
                        self._add(number, kind, Status.DONE, self._sentences[number].words, named)

    def _put_right(self) -> set[tuple[str, int]]:
        """What is put right, and in which sentences: "the first inflation was to nine, not ten" is no second one."""
        return {
            (_name(draft), self._sentence(value.words[0]))
            for draft in self.drafts
            for value in draft.values.values()
            if value.words[0] >= draft.words[1] and "carried-over" not in value.flags
        }

    def _sentences_of(self, draft: Draft) -> tuple[int, int]:
        """The numbers of the first and last sentence an event is told in."""
        first, past = draft.words
        return self._sentence(first), self._sentence(max(first, past - 1))

    def _sentence(self, word: int) -> int:
        return max(0, bisect_right(self._starts, word) - 1)

    def _apart(self, draft: Draft, number: int) -> int:
        """How many sentences an event is from one; none where it spans it."""
        first, last = self._sentences_of(draft)
        return max(0, first - number, number - last)

    def _loose(self) -> Iterator[tuple[int, Item, Quantity]]:
        placed = placed_words(self.drafts)
        for number, sentence in enumerate(self._sentences):
            for item in sentence.items:
                for figure in item.figures.values() if item.kind != "denied" else ():
                    if placed.isdisjoint(range(*figure.words)):
                        yield number, item, figure

    def _as_new(self, number: int, said: Reading, figure: Quantity) -> Quantity | None:
        """A figure of a sentence as the value that the second reader takes it for. None where it cannot be, or where an
        event nearby has this very value.
        """
        kind, key = said.place.split()
        value = _as_value(Kind(kind), key, figure)
        if value is None or any(
            key in draft.values and draft.values[key].value == value.value
            for draft in self._near(Kind(kind), number, AGAIN, AGAIN)
        ):
            return None
        return value

    def _give(self, number: int, item: Item | None, said: Reading, value: Quantity) -> bool:
        """A value of a sentence, and of an item of it, to its event: one right beside it that has none such, else a new
        one. False where there is none.
        """
        of, key = said.place.split()
        kind = Kind(of)
        named = self._named(number, kind, item) or self._called(number, kind, said.status)
        if self._limits.forbid(kind, key, named or None, value.value, value.unit or VALUE_UNITS[key][0]):
            return False
        near = [
            draft
            for draft in self._near(kind, number, _REACH, _REACH)
            if draft.status is said.status and _is_of(draft, named)
        ]
        reach = _REACH if key in _TOLD_LATER else _BESIDE
        wanting = [draft for draft in near if key not in draft.values and self._apart(draft, number) <= reach]
        is_new = not near or (not wanting and said.likely >= _LIKELY_ANOTHER)
        if is_new and key not in _TOLD_LATER and (kind not in _NAMED_BY or named):
            wanting = [self._add(number, kind, said.status, value.words, named, poured=key == "volume")]
        for draft in wanting[-1:]:
            is_sure = "read-alone" in draft.flags and said.likely >= _SURE_VALUE
            draft.values[key] = value.flagged("read-alone" if is_sure else "second-reading")
        return bool(wanting)

    def _rival(self, number: int, said: Reading, value: Quantity) -> None:
        """A figure that found no place, where its event has another. Where the second reader does not hold with the
        one that is there, this one is told and the other shown beside it; where with both, that one is marked.
        """
        kind, key = said.place.split()
        for draft in [*self._near(Kind(kind), number, _REACH, _BESIDE)][::-1]:
            taken = draft.values.get(key)
            if draft.status is not said.status or taken is None or taken.unit != value.unit:
                continue
            own = self._opinion.figures.get(taken.words)
            likely = own.likely if own is not None and own.place == said.place else 0.0
            if abs(number - self._sentence(taken.words[0])) <= _REACH and said.likely >= likely + _LIKELIER:
                self._doubt(taken, value, is_told=likely < _LIKELY_RIVAL)
            return

    def _doubt(self, taken: Quantity, rival: Quantity, is_told: bool) -> None:
        """Marks a value that has a rival, wherever it is carried to, both shown; the rival is told if ``is_told``."""
        for draft in self.drafts:
            for key, known in draft.values.items():
                if known.words != taken.words or known.unit != taken.unit:
                    continue
                times = known.value / taken.value if taken.value else 1  # "two of them": twice the length
                other = rival.value * times
                if not is_told:
                    shown = (*known.alternatives, other)
                    draft.values[key] = known.flagged("conflict", alternatives=shown)
                    continue
                shown = (known.value, *(each for each in known.alternatives if each != other))
                carried = {"carried-over"}.intersection(known.flags)
                draft.values[key] = rival.flagged("conflict", *carried, value=other, alternatives=shown)

    def _called(self, number: int, kind: Kind, status: Status) -> str:
        """What the second reader takes an unnamed thing for that goes in or out, or is found; empty if for none."""
        likely = self._opinion.events[number]
        if kind not in _NAMED_BY or kind is Kind.DRUG:
            return ""
        found = [
            (likely[label], name.partition(" ")[2])
            for (name, of), label in self._opinion.labels.items()
            if of is status and name.startswith(f"{kind} ")
        ]
        sure, name = max(found, default=(0.0, ""))
        return name if sure >= _LIKELY_CALLED and name != "other" else ""

    def _named(self, number: int, kind: Kind, near: Item | None = None) -> str:
        """What a new event is of: the thing that has the figure, or is named in its sentence or the one before."""
        wanted = _NAMED_BY.get(kind)
        things = [item for at in (number - 1, number) if at >= 0 for item in self._sentences[at].items]
        told = [item for item in (*things, *([near] if near else [])) if item.status is not Status.NEGATED]
        return next((item.name for item in reversed(told) if item.kind == wanted and item.name), "")

    def _add(
        self, number: int, kind: Kind, status: Status, words: WordRange, named: str, poured: bool = False
    ) -> Draft:
        draft = Draft(kind, status, words, _RULE, self._sentences[number].breath, number)
        if named:
            setattr(draft, _NAMED_BY[kind], named)
        is_sure = status is Status.DONE and self._surest(draft, status) >= _SURE_EVENT
        draft.flags.add("read-alone" if is_sure else "second-reading")
        if status is Status.DONE and kind in _OF_A_THING and not poured:  # what is poured has no size
            draft.values.update(self._known_of(number, kind, named))
        self._keep(draft)
        return draft

    def _known_of(self, number: int, kind: Kind, named: str) -> dict[str, Quantity]:
        """What was told of a thing that is done something with: when it was asked for, or went in and now comes out."""
        kind = Kind.INSERT if kind is Kind.REMOVE else kind
        before = [
            draft
            for draft in self._near(kind, number, _REMEMBERED, 0)
            if draft.status in {Status.DONE, Status.PLANNED} and _is_of(draft, named) and draft.values.keys() & _KEPT
        ]
        last = max(before, key=lambda draft: draft.words, default=None)
        return {
            key: value.flagged("second-reading", *{"carried-over"}.difference(value.flags))
            for key, value in (last.values.items() if last else ())
            if key in _KEPT
        }

    def _is_told(self, number: int, name: str) -> bool:
        """Whether an event already tells it: done and near, or otherwise right there."""
        return any(
            _name(draft) == name and (draft.status is Status.DONE or self._apart(draft, number) == 0)
            for draft in self._near(Kind(name.split()[0]), number, _REACH, _REACH)
        )


def _name(draft: Draft) -> str:
    return happening(draft.kind, draft.device or draft.finding)


def _answer(draft: Draft) -> None:
    """The sizes of a thing that was used are no question any more: "six by forty?" is answered by what was done."""
    for key in draft.values.keys() & KEPT_SIZES if draft.kind in _OF_A_THING else ():
        value = draft.values[key]
        draft.values[key] = replace(value, flags=tuple(flag for flag in value.flags if flag != "asked"))


def _is_of(draft: Draft, named: str) -> bool:
    """Whether an event is of this thing, as far as it is known."""
    if draft.kind is Kind.DRUG or not named:
        return not named or named == draft.drug
    return _name(draft) == happening(draft.kind, named)


def _as_value(kind: Kind, key: str, figure: Quantity) -> Quantity | None:
    """A figure as a value of this key; None if its unit cannot be. A bare dose has no unit that is usual for all."""
    if figure.unit is not None:
        return figure if figure.unit in VALUE_UNITS[key] else None
    if key == "wire_diameter" and figure.value > 1:
        return figure.flagged("unit-assumed", value=figure.value / 1000, unit="[in_i]")
    if key == "length" and kind in {Kind.INSERT, Kind.REMOVE}:
        return figure.in_unit("cm")
    return figure.in_unit(VALUE_UNITS[key][0]) if key != "dose" else None
