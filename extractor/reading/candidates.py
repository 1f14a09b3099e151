"""What was heard -> the terms of the trade that sound like it, nearest first.

Each term is one word of the lexicon's devices, drugs, findings, vessels and units, long enough to be told by its sound.
A rough look at the consonants leaves a few of the two thousand pronunciations; only they are weighed phone by phone.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from extractor.lexicon import Lexicon, each_form
from extractor.reading.phones import cost, kindred
from extractor.reading.pronunciation import Pronouncer
from extractor.reading.tokens import form_tokens, line_tokens

#: The tables whose words can be misheard terms.
TABLES = ("device", "drug", "finding", "vessel", "qualifier", "action")
#: A shorter word sounds like too much: in 35,000 words of ordinary talk every third is near a term of five phones.
_SHORTEST = 5
#: No term is taken that is farther than this from what was heard: cost a phone. Nine of ten forms in misheard.toml are
#: nearer.
FARTHEST = 0.27
#: How many phones a term may be longer or shorter than what was heard; so many consonants are a long row of them.
_LONGER, _LONG = 4, 5


@dataclass(frozen=True, slots=True)
class Candidate:
    """A term that sounds like what was heard: how it is said, the tables it stands in (none: no term, but a word said
    beside them), and the cost a phone.
    """

    word: str
    said: str
    tables: frozenset[str]
    cost: float

    @property
    def phones(self) -> int:
        """How long it is."""
        return len(self.said)


class Candidates:
    """Finds terms by sound. Made once for a lexicon; remembers what it found, since speech repeats itself."""

    def __init__(self, lexicon: Lexicon, pronouncer: Pronouncer) -> None:
        self._terms: dict[str, list[tuple[str, frozenset[str]]]] = {}
        for word, tables in _terms(lexicon, pronouncer).items():
            for said in pronouncer.ways(word):
                if len(said) >= _SHORTEST:
                    self._terms.setdefault(said, []).append((word, tables))
        self._kin: dict[str, list[str]] = {}
        for said in self._terms:
            for part in _parts(kindred(said)):
                self._kin.setdefault(part, []).append(said)
        self._found: dict[str, tuple[Candidate, ...]] = {}

    def like(self, said: str) -> tuple[Candidate, ...]:
        """A pronunciation -> the terms within FARTHEST of it, nearest first."""
        if said not in self._found:
            self._found[said] = self._like(said)
        return self._found[said]

    def _like(self, said: str) -> tuple[Candidate, ...]:
        found: dict[str, Candidate] = {}
        for near in {near for part in _parts(kindred(said)) for near in self._kin.get(part, ())}:
            if abs(len(near) - len(said)) > _LONGER:
                continue
            each = cost(said, near, FARTHEST * len(near)) / len(near)
            if each <= FARTHEST:
                for word, tables in self._terms[near]:
                    if word not in found or each < found[word].cost:
                        found[word] = Candidate(word, near, tables, each)
        return tuple(sorted(found.values(), key=lambda candidate: (candidate.cost, candidate.word)))


def _parts(kin: str) -> set[str]:
    """What is left of a row of consonants when one is not heard, or two of a long row.

    Two rows are alike where such parts meet: each of one, looked up among those of all others (the symmetric delete
    index of Garbe 2012; from memory).
    """
    parts = {kin}
    for _ in range(1 if len(kin) < _LONG else 2):
        parts |= {part[:index] + part[index + 1 :] for part in parts for index in range(len(part))}
    return parts


def _terms(lexicon: Lexicon, pronouncer: Pronouncer) -> Mapping[str, frozenset[str]]:
    """The words that are sought by sound -> the tables they stand in.

    They are no words of everyday language, which a recogniser knows, or words that are known to be misheard. Words said
    beside them stand in no table: where one is nearer than every term, no term was said. So do units: a milligram that
    is read as a milligray is worse than one that nobody reads.
    """
    misheard = misheard_terms(lexicon)
    found: dict[str, set[str]] = {word: set() for entry in lexicon.pronunciation for word in each_form(entry.words)}
    found |= {word: {"misheard"} for word in misheard}
    for table in TABLES:
        for word in words_of(lexicon, table):
            if word in found or not pronouncer.ordinary(word):
                found.setdefault(word, set()).add(table)
    for word in words_of(lexicon, "unit"):
        found[word] = {"unit"} if word in misheard else set()
    return {word: frozenset(tables) for word, tables in found.items() if word.isalpha()}


def misheard_terms(lexicon: Lexicon) -> set[str]:
    """The words of the terms that are known to be misheard."""
    return {word for entry in lexicon.misheard for word in entry.read.lower().split()}


def words_of(lexicon: Lexicon, table: str) -> set[str]:
    """Every word of the forms of a table."""
    lines = (line for entry in getattr(lexicon, table) for line in entry.spoken)
    return {word for line in lines for ways in line_tokens(line) for way in ways for word in way}


def forms(lexicon: Lexicon, table: str) -> Iterable[tuple[str, ...]]:
    """Every way the terms of a table are said, as tokens."""
    for entry in getattr(lexicon, table):
        for form in each_form(entry.spoken):
            yield form_tokens(form)
