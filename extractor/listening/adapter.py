"""A speech model and a small adapter -> the tuned model, byte for byte the same on every machine.

An adapter holds, for some of a model's linear layers, two thin matrices: a (rank, in) and b (out, rank), as float16.
The tuned layer is ``weight + strength * (b @ a)``. Only numpy is needed, neither CTranslate2 nor PyTorch.

**Why the same everywhere.** The product is computed in float64 and rounded once. Every float16 is a whole multiple of
2^-24, so every product of two is one of 2^-48, and as long as the sums stay below 2^5 float64 holds each of them
without any rounding: in whatever order a machine adds, the result is the same. Larger sums are refused.

**Adapter file**: a zip as numpy writes it, with ``LAYER|a.npy``, ``LAYER|b.npy`` and ``card.json``. LAYER is the name
CTranslate2 gives the layer, without ``/weight``; where it stacks several layers in one (queries, keys, values), so does
the adapter. The times in the zip are fixed: the same adapter gives the same file.
"""

import hashlib
import io
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field, ValidationError

from extractor.errors import ModelError
from extractor.listening.weights import pieces, read_weights
from extractor.model import Frozen

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, np.dtype[Any]]

#: Sums of products below this are exact in float64 (see above).
_LARGEST_SUM = 2.0**5
_CARD = "card.json"
_FIXED_TIME = (1980, 1, 1, 0, 0, 0)
_LARGEST_FILE = 64_000_000
#: What zipfile and numpy raise where a file is damaged (RuntimeError: it says it is encrypted).
_UNREADABLE = (
    OSError, zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, KeyError, ValueError, EOFError,
)  # fmt: skip


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

    def lines(self) -> tuple[str, ...]:
        """What a person reads, a line each."""
        figures = (f"{name}: {figure}" for name, figure in self.figures.items())
        return (f"trained on {self.trained_on}", *figures, *(f"limit: {each}" for each in self.limits))


@dataclass(frozen=True, eq=False)
class Adapter:
    """``layers``: a layer's name -> a (rank, in) and b (out, rank), float16; ``card.strength`` is not yet in them."""

    card: Card
    layers: "Mapping[str, tuple[Array, Array]]"


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
    layers = {f"{name}/weight": pair for name, pair in adapter.layers.items()}
    for name, pair in layers.items():
        _require_fit(adapter.card.name, name, weights.arrays.get(name), *pair)
    k = adapter.card.strength if strength is None else strength
    yield from pieces(weights, lambda name, array: _tuned(name, array, *layers[name], k) if name in layers else array)


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
    except _UNREADABLE as error:
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
