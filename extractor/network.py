"""The second reader's network: what stands at each token of a case -> what its figures and sentences are likely to be.

Learned vectors of what stands at a token are added up; layers, each a convolution over three tokens, attention to 64
tokens on either side and two dense steps; one linear step for each of three answers. The weights are data
(lexicons/second_reader.npz), fitted by tools/second_reader/fit.py. All in NumPy, in time linear in the tokens.
"""

import hashlib
import json
import zlib
from collections.abc import Mapping, Sequence
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extractor.lexicon import folder
from extractor.model import Sentence, Status
from extractor.reconciling.second_reader import Opinion, Reading, Token, tokens
from extractor.reconciling.story import Draft

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

#: The file of the weights, beside the lexicons.
NAME = "second_reader.npz"
#: Attention reaches so many tokens to either side. The weights were fitted with it.
REACH = 64
#: Pieces of three and four letters of a word, at most so many, in so many vectors: what tells of a word never seen.
PIECES, PIECE_VECTORS = 12, 4096
STATUSES = tuple(Status)
#: Blocks of attention worked on together: what a processor keeps at hand.
_AT_A_TIME = 8
#: How like a token is to one that is not to be seen.
_NOT = -1e4
#: The features of a token that are names, in the order of its fields.
_NAMES = ("thing", "status", "unit", "form", "after", "placed", "again")


def pieces(word: str) -> list[int]:
    """A word -> the numbers of the vectors of its pieces of three and four letters, borders marked."""
    marked = f"^{word}$"
    found = [marked[at : at + long] for long in (3, 4) for at in range(len(marked) - long + 1)]
    return [zlib.crc32(piece.encode()) % (PIECE_VECTORS - 1) + 1 for piece in found][:PIECES]


@cache
def second_reader(path: Path | None = None) -> "Network":
    """The shipped network, or that of a file of weights, loaded once."""
    import numpy as np

    content = (path or folder() / NAME).read_bytes()
    with np.load(BytesIO(content)) as data:
        return Network({name: data[name] for name in data.files}, hashlib.sha256(content).hexdigest())


