"""Words -> words with misheard trade terms put right: first forms really heard, from the lexicon; then by their sound.

Every repair keeps what was heard and is marked for review, since the form could also be ordinary talk.
"""

from collections.abc import Sequence

from extractor.lexicon import Lexicon
from extractor.model import Correction, Word
from extractor.reading.misheard import Forms, plain_text
from extractor.reading.soundalikes import Soundalikes


class Repairer:
    """Puts the terms of a lexicon right. Made once for it; pure afterwards."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._soundalikes = Soundalikes(lexicon)
        self._forms = Forms(lexicon.misheard)

    def repair(self, words: Sequence[Word]) -> tuple[list[str], list[Correction]]:
        """Words -> their texts after repair (a repaired stretch stands in its first word), and what was repaired."""
        texts = [word.text for word in words]
        plain = [plain_text(text) for text in texts]
        corrections: list[Correction] = []
        index = 0
        while index < len(texts):
            found = self._forms.at(plain, index)
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
