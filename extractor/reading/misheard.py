"""Forms that a recogniser writes for a term: where they stand in words, and what can never be such a form."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from extractor.lexicon import Lexicon, Misheard, dictionary, each_form
from extractor.model import Word, WordRange
from extractor.reading.numbers import NUMBER_WORDS
from extractor.reading.tokens import form_tokens

#: How many words to either side count as beside a misheard form.
_NEAR_WORDS = 6
#: Words that a repair must never eat.
_KEPT = frozenset({"no", "not", "none", "never", "without", "nor"})
#: Tables whose terms are read for misheard forms. A side is none of them: it is never repaired.
_TERMS = ("device", "qualifier", "drug", "finding", "vessel", "part", "action", "unit")
#: Words that tell of the trade where they stand beside a form: terms of one word of these tables, so long at least; the
#: last word of so many names of devices; units in which sizes, pressures and doses are told. Set by hand, no source.
_TELLING = {"drug": 5, "finding": 6, "vessel": 7}
_SHARED = 9
_UNITS = frozenset({"[iU]", "mg", "ug", "mL", "mL/s", "mm", "cm", "atm", "[Ch]", "mm[Hg]"})
#: … but for these, which are said of anything.
_OF_ANYTHING = frozenset({"device", "line", "guide", "closure", "external", "mike", "mikes"})
#: A shorter unit tells nothing.
_SHORT = 4


@dataclass(frozen=True, slots=True)
class Form:
    """A form as its tokens, and the entry it is of."""

    tokens: tuple[str, ...]
    entry: Misheard


class Forms:
    """Knows every misheard form of some entries by its first token. Made once; pure afterwards."""

    def __init__(self, entries: Iterable[Misheard]) -> None:
        self._forms: dict[str, list[Form]] = {}
        for entry in entries:
            for heard in each_form(entry.heard):
                if tokens := form_tokens(heard):
                    self._forms.setdefault(tokens[0], []).append(Form(tokens, entry))
        for forms in self._forms.values():
            forms.sort(key=lambda form: -len(form.tokens))

    def at(self, plain: Sequence[str], index: int) -> Form | None:
        """The longest form that begins at a word and may be read as its term there. ``plain``: see ``plain_text``."""
        return next(self._all_at(plain, index), None) if plain[index] in self._forms else None

    def places(self, words: Sequence[Word]) -> Iterator[tuple[WordRange, Misheard]]:
        """Where in a case forms stand that would be read as their terms, each as if there were no other."""
        plain = [plain_text(word.text) for word in words]
        for index in range(len(plain)):
            for form in self._all_at(plain, index):
                yield (index, index + len(form.tokens)), form.entry

    def _all_at(self, plain: Sequence[str], index: int) -> Iterator[Form]:
        for form in self._forms.get(plain[index], ()):
            past = index + len(form.tokens)
            if tuple(plain[index:past]) == form.tokens and (
                not form.entry.near or not set(form.entry.near).isdisjoint(_beside(plain, index, past))
            ):
                yield form


def plain_text(text: str) -> str:
    """A word as it was written -> in small letters, without the marks around it."""
    return text.strip(",.?!;:\"'").lower()


def _beside(words: Sequence[Any], first: int, past: int) -> list[Any]:
    """The words that stand beside a stretch."""
    return [*words[max(0, first - _NEAR_WORDS) : first], *words[past : past + _NEAR_WORDS]]


class TradeWords:
    """What of a lexicon decides whether words can be a misheard form, and of which term."""

    def __init__(self, lexicon: Lexicon) -> None:
        spoken = [form for table in _TERMS for form in _spoken(lexicon, table)]
        self._terms = {_tokens(form) for form in (*spoken, *(entry.read for entry in lexicon.misheard))}
        self._fixed = {word for table in ("unit", "side") for form in _spoken(lexicon, table) for word in form.split()}
        self.telling = _telling(lexicon)
        self._words = {word for entry in lexicon.pronunciation for word in each_form(entry.words)}
        self.known = Forms(lexicon.misheard)

    def forms(self, entries: Iterable[Misheard]) -> Forms:
        """What finds the forms of further entries."""
        return Forms(entries)

    def telling_beside(self, words: Sequence[Word], place: WordRange) -> set[str]:
        """The words of the trade that stand beside a stretch of a case."""
        around = {plain_text(word.text) for word in _beside(words, *place)}
        return around & self.telling

    def heard(self, words: Sequence[Word], place: WordRange) -> str:
        """A stretch of a case as a form: small letters, no marks around words."""
        return " ".join(filter(None, (plain_text(word.text) for word in words[slice(*place)])))

    def why_never(self, form: str, read: str) -> str:
        """Why a form must not be read as a term; empty where nothing in the words themselves speaks against it."""
        tokens = _tokens(form)
        if _tokens(read) not in self._terms:
            return f"“{read}” is no term of the lexicon: add it as a device, drug, finding or place first"
        if any(not token.isalpha() or token in NUMBER_WORDS for token in tokens if token[:1] != "'"):
            return "it holds a figure"
        if found := [token for token in tokens if token in _KEPT or (token in self._fixed and len(token) > 2)]:
            return f"it holds “{found[0]}”, which is never repaired"
        if not tokens or tokens in self._terms:
            return "it is a term itself"
        return ""

    def is_ordinary(self, form: str) -> bool:
        """Whether a form is made of words of the language alone."""
        known = dictionary()
        return all(token.encode() in known or token in self._words for token in _tokens(form))


def _telling(lexicon: Lexicon) -> set[str]:
    alone = {form for table, least in _TELLING.items() for form in _spoken(lexicon, table) if len(form) >= least}
    heads = Counter(form.split()[-1] for form in _spoken(lexicon, "device"))
    shared = {head for head, times in heads.items() if times >= _SHARED}
    units = {form for entry in lexicon.unit if entry.code in _UNITS and entry.times == 1 for form in entry.forms}
    words = alone | shared | {form for form in units if len(form) >= _SHORT}
    return {word for word in words - _OF_ANYTHING - NUMBER_WORDS if word.isalpha()}


def _spoken(lexicon: Lexicon, table: str) -> list[str]:
    return [form for entry in getattr(lexicon, table) for form in each_form(entry.spoken)]


def _tokens(form: str) -> tuple[str, ...]:
    return tuple(text for text in form_tokens(form.lower()) if text not in {",", ".", "?", "!"})
