"""What else a figure may be, by the speech model's own odds.

At each token of a figure the model weighs every other token of its vocabulary. Those that are figures of the same
notation ("15" beside "50", "fifteen" beside "fifty") are what it nearly wrote: no second decoding is needed to know
how nearly.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

#: What else a piece may be, as it would be written, and how much likelier that is: natural logarithm of the odds.
PieceRival = tuple[str, float]

#: One in four hundred: what is less likely than that is no doubt. And so many of each token are kept.
_LEAST, _MOST = -6.0, 2
#: Written figures of more digits are years and batch numbers.
_MOST_DIGITS = 4


class Figures:
    """The tokens of a vocabulary that are figures, parted by notation: digits or words, with a space before or not."""

    def __init__(self, texts: Mapping[int, str], number_words: frozenset[str]) -> None:
        import numpy as np

        kinds: dict[tuple[str, bool], list[int]] = {}
        for token, text in texts.items():
            bare = text.strip().lower()
            notation = (
                "digits" if bare.isdecimal() and len(bare) <= _MOST_DIGITS else "words" if bare in number_words else ""
            )
            if notation:
                kinds.setdefault((notation, text[0].isspace()), []).append(token)
        self._texts = texts
        self._alike = {token: np.array(tokens) for tokens in kinds.values() for token in tokens}

    def rivals(self, tokens: Sequence[int], logits: Sequence[Any]) -> list[PieceRival]:
        """The tokens of one piece and the logits each was chosen from (one of the vocabulary) -> its rivals."""
        return [
            ("".join(self._texts[each] for each in (*tokens[:at], rival, *self._rest(tokens[at + 1 :], rival))), ratio)
            for at, token in enumerate(tokens)
            for rival, ratio in self._beside(token, logits[at])
        ]

    def _beside(self, token: int, logits: Any) -> Iterator[tuple[int, float]]:
        import numpy as np

        alike = self._alike.get(token)
        if alike is None:
            return
        odds = np.asarray(logits)
        ratios = odds[alike] - odds[token]
        own = self._texts[token].lower()
        found = 0
        for at in np.argsort(-ratios).tolist():
            other = self._texts[int(alike[at])].lower()
            if ratios[at] < _LEAST or found == _MOST:
                return
            # "6" beside "68" may go on with 8: it is no other figure yet.
            if not own.startswith(other) and not other.startswith(own):
                found += 1
                yield int(alike[at]), float(ratios[at])

    def _rest(self, tokens: Sequence[int], rival: int) -> Sequence[int]:
        """What stays behind the rival: "teen" does not, digits and marks do."""
        text = "".join(self._texts[each] for each in tokens)
        return () if any(letter.isalpha() for letter in text) and self._texts[rival].strip().isalpha() else tokens
