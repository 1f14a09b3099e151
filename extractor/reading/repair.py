"""Words -> words with misheard trade terms put right: first forms really heard, from the lexicon; then by their sound.

Every repair keeps what was heard and is marked for review, since the form could also be ordinary talk.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from extractor.lexicon import Lexicon, Misheard
from extractor.model import Correction, Word
from extractor.reading.soundalikes import Soundalikes, plain_text
from extractor.reading.tokens import tokenise

#: How many words to either side count as beside a misheard form.
_NEAR_WORDS = 6


@dataclass(frozen=True, slots=True)
class _Form:
    tokens: tuple[str, ...]
    entry: Misheard


class Repairer:
    """Knows every misheard form by its first token. Made once for a lexicon; pure afterwards."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._soundalikes = Soundalikes(lexicon)
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
        plain = [plain_text(text) for text in texts]
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
        corrections += self._soundalikes.put_right(words, texts)
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
