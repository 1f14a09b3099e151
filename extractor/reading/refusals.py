"""What a sentence begins with that turns down what was just asked for or thought of: "I say no.", "Skip it."

The words are the lexicon's (``[[refusal]]``); whether something is there to be turned down is told by the story.
"""

from collections.abc import Iterator, Sequence

from extractor.lexicon import Lexicon, Refusal, each_form
from extractor.reading.tokens import form_tokens

#: What may stand before them.
_FIRST = frozenset("well oh ah eh hm hmm och ach actually look right okay ok ha sorry , ... - honestly but".split())
#: So many words may stand before what it is about.
_FAR = 3


class Refusals:
    """Made once for a lexicon; pure afterwards."""

    def __init__(self, lexicon: Lexicon) -> None:
        forms = [(form_tokens(form), refusal) for refusal in lexicon.refusal for form in each_form(refusal.spoken)]
        self._by_head: dict[str, list[tuple[tuple[str, ...], Refusal]]] = {}
        for form, refusal in sorted(forms, key=lambda known: -len(known[0])):  # the longest first
            self._by_head.setdefault(form[0], []).append((form, refusal))

    def opening(self, tokens: Sequence[str]) -> tuple[str, int]:
        """Tokens of a sentence -> the name of the refusal it begins with, and the token behind it; "" where none."""
        at = next((at for at, token in enumerate(tokens) if token not in _FIRST), len(tokens))
        return next(self._openings(tokens, at), ("", 0))

    def _openings(self, tokens: Sequence[str], at: int) -> Iterator[tuple[str, int]]:
        for form, refusal in self._by_head.get(tokens[at], ()) if at < len(tokens) else ():
            past = at + len(form)
            if tuple(tokens[at:past]) != form:
                continue
            if not refusal.about:
                yield refusal.name, past
            for named in range(past, min(past + _FAR + 1, len(tokens))):
                if tokens[named] in refusal.about:
                    yield refusal.name, named + 1
                if not tokens[named].isalnum():
                    break
