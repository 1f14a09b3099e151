"""Words -> the places where a term of the trade was misheard as something that sounds like it.

A term is read in the place of one to four words where four things agree: the words are odd there (none of the language,
or the recogniser was unsure), the term sounds like them, it fits what stands beside it, and a procedure is told around
it. The odder the words and the better the fit, the less alike they need to sound; what the case has named elsewhere
fits better. Where two terms are as near, none is taken. Numbers are never touched, nor sides, units and "no".
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import IntEnum
from itertools import accumulate

from extractor.lexicon import Lexicon, each_form
from extractor.model import Correction, Word
from extractor.reading.candidates import Candidate, Candidates, misheard_terms, words_of
from extractor.reading.fitting import Fit, Fitting
from extractor.reading.misheard import plain_text
from extractor.reading.numbers import NUMBER_WORDS
from extractor.reading.phones import cost, joined
from extractor.reading.pronunciation import Pronouncer
from extractor.reading.tokens import tokenise

#: A term is sought in so many words at most, and a procedure is told where so many of the trade stand within so many
#: words before and after.
_LONGEST = 4
_TRADE, _AROUND = 3, 60
#: A word the recogniser was less sure of than this is odd; where it was surer than that of all, nothing is.
_UNSURE, _SURE = 0.6, 0.9


class _Odd(IntEnum):
    """How little a word is to be believed where it stands."""

    NOT = 0  # a number, a word of the lexicon, a small word
    ORDINARY = 1  # a word of the language: only where its place asks for a term
    UNSURE = 2  # the same, and the recogniser was not sure of it
    UNKNOWN = 3  # no word of the language


#: How far, in cost a phone, a term may be from what was heard, by how odd that is and how well the term fits.
_ALLOWED = {
    _Odd.ORDINARY: {Fit.WELL: 0.06, Fit.CLOSELY: 0.15},
    _Odd.UNSURE: {Fit.LOOSELY: 0.08, Fit.WELL: 0.16, Fit.CLOSELY: 0.20},
    _Odd.UNKNOWN: {Fit.NOT: 0.10, Fit.LOOSELY: 0.15, Fit.WELL: 0.20, Fit.CLOSELY: 0.24},
}
#: Short terms must sound more alike, long ones less: factor by number of phones. Drugs too, which are many and alike.
_BY_LENGTH = {5: 0.7, 6: 0.8, 7: 0.9, 8: 1.0, 9: 1.0, 10: 1.1}
_LONG, _DRUG = 1.2, 0.85
#: So many phones a term must have to be taken because the case names it elsewhere.
_TELLING = 6
#: What a good fit and being named elsewhere in the case are worth beside sound, and how much nearer than the next term
#: the nearest must be, all in cost a phone; two terms that are nearer to each other than this are one in two spellings.
_GOOD_FIT, _NAMED, _AHEAD, _SAME = 0.03, 0.03, 0.02, 0.1
#: The tables whose words are never doubted, and further ones whose words do not look odd by themselves.
_TERMS = ("device", "drug", "finding", "vessel", "side", "part", "qualifier", "unit")
_OTHERS = ("action", "cue", "phrase")
#: No term is sought across these marks.
_MARKS = frozenset(",.?!;:")
#: It stays when the word it hangs on is read as a term: "hepperon's in".
_CLITIC = "'s"
#: The letters of the shortest word that can be odd, or the stem of another one; and what a stem may end in.
_SMALL = 4
_ENDINGS = ("s", "es", "ed", "d", "ing", "in", "ly", "er", "ers", "est", "y", "ness", "ion", "ions")
#: The small words a recogniser makes of a syllable. "No" and "not" are none of them: a repair must never eat them.
_SMALL_WORDS = frozenset(
    """
    a an the and in on of or at is it to be i me my he she we you us our has had his her him as by all any end are was
    if so do go un pre pro
    """.split()
)


@dataclass(frozen=True, slots=True)
class _Repair:
    first: int
    past: int
    candidate: Candidate
    worth: float  # cost a phone, less what the place is worth: the lower the better


@dataclass(frozen=True, slots=True)
class _Case:
    """A case while it is put right: its words, their texts and plain forms, and the trade words before each."""

    words: Sequence[Word]
    texts: list[str]
    plain: list[str]
    trade: list[int]
    named: frozenset[str]

    def tells_a_procedure(self, index: int) -> bool:
        first, past = max(0, index - _AROUND), min(len(self.plain), index + _AROUND)
        return self.trade[past] - self.trade[first] >= _TRADE

    def doubt(self, first: int, past: int) -> float:
        """How unsure the recogniser was of the word it was least sure of."""
        return min(word.probability for word in self.words[first:past])


class Soundalikes:
    """Finds misheard terms by their sound. Made once for a lexicon; remembers words it has judged, pure otherwise."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._pronouncer = Pronouncer(
            {word: entry.said for entry in lexicon.pronunciation for word in each_form(entry.words)}
        )
        self._candidates = Candidates(lexicon, self._pronouncer)
        self._fitting = Fitting(lexicon)
        self._terms = {word for table in _TERMS for word in words_of(lexicon, table)} | misheard_terms(lexicon)
        self._fixed = {word for table in ("side", "part", "unit") for word in words_of(lexicon, table)}
        self._others = {word for table in _OTHERS for word in words_of(lexicon, table)}
        self._odd: dict[str, _Odd] = {}

    def put_right(self, words: Sequence[Word], texts: list[str]) -> list[Correction]:
        """Reads terms into ``texts``, where a repaired stretch stands in its first word; what was repaired, in
        order.
        """
        plain = [plain_text(text) for text in texts]
        trade = (word in self._fitting.trade for word in plain)
        sure = (word for word, heard in zip(plain, words, strict=True) if heard.probability > _UNSURE)
        case = _Case(words, texts, plain, [0, *accumulate(trade)], frozenset(sure))
        corrections: list[Correction] = []
        past = 0
        for index, word in enumerate(plain):
            if index < past or self._oddness(word) is _Odd.NOT:
                continue
            if case.doubt(max(0, index - 1), index + 2) > _SURE or not case.tells_a_procedure(index):
                continue
            if found := self._nearest(case, index, past):
                corrections.append(_read(case, found))
                past = found.past
        return corrections

    def _nearest(self, case: _Case, index: int, free: int) -> _Repair | None:
        """The term that was most likely said in a stretch with this word; None where none was, or two may have been."""
        found: list[_Repair] = []
        for first, past in self._stretches(case, index, free):
            doubt = case.doubt(first, past)
            odd = self._oddness(case.plain[index])
            if doubt > _SURE:
                continue
            if doubt < _UNSURE:
                odd = max(odd, _Odd.UNSURE)
            found += self._readings(case, first, past, odd, index)
        if not found:
            return None
        best = min(found, key=lambda each: (each.worth, "misheard" not in each.candidate.tables))  # the usual spelling
        rivals = (each for each in found if each.worth < best.worth + _AHEAD)
        return best if best.candidate.tables and all(_same(each.candidate, best.candidate) for each in rivals) else None

    def _readings(self, case: _Case, first: int, past: int, odd: _Odd, index: int) -> Iterator[_Repair]:
        """Every term that may have been said in a stretch."""
        heard = [*case.plain[first : past - 1], case.plain[past - 1].removesuffix(_CLITIC)]
        said = joined([self._pronouncer.ways(word)[0] for word in heard])
        before = [word for word in reversed(case.plain[max(0, first - 6) : first]) if word]
        after = [word for word in case.plain[past : past + 6] if word]
        stems = _stems(case.plain[index])
        for candidate in self._candidates.like(said):
            if past - first == 1 and _stems(candidate.word) & stems:
                continue  # another form of the word that was heard
            named = candidate.word in case.named
            fit = self._fitting.fit(candidate, before, after)
            suits = max(fit, Fit.WELL) if named and candidate.phones >= _TELLING else fit
            allowed = _ALLOWED[odd].get(suits, 0.0)
            allowed *= _BY_LENGTH.get(candidate.phones, _LONG) * (_DRUG if "drug" in candidate.tables else 1)
            if candidate.cost <= allowed or not candidate.tables:
                worth = candidate.cost - (_GOOD_FIT if fit >= Fit.WELL else 0) - (_NAMED if named else 0)
                yield _Repair(first, past, candidate, worth)

    def _stretches(self, case: _Case, index: int, free: int) -> Iterator[tuple[int, int]]:
        """Stretches with this word in which a term may be hidden: no mark, number or sure term stands in them."""
        first = index
        while first > free and index - first < _LONGEST - 1 and self._may_hide(case, first - 1):
            if case.texts[first - 1][-1:] in _MARKS:
                break
            first -= 1
        past = index + 1
        while past < len(case.plain) and past - index < _LONGEST and self._may_hide(case, past):
            if case.texts[past - 1][-1:] in _MARKS:
                break
            past += 1
        for begin in range(first, index + 1):
            for end in range(index + 1, min(past, begin + _LONGEST) + 1):
                yield begin, end

    def _may_hide(self, case: _Case, index: int) -> bool:
        """Whether a word may be part of a misheard term: no number, no sure word of the trade."""
        word = case.plain[index]
        if len(word) < _SMALL:
            return word in _SMALL_WORDS
        if not word.isalpha() or word in NUMBER_WORDS or word in self._fixed:
            return False
        return word not in self._terms or case.words[index].probability < _UNSURE

    def _oddness(self, word: str) -> _Odd:
        if word not in self._odd:
            self._odd[word] = self._judge(word)
        return self._odd[word]

    def _judge(self, word: str) -> _Odd:
        pieces = [piece.text for piece in tokenise([word]) if piece.text[:1] != "'"]
        if not pieces or any(not piece.isalpha() or piece in NUMBER_WORDS for piece in pieces):
            return _Odd.NOT
        if all(piece in self._terms or piece in self._others or len(piece) < _SMALL for piece in pieces):
            return _Odd.NOT
        return _Odd.ORDINARY if all(map(self._known, pieces)) else _Odd.UNKNOWN

    def _known(self, word: str) -> bool:
        """Whether a word is a term or one of the language, in any form and spelling."""
        return any(
            form in self._terms or form in self._others or self._pronouncer.ordinary(form) for form in _stems(word)
        )


