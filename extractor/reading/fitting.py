"""Whether a term fits where something else was heard: what stands beside it, by the tables of the lexicon.

A size before a device, "no" or a vessel before a finding, a dose beside a drug, a side before a vessel, and above all
the words that the term is said with: "common" before "femoral", "artery" after it. Source of what fits what: common
practice, no source.
"""

import re
from collections.abc import Sequence
from enum import IntEnum, IntFlag, auto
from itertools import pairwise

from extractor.lexicon import Lexicon
from extractor.reading.candidates import Candidate, forms, words_of
from extractor.reading.numbers import NUMBER_WORDS


class Fit(IntEnum):
    """How well a term fits its place."""

    NOT = 0
    LOOSELY = 1  # nothing speaks against it
    WELL = 2  # what it is said with stands beside it
    CLOSELY = 3  # a term of the lexicon has the two words side by side


class Sort(IntFlag):
    """What a word beside a term can be."""

    NONE = 0
    NUMBER = auto()
    UNIT = auto()
    DOSE = auto()  # a unit of doses
    DEVICE = auto()
    DRUG = auto()
    FINDING = auto()
    VESSEL = auto()
    SIDE = auto()  # a side, or a part of a vessel
    QUALIFIER = auto()
    SEEN = auto()  # what a finding is told with
    GIVEN = auto()  # what a drug is told with
    TRADE = auto()  # a word that shows that a procedure is told


_SORTS = {
    "device": Sort.DEVICE, "drug": Sort.DRUG, "finding": Sort.FINDING, "vessel": Sort.VESSEL, "side": Sort.SIDE,
    "part": Sort.SIDE, "qualifier": Sort.QUALIFIER, "unit": Sort.UNIT,
}  # fmt: skip
#: The tables whose words show that a procedure is told, and whose terms of several words say what stands side by side.
_THINGS = ("device", "drug", "finding", "vessel")
_DOSES = {"[iU]", "mg", "ug", "g", "mL", "%"}
_SEEN = """
    no any some residual severe tight significant moderate mild slight slightly new old percent small large big focal
    long without with further more possible minor obvious there's active arterial venous contained acute chronic
    """.split()
_GIVEN = """
    give gave given giving of dose bolus more total infusion syringe units thousand iv buffered percent plus then some
    running had has received push pushed flush draw up
    """.split()
#: The shortest word that says something of what stands beside it, and how far to either side is looked.
_SHORTEST, _FAR = 4, 4
#: What a term of a table fits beside: right before it, near before it, right behind it.
_BESIDE = {
    "device": (Sort.UNIT | Sort.QUALIFIER, Sort.UNIT, Sort.DEVICE),
    "drug": (Sort.DOSE, Sort.DOSE, Sort.DOSE | Sort.NUMBER),
    "finding": (Sort.VESSEL | Sort.SIDE | Sort.SEEN, Sort.NONE, Sort.NONE),
    "vessel": (Sort.SIDE | Sort.VESSEL, Sort.NONE, Sort.VESSEL | Sort.FINDING),
    "qualifier": (Sort.UNIT, Sort.UNIT, Sort.DEVICE),
    "unit": (Sort.NUMBER, Sort.NONE, Sort.NONE),
}
_NOTHING = (Sort.NONE, Sort.NONE, Sort.NONE)
#: Words of these sorts are said everywhere, and show no procedure.
_EVERYDAY = Sort.NUMBER | Sort.SIDE | Sort.SEEN | Sort.GIVEN
#: Terms of these tables alone have their place beside something, and nowhere else.
_NEVER_ALONE = {"unit", "qualifier", "misheard"}


class Fitting:
    """Knows which words stand beside which terms. Made once for a lexicon; pure afterwards."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._sorts: dict[str, Sort] = {}
        self._pairs: set[tuple[str, str]] = set()
        for table, sort in _SORTS.items():
            for form in forms(lexicon, table):
                for word in form:
                    if len(word) >= _SHORTEST or len(form) == 1:
                        self._add(word, sort)
        for table in _THINGS:
            for form in forms(lexicon, table):
                self._pairs |= {pair for pair in pairwise(form) if min(map(len, pair)) >= _SHORTEST}
        for entry in lexicon.unit:
            if entry.code in _DOSES:
                for spoken in entry.forms:
                    self._add(spoken, Sort.DOSE)
        for words, sort in ((_SEEN, Sort.SEEN), (_GIVEN, Sort.GIVEN), (NUMBER_WORDS, Sort.NUMBER)):
            for word in words:
                self._add(word, sort)
        for word in {word for table in _THINGS for word in words_of(lexicon, table)}:
            if len(word) > _SHORTEST and not self._sorts[word] & _EVERYDAY:
                self._add(word, Sort.TRADE)
        self.trade = frozenset(word for word, sort in self._sorts.items() if sort & Sort.TRADE)

    def _add(self, word: str, sort: Sort) -> None:
        self._sorts[word] = self._sorts.get(word, Sort.NONE) | sort

    def sort(self, word: str) -> Sort:
        """What a plain word can be beside a term."""
        found = self._sorts.get(word)
        if found is not None:
            return found
        return Sort.NUMBER if word[:1].isdecimal() else Sort.NONE

    def fit(self, term: Candidate, before: Sequence[str], after: Sequence[str]) -> Fit:
        """A term, and the plain words before it (nearest first) and after it -> how well it fits there."""
        pairs = [(word, term.word) for word in before[:1]] + [(term.word, word) for word in after[:1]]
        if self._pairs.intersection(pairs):
            return Fit.CLOSELY
        left = [self.sort(word) for word in before[:_FAR]]
        right = [self.sort(word) for word in after[:_FAR]]
        for table in term.tables:
            right_before, near_before, behind = _BESIDE.get(table, _NOTHING)
            if (left and left[0] & right_before) or (right and right[0] & behind):
                return Fit.WELL
            if any(sort & near_before for sort in left):
                return Fit.WELL
            if table == "device" and _sized(before):
                return Fit.WELL
            if table == "drug" and left and left[0] & Sort.GIVEN and any(sort & Sort.NUMBER for sort in left + right):
                return Fit.WELL
        return Fit.NOT if term.tables <= _NEVER_ALONE else Fit.LOOSELY


def _sized(before: Sequence[str]) -> bool:
    """Whether a size stands right before: "six by forty", "6x40"."""
    return "by" in before[1:3] or bool(before and re.fullmatch(r"\d+x\d+", before[0]))
