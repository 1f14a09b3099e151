"""Words -> words with misheard trade terms put right: first forms really heard, from the lexicon; then by sound.

By sound a term is put in the place of one to four words where four things agree: the words are odd there (none of the
language, or the recogniser was unsure, or what stands beside them asks for a term), the term sounds like them, it fits
what stands beside it, and a procedure is told around it. The odder the words and the better the fit, the less alike
they need to sound. Numbers are never touched, nor words that are terms. Every repair keeps what was heard.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import IntEnum
from itertools import accumulate

from extractor.lexicon import Lexicon, Misheard
from extractor.model import Correction, Word
from extractor.reading.candidates import Candidate, Candidates, misheard_terms, words_of
from extractor.reading.fitting import Fit, Fitting, Sort
from extractor.reading.numbers import NUMBER_WORDS
from extractor.reading.phones import joined
from extractor.reading.pronunciation import Pronouncer
from extractor.reading.tokens import tokenise

#: How many words to either side count as beside a misheard form.
_NEAR_WORDS = 6
#: A term is sought in so many words at most, and a procedure is told where so many of the trade stand within so many
#: words before and after.
_LONGEST = 4
_TRADE, _AROUND = 4, 60
#: A word the recogniser was less sure of than this is odd; one it was surer of than that is hardly ever.
_UNSURE, _SURE = 0.5, 0.9


#: The tables whose words are never doubted, and further ones whose words do not look odd by themselves.
_TERMS = ("device", "drug", "finding", "vessel", "side", "part", "qualifier", "unit")
_OTHERS = ("action", "cue", "phrase")
#: A term is sought within these marks only.
_MARKS = frozenset(",.?!;:")
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
class _Form:
    tokens: tuple[str, ...]
    entry: Misheard


class _Odd(IntEnum):
    """How little a word is to be believed where it stands."""

    NOT = 0  # a number, a word of the lexicon, a small word
    ORDINARY = 1  # a word of the language: only where its place asks for a term
    UNSURE = 2  # the same, and the recogniser was not sure of it
    UNKNOWN = 3  # no word of the language


#: How far, in cost a phone, a term may be from what was heard, by how odd that is and how well the term fits.
_ALLOWED = {
    _Odd.ORDINARY: {Fit.CLOSELY: 0.15},
    _Odd.UNSURE: {Fit.LOOSELY: 0.08, Fit.WELL: 0.15, Fit.CLOSELY: 0.20},
    _Odd.UNKNOWN: {Fit.NOT: 0.12, Fit.LOOSELY: 0.15, Fit.WELL: 0.25, Fit.CLOSELY: 0.27},
}
#: Short terms must sound more alike, long ones less: factor by number of phones.
_BY_LENGTH = {5: 0.7, 6: 0.8, 7: 0.9, 8: 1.0, 9: 1.0, 10: 1.1}
_LONG = 1.2


@dataclass(frozen=True, slots=True)
class _Repair:
    first: int
    past: int
    candidate: Candidate
    room: float  # how much farther it might have been


class Repairer:
    """Knows every misheard form by its first token. Made once for a lexicon; pure afterwards."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._pronouncer = Pronouncer({word: entry.said for entry in lexicon.pronunciation for word in entry.words})
        self._candidates = Candidates(lexicon, self._pronouncer)
        self._fitting = Fitting(lexicon)
        self._terms = {word for table in _TERMS for word in words_of(lexicon, table)}
        self._terms |= misheard_terms(lexicon)
        self._others = {word for table in _OTHERS for word in words_of(lexicon, table)}
        self._odd: dict[str, _Odd] = {}
        self._forms: dict[str, list[_Form]] = {}
        for entry in lexicon.misheard:
            for heard in entry.heard:
                tokens = tuple(token.text for token in tokenise(heard.split()))
                self._forms.setdefault(tokens[0], []).append(_Form(tokens, entry))
        for forms in self._forms.values():
            forms.sort(key=lambda form: -len(form.tokens))

    def repair(self, words: Sequence[Word]) -> tuple[list[str], list[Correction]]:
        """Words -> their texts after repair (a repaired stretch stands in its first word), and what was repaired."""
        texts = [word.text for word in words]
        plain = [_plain(text) for text in texts]
        corrections: list[Correction] = []
        index = 0
        while index < len(texts):
            found = self._at(plain, index)
            if found is None:
                index += 1
                continue
            last = index + len(found.tokens)
            heard = " ".join(texts[index:last])
            tail = texts[last - 1][len(texts[last - 1].rstrip(",.?!;:")) :]
            corrections.append(
                Correction(words=(index, last), heard=heard, read=found.entry.read, why="misheard-form", review=True)
            )
            texts[index] = found.entry.read + tail
            for position in range(index + 1, last):
                texts[position] = ""
            index = last
        corrections += self._by_sound(words, texts)
        return texts, sorted(corrections, key=lambda correction: correction.words)

    def _at(self, plain: Sequence[str], index: int) -> _Form | None:
        for form in self._forms.get(plain[index], ()):
            if tuple(plain[index : index + len(form.tokens)]) != form.tokens:
                continue
            if not form.entry.near or self._near(plain, index, index + len(form.tokens), form.entry.near):
                return form
        return None

    @staticmethod
    def _near(plain: Sequence[str], first: int, last: int, near: Sequence[str]) -> bool:
        around = plain[max(0, first - _NEAR_WORDS) : first], plain[last : last + _NEAR_WORDS]
        return any(word in side for side in around for word in near)

    def _by_sound(self, words: Sequence[Word], texts: list[str]) -> list[Correction]:
        """Puts terms into ``texts`` where they sound like what stands there; what was repaired."""
        plain = [_plain(text) for text in texts]
        sorts = [self._fitting.sort(word) for word in plain]
        trade = [0, *accumulate(bool(sort & Sort.TRADE) for sort in sorts)]
        corrections: list[Correction] = []
        past = 0
        for index, word in enumerate(plain):
            if index < past:
                continue
            odd = self._oddness(word)
            if odd is _Odd.NOT or trade[min(len(plain), index + _AROUND)] - trade[max(0, index - _AROUND)] < _TRADE:
                continue
            probability = words[index].probability
            if probability < _UNSURE:
                odd = max(odd, _Odd.UNSURE)
            elif probability > _SURE:
                continue
            found = self._best(plain, texts, index, odd, past)
            if found is None:
                continue
            heard = " ".join(filter(None, texts[found.first : found.past]))
            end = texts[found.past - 1]
            texts[found.first] = found.candidate.word + end[len(end.rstrip(",.?!;:")) :]
            for position in range(found.first + 1, found.past):
                texts[position] = plain[position] = ""
            plain[found.first] = found.candidate.word
            past = found.past
            corrections.append(
                Correction(
                    words=(found.first, found.past),
                    heard=heard,
                    read=found.candidate.word,
                    why="sounds-alike",
                    audio_cost=round(found.candidate.cost * found.candidate.phones, 2),
                    review=True,
                )
            )
        return corrections

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

    def _best(self, plain: Sequence[str], texts: Sequence[str], index: int, odd: _Odd, free: int) -> _Repair | None:
        best: _Repair | None = None
        for first, past in self._windows(plain, texts, index, free):
            said = joined([self._pronouncer.ways(word)[0] for word in plain[first:past]])
            before = [word for word in reversed(plain[max(0, first - 6) : first]) if word]
            after = [word for word in plain[past : past + 6] if word]
            for candidate in self._candidates.like(said):
                if _stems(candidate.word) & _stems(plain[index]):
                    continue
                fit = self._fitting.fit(candidate, before, after)
                allowed = _ALLOWED[odd].get(fit, 0.0) * _BY_LENGTH.get(candidate.phones, _LONG)
                room = allowed - candidate.cost
                if room >= 0 and (best is None or room > best.room):
                    best = _Repair(first, past, candidate, room)
        return best

    def _windows(self, plain: Sequence[str], texts: Sequence[str], index: int, free: int) -> Iterator[tuple[int, int]]:
        """Stretches with this word in which a term may be hidden: no mark, number or term stands in them."""
        first = index
        while first > free and index - first < _LONGEST - 1 and self._may_hide(plain[first - 1]):
            if texts[first - 1][-1:] in _MARKS:
                break
            first -= 1
        past = index + 1
        while past < len(plain) and past - index < _LONGEST and self._may_hide(plain[past]):
            if texts[past - 1][-1:] in _MARKS:
                break
            past += 1
        for begin in range(first, index + 1):
            for end in range(index + 1, min(past, begin + _LONGEST) + 1):
                yield begin, end

    def _may_hide(self, word: str) -> bool:
        """Whether a word may be part of a misheard term: no number, and none of the trade, unless it is small."""
        if len(word) < _SMALL:
            return word in _SMALL_WORDS
        return word.isalpha() and word not in NUMBER_WORDS and word not in self._terms


def _stems(word: str) -> set[str]:
    """A word -> what it may be a form of, in British and American spelling."""
    stems = [word[: -len(end)] for end in _ENDINGS if word.endswith(end) and len(word) - len(end) >= _SMALL]
    forms = [word, *stems, *(stem + "e" for stem in stems)]
    return {*forms, *map(_american, forms)}


def _american(word: str) -> str:
    """British spelling -> American, which the dictionary has."""
    word = word.replace("our", "or").replace("ae", "e").replace("oe", "e").replace("ll", "l")
    return re.sub(r"is(?=e|ing|ation)", "iz", re.sub(r"re(s?)$", r"er\1", word))


def _plain(text: str) -> str:
    return text.strip(",.?!;:\"'").lower()
