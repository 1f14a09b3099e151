"""The second reader's network: what stands at each token of a case -> what its figures and sentences are likely to be.

A general language model of English (MPNet base), fitted further to invented cases: it knows which words are like
which, also those that no case had. Beside the pieces of a word it sees what the lexicons know of it and
what the rules made of it. The network is data (lexicons/second_reader.onnx, fitted by tools/second_reader) and is run
by onnxruntime, in stretches, in time linear in the tokens.
"""

import hashlib
import json
import re
from collections.abc import Container, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from extractor.lexicon import folder
from extractor.model import Sentence, Status, WordRange
from extractor.reconciling.second_reader import MOST_EVENTS, PERSON, Opinion, Reading, Token, tokens
from extractor.reconciling.story import Draft

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]
    Rows = NDArray[np.int64]

#: The file of the network, beside the lexicons.
NAME = "second_reader.onnx"
STATUSES = tuple(Status)
#: The features of a token that are names, in the order of its fields and of the network's tables.
FEATURES = ("thing", "status", "unit", "form", "after", "placed", "again")
#: Pieces read at once, the sentences before and behind them that are read with them, and the most there can be.
_AT_ONCE, _AROUND, _LONGEST = 240, 60, 512
#: Cores that work on a stretch. Its products are parted by rows, so that what comes out is the same with any number.
_THREADS = 2
_SPELT = {"<sentence>": ".", "<question>": "?", PERSON: "sir"}
_PARTS = re.compile(r"[a-z0-9]+|[^a-z0-9\s]")


class Pieces:
    """Spells words with the pieces a language model knows, the longest first."""

    def __init__(self, vocabulary: Sequence[str]) -> None:
        self._numbers = {piece: number for number, piece in enumerate(vocabulary)}
        self._unknown = self._numbers["[UNK]"]
        self._known: dict[str, tuple[int, ...]] = {}

    def spell(self, text: str) -> tuple[int, ...]:
        """Words in lower case -> the numbers of their pieces; at least one."""
        if text not in self._known:
            spelt = [number for part in _PARTS.findall(text) for number in self._part(part)]
            self._known[text] = tuple(spelt) or (self._unknown,)
        return self._known[text]

    def _part(self, part: str) -> list[int]:
        spelt, start = [], 0
        while start < len(part):
            for past in range(len(part), start, -1):
                number = self._numbers.get(("##" if start else "") + part[start:past])
                if number is not None:
                    spelt.append(number)
                    start = past
                    break
            else:
                return [self._unknown]
        return spelt


def spelling(token: Token) -> str:
    """What the language model reads of a token: its word, of a figure the number and its unit."""
    if token.figure is not None:
        return f"{token.figure.value:g} {token.figure.unit or ''}".lower()
    return _SPELT.get(token.word, token.word)


class _Stretch(NamedTuple):
    """Sentences to be told of, half-open, and the pieces that are read for it: theirs and those around them."""

    first: int
    last: int
    start: int
    past: int


@cache
def second_reader(path: Path | None = None) -> "Network":
    """The shipped network, or that of a file, loaded once."""
    return Network(path or folder() / NAME)