def _read(case: _Case, repair: _Repair) -> Correction:
    """Puts the term into the case, with the mark that ended the stretch."""
    first, past, term = repair.first, repair.past, repair.candidate
    heard = " ".join(case.texts[first:past])
    end = case.texts[past - 1].rstrip(",.?!;:")
    clitic = _CLITIC if end.endswith(_CLITIC) else ""
    case.texts[first] = term.word + clitic + case.texts[past - 1][len(end) :]
    case.plain[first] = term.word
    for index in range(first + 1, past):
        case.texts[index] = case.plain[index] = ""
    return Correction(
        words=(first, past),
        heard=heard,
        read=term.word,
        why="sounds-alike",
        audio_cost=round(term.cost * term.phones, 2),
        review=True,
    )


def _same(one: Candidate, other: Candidate) -> bool:
    """Whether two terms are one, in two spellings or forms."""
    return bool(_stems(one.word) & _stems(other.word)) or cost(one.said, other.said) < _SAME * len(one.said)


def _stems(word: str) -> set[str]:
    """A word -> what it may be a form of, in British and American spelling."""
    stems = [word[: -len(end)] for end in _ENDINGS if word.endswith(end) and len(word) - len(end) >= _SMALL]
    forms = [word, *stems, *(stem + "e" for stem in stems)]
    return {*forms, *map(_american, forms)}


def _american(word: str) -> str:
    """British spelling -> American, which the dictionary has."""
    word = word.replace("our", "or").replace("ae", "e").replace("oe", "e").replace("ll", "l")
    return re.sub(r"is(?=e|ing|ation)", "iz", re.sub(r"re(s?)$", r"er\1", word))