class Network:
    """The network with its weights: arrays by name, ``names`` a JSON text of what the rows of its tables stand for."""

    def __init__(self, arrays: "Mapping[str, NDArray[Any]]", sha256: str = "") -> None:
        import numpy as np

        self.sha256 = sha256
        names = json.loads(str(arrays["names"]))
        self._rows: dict[str, dict[str, int]] = names["rows"]
        self._places: list[str] = names["places"]
        self.labels = {(name, Status(status)): at for at, (name, status) in enumerate(names["events"])}
        self._weights = {name: array.astype(np.float32) for name, array in arrays.items() if name != "names"}
        self._layers = sum(name.endswith(".qkv.weight") for name in self._weights)
        self._heads = self._weights["bias"].shape[1]
        self._unseen: dict[str, Floats] = {}
        near = np.arange(-REACH, 2 * REACH)[None] - np.arange(REACH)[:, None]  # of a key to a query of its block
        beyond = np.where(np.abs(near) > REACH, _NOT, 0).astype(np.float32)
        self._bias = self._weights["bias"][:, :, np.clip(near, -REACH, REACH) + REACH] + beyond

    def read(self, sentences: Sequence[Sentence], drafts: Sequence[Draft]) -> Opinion:
        """A case as the rules read it -> what the network says of it. Pure; in time linear in its tokens."""
        import numpy as np

        seen = tokens(sentences, drafts)
        places = [at for at, token in enumerate(seen) if token.figure is not None]
        begins = [at for at, token in enumerate(seen) if token.begins]
        if not seen:
            return Opinion({}, (), self.labels)
        state = self._through(self._vectors(seen))
        what, status = _softmax(self._dense("out", state[places])), _softmax(self._dense("st", state[places]))
        likeliest = zip(what.argmax(1), what.max(1), status.argmax(1), status.max(1), strict=True)
        figures = {
            figure.words: Reading(self._places[place], float(likely), STATUSES[number], float(status_likely))
            for figure, (place, likely, number, status_likely) in zip(
                filter(None, (seen[at].figure for at in places)), likeliest, strict=True
            )
        }
        events = 1 / (1 + np.exp(-self._dense("ev", state[begins])))
        return Opinion(figures, events.tolist(), self.labels)

    def _vectors(self, seen: Sequence[Token]) -> "Floats":
        import numpy as np

        weights = self._weights
        state = np.stack([self._word(token.word) for token in seen])
        for feature, said in zip(_NAMES, zip(*(token[2:9] for token in seen), strict=True), strict=True):
            rows = self._rows[feature]
            state += weights[f"e.{feature}"][[rows.get(name, 1) if name else 0 for name in said]]
        state += weights["size"][[token.size for token in seen]]
        events = self._rows["events"]
        for at, token in enumerate(seen):
            if token.events:
                state[at] += weights["re"][[events[event] for event in token.events if event in events]].sum(0)
        return self._normal("n0", state)

    def _word(self, word: str) -> "Floats":
        import numpy as np

        row = self._rows["word"].get(word)
        if row is not None:
            known: Floats = self._weights["e.word"][row]
            return known
        if word not in self._unseen:
            found = self._weights["pieces"][pieces(word)].sum(0) * np.float32(2 / PIECES)
            self._unseen[word] = self._weights["e.word"][1] + found
        return self._unseen[word]

    def _through(self, state: "Floats") -> "Floats":
        import numpy as np

        for layer in range(self._layers):
            name = f"layers.{layer}."
            state = state + np.maximum(self._beside(f"{name}conv", self._normal(f"{name}n1", state)), 0)
            state = state + self._dense(f"{name}o", self._attend(layer, self._normal(f"{name}n2", state)))
            inner = np.maximum(self._dense(f"{name}f1", self._normal(f"{name}n3", state)), 0)
            state = state + self._dense(f"{name}f2", inner)
        return state

    def _beside(self, name: str, state: "Floats") -> "Floats":
        """A convolution over a token and its neighbours."""
        weights = self._weights[f"{name}.weight"]  # (out, in, 3)
        told: Floats = state @ weights[:, :, 1].T
        told[1:] += state[:-1] @ weights[:, :, 0].T
        told[:-1] += state[1:] @ weights[:, :, 2].T
        told += self._weights[f"{name}.bias"]
        return told

    def _attend(self, layer: int, state: "Floats") -> "Floats":
        """Attention in blocks: each to itself and the blocks beside it, as far as it reaches."""
        import numpy as np

        count, wide = state.shape
        blocks = -(-count // REACH)
        padded = np.zeros((3, blocks * REACH + 2 * REACH, wide), np.float32)
        padded[:, REACH : REACH + count] = (
            self._dense(f"layers.{layer}.qkv", state).reshape(count, 3, wide).swapaxes(0, 1)
        )
        padded[0] *= np.float32((wide // self._heads) ** -0.5)
        parts = padded.reshape(3, blocks + 2, REACH, self._heads, -1).transpose(0, 1, 3, 2, 4)
        told = np.empty((blocks, REACH, self._heads, wide // self._heads), np.float32)
        for first in range(0, blocks, _AT_A_TIME):
            past = min(blocks, first + _AT_A_TIME)
            key, value = (
                np.concatenate([parts[at, first + shift : past + shift] for shift in range(3)], axis=2) for at in (1, 2)
            )
            likeness = parts[0, first + 1 : past + 1] @ key.swapaxes(2, 3)
            likeness += self._bias[layer]
            if first == 0:
                likeness[0, :, :, :REACH] = _NOT
            for block in range(max(first, blocks - 2), past):
                likeness[block - first, :, :, max(0, count - (block - 1) * REACH) :] = _NOT
            np.exp(likeness, out=likeness)
            seen = likeness @ value
            seen /= likeness.sum(-1, keepdims=True)
            told[first:past] = seen.transpose(0, 2, 1, 3)
        return told.reshape(blocks * REACH, wide)[:count]

    def _dense(self, name: str, state: "Floats") -> "Floats":
        told: Floats = state @ self._weights[f"{name}.weight"].T + self._weights[f"{name}.bias"]
        return told

    def _normal(self, name: str, state: "Floats") -> "Floats":
        import numpy as np

        centred = state - state.mean(-1, keepdims=True)
        spread = np.sqrt((centred * centred).mean(-1, keepdims=True) + np.float32(1e-5))
        told: Floats = centred / spread * self._weights[f"{name}.weight"] + self._weights[f"{name}.bias"]
        return told


def _softmax(state: "Floats") -> "Floats":
    import numpy as np

    told: Floats = np.exp(state - state.max(-1, keepdims=True))
    told /= told.sum(-1, keepdims=True)
    return told
