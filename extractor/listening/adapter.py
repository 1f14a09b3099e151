"""A speech model and a small adapter -> the tuned model, byte for byte the same on every machine.

An adapter holds, for some of a model's linear layers, two thin matrices: a (rank, in) and b (out, rank), as float16.
The tuned layer is ``weight + strength * (b @ a)``. Only numpy is needed, neither CTranslate2 nor PyTorch.

**Why the same everywhere.** The product is computed in float64 and rounded once. Every float16 is a whole multiple of
2^-24, so every product of two is one of 2^-48, and as long as the sums stay below 2^5 float64 holds each of them
without any rounding: in whatever order a machine adds, the result is the same. Larger sums are refused.

**model.bin** of CTranslate2, version 3 and later, little-endian (its ``model_reader``, from memory; proved by writing
the packaged models again, byte for byte): version, name of the specification, revision, how many variables; for each
its name, number of dimensions, dimensions, type, length in bytes, bytes; at the end the aliases, as pairs of names.
Texts have their length before them and a zero byte after.

**Adapter file**: a zip as numpy writes it, with ``LAYER|a.npy``, ``LAYER|b.npy`` and ``card.json``. LAYER is the name
CTranslate2 gives the layer, without ``/weight``; where it stacks several layers in one (queries, keys, values), so does
the adapter. The times in the zip are fixed: the same adapter gives the same file.
"""

import hashlib
import io
import mmap
import struct
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field, ValidationError

from extractor.errors import ModelError
from extractor.model import Frozen

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, np.dtype[Any]]

#: CTranslate2's numbers of its types.
_TYPES = {0: "<f4", 1: "<i1", 2: "<i2", 3: "<i4", 4: "<f2"}
_OLDEST, _NEWEST = 4, 6
#: Sums of products below this are exact in float64 (see above).
_LARGEST_SUM = 2.0**5
_CARD = "card.json"
_FIXED_TIME = (1980, 1, 1, 0, 0, 0)
_LARGEST_FILE = 64_000_000
#: What zipfile and numpy raise where a file is damaged (RuntimeError: it says it is encrypted).
_UNREADABLE = (OSError, zipfile.BadZipFile, zlib.error, RuntimeError, KeyError, ValueError, EOFError)


class Card(Frozen):
    """What a person should know of an adapter. ``figures``: what was measured -> the figure, with its count."""

    name: str
    base_sha256: Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
    strength: Annotated[float, Field(ge=0.0, le=2.0)]
    rank: Annotated[int, Field(ge=1)]
    trained_on: str
    command: str
    licence: str
    figures: dict[str, str] = Field(default_factory=dict)
    limits: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Adapter:
    """``layers``: a layer's name -> a (rank, in) and b (out, rank), float16; ``card.strength`` is not yet in them."""

    card: Card
    layers: "Mapping[str, tuple[Array, Array]]"


@dataclass(frozen=True, eq=False)
class Weights:
    """A model.bin taken apart. ``arrays``, in the file's order, are views of the file, which is not read until used."""

    version: int
    specification: str
    revision: int
    arrays: "Mapping[str, Array]"
    aliases: tuple[tuple[str, str], ...]


# --- model.bin


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


def pieces(weights: Weights, adapter: Adapter | None = None, strength: float = 0.0) -> Iterator[bytes]:
    """The bytes of a model.bin, a layer at a time; with an adapter at ``strength`` added to the layers it names.

    Raises ModelError, before the first byte, where the adapter does not fit the weights.
    """
    import numpy as np

    layers = {f"{name}/weight": pair for name, pair in adapter.layers.items()} if adapter else {}
    if adapter:
        for name, (a, b) in layers.items():
            _require_fit(adapter.card.name, name, weights.arrays.get(name), a, b)
    kinds = {np.dtype(dtype): number for number, dtype in _TYPES.items()}
    yield struct.pack("<I", weights.version) + _text(weights.specification)
    yield struct.pack("<II", weights.revision, len(weights.arrays))
    for name, array in weights.arrays.items():
        content = (_tuned(name, array, *layers[name], strength) if name in layers else array).tobytes()
        yield _text(name) + struct.pack(f"<B{array.ndim}I", array.ndim, *array.shape)
        yield struct.pack("<BI", kinds[array.dtype], len(content))
        yield content
    yield struct.pack("<I", len(weights.aliases)) + b"".join(_text(name) for pair in weights.aliases for name in pair)


def _text(text: str) -> bytes:
    content = text.encode("ascii") + b"\0"
    return struct.pack("<H", len(content)) + content


# --- merging


def merge(base: Path, adapter: Adapter, strength: float | None = None) -> Iterator[bytes]:
    """The base's model.bin with the adapter in it, at the card's strength if none is given.

    Needs the memory of one layer. Raises ModelError, before the first byte, where base and adapter do not belong
    together.
    """
    weights = read_weights(base)
    with base.open("rb") as file:
        found = hashlib.file_digest(file, "sha256").hexdigest()
    if found != adapter.card.base_sha256:
        raise ModelError(
            f"the adapter {adapter.card.name} was made for the speech model {adapter.card.base_sha256}, "
            f"and {base} is {found}: they cannot be merged"
        )
    yield from pieces(weights, adapter, adapter.card.strength if strength is None else strength)


