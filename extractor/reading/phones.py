"""How alike two pronunciations sound: a weighted edit distance over phones.

A pronunciation is a string with one character a phone (``spelled`` makes it from ARPAbet). Two phones are as far
apart as their features: place, manner and voicing of consonants, height and backness of vowels. What speech drops and a
recogniser invents costs little: a weak vowel, an h, an r that is not said.

Sources: phone set, CMU Pronouncing Dictionary; features, the chart of the International Phonetic Association. The idea
of an edit distance weighted by features: Kondrak 2000, "A new algorithm for the alignment of phonetic sequences"
(NAACL). The weights are ours: set by hand on pairs really heard.
"""

from collections.abc import Sequence
from functools import cache
from itertools import accumulate
from math import inf

from extractor.lexicon import PHONES

#: Consonants: how far back they are made (0 lips … 5 throat), how, and whether with voice.
_CONSONANTS: dict[str, tuple[float, str, bool]] = {
    "P": (0, "stop", False), "B": (0, "stop", True), "T": (2, "stop", False), "D": (2, "stop", True),
    "K": (4, "stop", False), "G": (4, "stop", True), "CH": (3, "affricate", False), "JH": (3, "affricate", True),
    "F": (0.5, "fricative", False), "V": (0.5, "fricative", True), "TH": (1.5, "fricative", False),
    "DH": (1.5, "fricative", True), "S": (2, "fricative", False), "Z": (2, "fricative", True),
    "SH": (3, "fricative", False), "ZH": (3, "fricative", True), "HH": (5, "fricative", False),
    "M": (0, "nasal", True), "N": (2, "nasal", True), "NG": (4, "nasal", True), "L": (2, "lateral", True),
    "R": (2.5, "glide", True), "W": (1, "glide", True), "Y": (3, "glide", True),
}  # fmt: skip
#: Vowels: where they begin and where they end, each as height (0 close … 3 open) and backness (0 front … 2 back).
_VOWELS: dict[str, tuple[float, float, float, float]] = {
    "IY": (0, 0, 0, 0), "IH": (0.5, 0.3, 0.5, 0.3), "EH": (1.7, 0, 1.7, 0), "AE": (2.5, 0.2, 2.5, 0.2),
    "AA": (3, 1.6, 3, 1.6), "AO": (2.3, 2, 2.3, 2), "AH": (1.6, 1.1, 1.6, 1.1), "UH": (0.6, 1.7, 0.6, 1.7),
    "UW": (0, 1.8, 0, 2), "ER": (1.6, 1, 1.6, 1), "EY": (1.5, 0, 0.4, 0), "AY": (3, 1, 0.4, 0.2),
    "OY": (2.2, 2, 0.4, 0.2), "AW": (3, 1, 0.5, 1.9), "OW": (1.6, 1.8, 0.5, 2),
}  # fmt: skip
#: Two ways to make a consonant: how far apart. What is not listed is as far as can be.
_MANNERS = {
    frozenset({"stop", "affricate"}): 0.2, frozenset({"affricate", "fricative"}): 0.2,
    frozenset({"stop", "fricative"}): 0.35, frozenset({"stop", "nasal"}): 0.5, frozenset({"lateral", "glide"}): 0.3,
    frozenset({"nasal", "lateral"}): 0.45, frozenset({"nasal", "glide"}): 0.6,
}  # fmt: skip
#: Phones that are near each other though their features are not: glides and the vowels they are made from.
_NEAR = {
    frozenset({"Y", "IY"}): 0.3, frozenset({"Y", "IH"}): 0.4, frozenset({"W", "UW"}): 0.3, frozenset({"W", "UH"}): 0.4,
    frozenset({"R", "ER"}): 0.15, frozenset({"L", "AO"}): 0.6, frozenset({"L", "UH"}): 0.6,
}  # fmt: skip
_VOICING, _PLACE, _FARTHEST_PLACE = 0.2, 0.14, 0.45
_HEIGHT, _BACKNESS, _WEAK = 0.13, 0.13, 0.25
#: What leaving out or putting in a phone costs; vowels and consonants that are not listed cost as the last two say.
_LOST = {"AH": 0.35, "IH": 0.4, "ER": 0.5, "HH": 0.3, "R": 0.4, "Y": 0.4, "W": 0.5, "T": 0.55, "D": 0.5, "N": 0.65}
_LOST_VOWEL, _LOST_CONSONANT = 0.6, 0.8
_LEAST_LOST = min(_LOST.values())

