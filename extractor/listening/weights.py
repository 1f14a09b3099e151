"""A CTranslate2 model.bin <-> its arrays by name, without CTranslate2.

The file, version 4 and later, little-endian (after CTranslate2's ``model_reader``, from memory; proved by writing the
packaged models again, byte for byte): version, name of the specification, revision, how many variables; for each its
name, number of dimensions, dimensions, type, length in bytes, bytes; at the end the aliases, as pairs of names. Texts
have their length before them and a zero byte after.
"""

import mmap
import struct
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extractor.errors import ModelError

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, np.dtype[Any]]

#: CTranslate2's numbers of its types.
_TYPES = {0: "<f4", 1: "<i1", 2: "<i2", 3: "<i4", 4: "<f2"}
_OLDEST, _NEWEST = 4, 6


@dataclass(frozen=True, eq=False)
class Weights:
    """A model.bin taken apart. ``arrays``, in the file's order, are views of the file, which is not read until used."""

    version: int
    specification: str
    revision: int
    arrays: "Mapping[str, Array]"
    aliases: tuple[tuple[str, str], ...]


def read_weights(path: Path) -> Weights:
    """A CTranslate2 model.bin -> its arrays by name. ModelError where it is none, or damaged."""
    with path.open("rb") as file:
        try:
            content = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
        except ValueError as error:
            raise ModelError(f"{path}: empty, not a speech model") from error
    reader = _Reader(content)
    try:
        weights = reader.weights()
    except (struct.error, UnicodeDecodeError, ValueError) as error:
        raise ModelError(f"{path}: not a speech model of CTranslate2, or damaged ({error})") from error
    if reader.at != len(content):
        raise ModelError(f"{path}: damaged, {len(content) - reader.at} bytes follow its end")
    return weights


@dataclass
class _Reader:
    content: mmap.mmap
    at: int = 0

    def weights(self) -> Weights:
        version = self.number("I")
        if not _OLDEST <= version <= _NEWEST:
            raise ValueError(f"its version is {version}, not {_OLDEST} to {_NEWEST}")
        specification, revision = self.text(), self.number("I")
        arrays = dict(self.array() for _ in range(self.number("I")))
        aliases = tuple((self.text(), self.text()) for _ in range(self.number("I")))
        return Weights(version, specification, revision, arrays, aliases)

    def array(self) -> "tuple[str, Array]":
        import numpy as np

        name = self.text()
        shape = [self.number("I") for _ in range(self.number("B"))]
        kind, size = self.number("B"), self.number("I")
        if kind not in _TYPES:
            raise ValueError(f"{name} has a type of number unknown here: {kind}")
        dtype = np.dtype(_TYPES[kind])
        array = np.frombuffer(self.content, dtype, size // dtype.itemsize, self.at).reshape(shape)
        self.at += size
        return name, array

    def number(self, form: str) -> int:
        (value,) = struct.unpack_from(f"<{form}", self.content, self.at)
        self.at += struct.calcsize(form)
        return int(value)

    def text(self) -> str:
        size = self.number("H")
        text = self.content[self.at : self.at + size]
        if len(text) < size or not text.endswith(b"\0"):
            raise ValueError(f"no name stands at byte {self.at}")
        self.at += size
        return text[:-1].decode("ascii")


def pieces(weights: Weights, tuned: "Callable[[str, Array], Array] | None" = None) -> Iterator[bytes]:
    """The bytes of a model.bin, an array at a time. ``tuned``: name and array -> what stands in its place."""
    import numpy as np

    kinds = {np.dtype(dtype): number for number, dtype in _TYPES.items()}
    yield struct.pack("<I", weights.version) + _text(weights.specification)
    yield struct.pack("<II", weights.revision, len(weights.arrays))
    for name, array in weights.arrays.items():
        content = (tuned(name, array) if tuned else array).tobytes()
        yield _text(name) + struct.pack(f"<B{array.ndim}I", array.ndim, *array.shape)
        yield struct.pack("<BI", kinds[array.dtype], len(content))
        yield content
    yield struct.pack("<I", len(weights.aliases)) + b"".join(_text(name) for pair in weights.aliases for name in pair)


def _text(text: str) -> bytes:
    content = text.encode("ascii") + b"\0"
    return struct.pack("<H", len(content)) + content