class Network:
    """The network of an ONNX file. Its metadata ``names`` says what the rows of its tables stand for."""

    def __init__(self, path: Path) -> None:
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads, options.inter_op_num_threads = _THREADS, 1
        self._session: Any = onnxruntime.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])
        names = json.loads(self._session.get_modelmeta().custom_metadata_map["names"])
        with path.open("rb") as file:
            self.sha256 = hashlib.file_digest(file, "sha256").hexdigest()
        self._tables: Sequence[Mapping[str, int]] = [names["rows"][feature] for feature in FEATURES]
        self._events: Mapping[str, int] = names["rows"]["events"]
        self._places: Sequence[str] = names["places"]
        self.labels = {(name, Status(status)): at for at, (name, status) in enumerate(names["events"])}
        self._pieces = Pieces(names["vocabulary"])

    def read(self, sentences: Sequence[Sentence], drafts: Sequence[Draft], people: Container[str] = ()) -> Opinion:
        """A case as the rules read it, and what the people in it are called -> what the network says of it. Pure; in
        time linear in its tokens.
        """
        import numpy as np

        seen = tokens(sentences, drafts, people)
        if not seen:
            return Opinion({}, (), self.labels)
        spelt = [self._pieces.spell(spelling(token)) for token in seen]
        heads = np.cumsum([0, *map(len, spelt)])  # of each token its first piece; then how many there are
        rows = self._rows_of(seen, spelt)
        begins = [at for at, token in enumerate(seen) if token.begins]
        asked: list[list[int]] = [[] for _ in begins]  # of each sentence, its figures
        for at, token in enumerate(seen):
            if token.figure is not None:
                asked[token.sentence].append(at)
        figures: dict[WordRange, Reading] = {}
        events: list[Sequence[float]] = []
        # One by one: 8-bit products are scaled by the largest number in them, so what is read together is not apart.
        for stretch in _stretches(heads[begins].tolist(), int(heads[-1])):
            what, status, told = self._ask(stretch, rows)
            for number in range(stretch.first, stretch.last):
                place = min(int(heads[begins[number]]) - stretch.start, len(told) - 1)
                events.append((1 / (1 + np.exp(-told[place]))).tolist())
                for figure in asked[number]:
                    place = min(int(heads[figure]) - stretch.start, len(told) - 1)
                    words = seen[figure].figure.words  # type: ignore[union-attr]
                    figures[words] = self._reading(what[place], status[place])
        return Opinion(figures, events, self.labels)

    def _rows_of(self, seen: Sequence[Token], spelt: Sequence[tuple[int, ...]]) -> "dict[str, Rows]":
        """Tokens and their pieces -> the network's inputs, a row a piece."""
        import numpy as np

        many = [len(pieces) for pieces in spelt]
        rows = [
            [table.get(name, 1) if name else 0 for name in names]
            for table, names in zip(self._tables, zip(*(token[2:9] for token in seen), strict=True), strict=True)
        ]
        told = np.zeros((sum(many), MOST_EVENTS), np.int64)
        place = 0
        for token, long in zip(seen, many, strict=True):
            if token.events:
                shown = [self._events.get(event, 0) for event in token.events]
                told[place, : len(shown)] = shown
            place += long
        return {
            "piece": np.fromiter((piece for pieces in spelt for piece in pieces), np.int64, sum(many)),
            "features": np.repeat(np.array(rows, np.int64).T, many, axis=0),
            "size": np.repeat(np.array([token.size for token in seen], np.int64), many),
            "events": told,
        }

    def _ask(self, stretch: _Stretch, rows: "Mapping[str, Rows]") -> "tuple[Floats, Floats, Floats]":
        """A stretch -> three answers at each of its pieces, at most the longest there can be."""
        past = min(stretch.past, stretch.start + _LONGEST)
        given = {name: column[None, stretch.start : past] for name, column in rows.items()}
        what, status, told = self._session.run(None, given)
        return what[0], status[0], told[0]

    def _reading(self, what: "Floats", status: "Floats") -> Reading:
        """Answers at a figure -> what it most likely is."""
        what, status = _softmax(what), _softmax(status)
        best, state = int(what.argmax()), int(status.argmax())
        return Reading(self._places[best], float(what[best]), STATUSES[state], float(status[state]))


def _stretches(begins: Sequence[int], count: int) -> Iterator[_Stretch]:
    """The first pieces of all sentences, and how many pieces there are -> stretches that cover them, each with whole
    sentences around it.
    """
    ends = [*begins[1:], count]
    first = 0
    while first < len(begins):
        last = first + 1
        while last < len(begins) and ends[last] - begins[first] <= _AT_ONCE:
            last += 1
        before, behind = first, last - 1
        while before > 0 and begins[first] - begins[before - 1] <= _AROUND:
            before -= 1
        while behind + 1 < len(begins) and ends[behind + 1] - ends[last - 1] <= _AROUND:
            behind += 1
        yield _Stretch(first, last, begins[before], ends[behind])
        first = last


def _softmax(state: "Floats") -> "Floats":
    import numpy as np

    told: Floats = np.exp(state - state.max(-1, keepdims=True))
    told /= told.sum(-1, keepdims=True)
    return told