_SIGN = {phone: chr(ord("A") + number) for number, phone in enumerate(PHONES)}
#: Consonants that are taken for each other, by their place; vowels, glides and h, which come and go, are left out.
_KIN = {"p": "P B F V", "t": "T D TH DH", "s": "S Z SH ZH CH JH", "k": "K G", "n": "M N NG", "l": "L", "r": "R ER"}
_KINDRED: dict[int, str | None] = {
    **dict.fromkeys(map(ord, _SIGN.values())),
    **{ord(_SIGN[phone]): kin for kin, phones in _KIN.items() for phone in phones.split()},
}


def spelled(arpabet: str) -> str:
    """ARPAbet with or without stress, "HH EH1 P ER0 IH0 N" -> one sign a phone. KeyError names an unknown phone."""
    return "".join(_SIGN[phone.rstrip("012")] for phone in arpabet.split())


def cost(heard: str, term: str, limit: float = inf) -> float:
    """Two pronunciations -> what it costs to hear the one for the other, in phones; more than ``limit`` is told as
    infinite.
    """
    lost, unlike = _costs()
    if _LEAST_LOST * abs(len(heard) - len(term)) > limit:
        return inf
    dropped = [lost[sign] for sign in term]
    row = [0.0, *accumulate(dropped)]
    for phone in heard:  # no min() here: this loop is most of what repair by sound takes
        gone, others = lost[phone], unlike[phone]
        before = row[0]
        left = best = row[0] = before + gone
        for index, sign in enumerate(term):
            above = row[index + 1]
            here = before + others[sign]
            if above + gone < here:
                here = above + gone
            if left + dropped[index] < here:
                here = left + dropped[index]
            before = above
            left = row[index + 1] = here
            if here < best:
                best = here
        if best > limit:
            return inf
    return row[-1] if row[-1] <= limit else inf


@cache
def _costs() -> tuple[dict[str, float], dict[str, dict[str, float]]]:
    """What each phone costs to lose, and to exchange for each other one."""
    lost = {_SIGN[phone]: _LOST.get(phone, _LOST_VOWEL if phone in _VOWELS else _LOST_CONSONANT) for phone in PHONES}
    return lost, {_SIGN[one]: {_SIGN[other]: _unlike(one, other) for other in PHONES} for one in PHONES}


def _unlike(one: str, other: str) -> float:
    if one == other:
        return 0.0
    pair = frozenset({one, other})
    if pair in _NEAR:
        return _NEAR[pair]
    if one in _CONSONANTS and other in _CONSONANTS:
        (place, manner, voice), (place2, manner2, voice2) = _CONSONANTS[one], _CONSONANTS[other]
        made = 0.0 if manner == manner2 else _MANNERS.get(frozenset({manner, manner2}), 0.8)
        where = min(_FARTHEST_PLACE, _PLACE * abs(place - place2))
        return min(1.0, made + where + (_VOICING if voice != voice2 else 0.0))
    if one in _VOWELS and other in _VOWELS:
        apart = [abs(a - b) for a, b in zip(_VOWELS[one], _VOWELS[other], strict=True)]
        far = (_HEIGHT * (apart[0] + apart[2]) + _BACKNESS * (apart[1] + apart[3])) / 2
        return min(far, _WEAK) if "AH" in pair else far
    return 1.0


def kindred(said: str) -> str:
    """A pronunciation -> the kinds of its consonants, in order: what is left of it when it is badly heard."""
    return said.translate(_KINDRED)


def joined(pronunciations: Sequence[str]) -> str:
    """Words said one after another -> one pronunciation: a phone at the end of one that the next begins with is said
    once.
    """
    said = ""
    for each in pronunciations:
        said += each[1:] if said and each and said[-1] == each[0] else each
    return said