def stack(lower: Adapter, upper: Adapter, card: Card) -> Adapter:
    """Two adapters, ``upper`` trained on top of ``lower`` -> one that does what both do, at strength 1."""
    import numpy as np

    layers = {}
    for name in dict.fromkeys([*lower.layers, *upper.layers]):
        found = [(each.layers[name], each.card.strength) for each in (lower, upper) if name in each.layers]
        a = np.concatenate([pair[0] for pair, _ in found])
        b = np.concatenate([(pair[1].astype(np.float64) * k).astype(np.float16) for pair, k in found], axis=1)
        layers[name] = (a, b)
    return Adapter(card.model_copy(update={"strength": 1.0, "rank": max(len(a) for a, _ in layers.values())}), layers)


def _tuned(name: str, weight: "Array", a: "Array", b: "Array", strength: float) -> "Array":
    import numpy as np

    exact = weight.astype(np.float64) + strength * (b.astype(np.float64) @ a.astype(np.float64))
    with np.errstate(over="ignore"):
        tuned = exact.astype(weight.dtype)
    if not np.isfinite(tuned).all():
        raise ModelError(f"{name}: the merged weights are too large for the model; the adapter is damaged")
    return tuned


def _require_fit(adapter: str, name: str, weight: "Array | None", a: "Array", b: "Array") -> None:
    import numpy as np

    if weight is None:
        raise ModelError(f"the adapter {adapter} changes {name}, which the speech model has not")
    if weight.dtype.kind != "f" or weight.ndim != 2:
        raise ModelError(f"the adapter {adapter} changes {name}, which is no matrix of real numbers there")
    if (b.shape[0], a.shape[1]) != weight.shape:
        raise ModelError(
            f"the adapter {adapter} does not fit: its {name} is {b.shape[0]} × {a.shape[1]}, "
            f"the speech model's is {weight.shape[0]} × {weight.shape[1]}"
        )
    largest = float(np.abs(b).astype(np.float64).sum(axis=1).max() * np.abs(a).max())
    if not largest < _LARGEST_SUM:
        raise ModelError(f"the adapter {adapter}: the numbers of its {name} are too large; it is damaged")


# --- the adapter's file


def write_adapter(adapter: Adapter, path: Path) -> None:
    """The adapter as one file, the same bytes for the same adapter."""
    import numpy as np

    contents = {_CARD: adapter.card.model_dump_json(indent=1).encode()}
    for name, pair in sorted(adapter.layers.items()):
        for key, array in zip("ab", pair, strict=True):
            out = io.BytesIO()
            np.lib.format.write_array(out, np.ascontiguousarray(array, np.dtype("<f2")), version=(1, 0))
            contents[f"{name}|{key}.npy"] = out.getvalue()
    with zipfile.ZipFile(path, "w") as box:
        for name, content in contents.items():
            entry = zipfile.ZipInfo(name, _FIXED_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            box.writestr(entry, content)


def read_adapter(path: Path) -> Adapter:
    """An adapter's file -> the adapter. ModelError where it is none, or damaged, or holds numbers that are none."""
    with _reading(path) as box:
        if sum(entry.file_size for entry in box.infolist()) > _LARGEST_FILE:
            raise ModelError(f"{path}: too large for an adapter")
        contents = {entry.filename: box.read(entry) for entry in box.infolist()}
        return Adapter(Card.model_validate_json(contents.pop(_CARD)), _layers(contents))


def read_card(path: Path) -> Card:
    """An adapter's file -> its card alone. ModelError as for ``read_adapter``."""
    with _reading(path) as box:
        return Card.model_validate_json(box.read(_CARD))


@contextmanager
def _reading(path: Path) -> Iterator[zipfile.ZipFile]:
    """The adapter's file, open; whatever is wrong with it as a ModelError."""
    try:
        with zipfile.ZipFile(path) as box:
            yield box
    except FileNotFoundError as error:
        raise ModelError(f"{path}: there is no such adapter") from error
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(map(str, first["loc"]))
        raise ModelError(f"{path}: the adapter's card cannot be used ({where}: {first['msg']})") from error
    except (
        OSError,
        zipfile.BadZipFile,
        zlib.error,
        NotImplementedError,
        RuntimeError,
        KeyError,
        ValueError,
        EOFError,
    ) as error:
        raise ModelError(f"{path}: not an adapter, or damaged ({error})") from error


def _layers(contents: Mapping[str, bytes]) -> "dict[str, tuple[Array, Array]]":
    """ValueError where half a layer is missing, or is no matrix of finite float16 numbers that fits the other."""
    import numpy as np

    halves: dict[str, dict[str, Array]] = {}
    for name, content in contents.items():
        layer, _, key = name.removesuffix(".npy").rpartition("|")
        array = np.lib.format.read_array(io.BytesIO(content), allow_pickle=False)
        if key not in {"a", "b"} or array.dtype != np.float16 or array.ndim != 2 or not array.size:
            raise ValueError(f"{name} is no matrix of float16 numbers")
        if not np.isfinite(array).all():
            raise ValueError(f"{name} holds numbers that are not finite")
        halves.setdefault(layer, {})[key] = array
    for layer, pair in halves.items():
        if pair.keys() != {"a", "b"} or pair["b"].shape[1] != pair["a"].shape[0]:
            raise ValueError(f"the halves of {layer} do not belong together")
    if not halves:
        raise ValueError("it changes nothing")
    return {layer: (pair["a"], pair["b"]) for layer, pair in halves.items()}
