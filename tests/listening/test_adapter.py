"""Base and adapter give the tuned model, exactly; whatever does not belong together is refused."""

import hashlib
import json
import struct
import zipfile
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from extractor.errors import ModelError
from extractor.listening import adapter
from extractor.listening.adapter import Adapter, Card, merge, read_adapter, stack, write_adapter
from extractor.listening.speech_models import resolve
from extractor.listening.weights import pieces, read_weights

KINDS = {"float32": 0, "int8": 1, "int16": 2, "int32": 3, "float16": 4}
LINEAR, WIDE = "encoder/layer_0/ffn/linear_0", "encoder/layer_0/self_attention/linear_0"


def text(value: str) -> bytes:
    return struct.pack("<H", len(value) + 1) + value.encode() + b"\0"


def model_bin(arrays: dict[str, np.ndarray], *, version: int = 6, aliases: tuple[tuple[str, str], ...] = ()) -> bytes:
    """A model.bin by hand, so that the reader is not tested with its own writer."""
    out = struct.pack("<I", version) + text("WhisperSpec") + struct.pack("<II", 3, len(arrays))
    for name, array in arrays.items():
        out += text(name) + struct.pack("<B", array.ndim) + b"".join(struct.pack("<I", n) for n in array.shape)
        out += struct.pack("<BI", KINDS[array.dtype.name], array.nbytes) + array.tobytes()
    return out + struct.pack("<I", len(aliases)) + b"".join(text(name) for pair in aliases for name in pair)


def matrix(*shape: int, scale: float = 0.1, seed: int = 1) -> np.ndarray:
    return (np.random.default_rng(seed).standard_normal(shape) * scale).astype(np.float16)


@pytest.fixture
def arrays() -> dict[str, np.ndarray]:
    return {
        "decoder/pre_norm": np.array(1, np.int8),
        f"{LINEAR}/weight": matrix(6, 4),
        f"{LINEAR}/bias": matrix(6),
        f"{WIDE}/weight": matrix(12, 4).astype(np.float32),
        "decoder/alignment_heads": np.array([[0, 1]], np.int32),
    }


@pytest.fixture
def base(arrays: dict[str, np.ndarray], tmp_path: Path) -> Path:
    path = tmp_path / "model.bin"
    path.write_bytes(model_bin(arrays, aliases=(("decoder/projection", LINEAR),)))
    return path


def card(base: Path, **more: object) -> Card:
    known = {"name": "small", "strength": 0.5, "rank": 2, "trained_on": "nothing", "command": "none", "licence": "none"}
    return Card.model_validate({**known, "base_sha256": hashlib.sha256(base.read_bytes()).hexdigest(), **more})


@pytest.fixture
def small(base: Path) -> Adapter:
    return Adapter(card(base), {LINEAR: (matrix(2, 4), matrix(6, 2)), WIDE: (matrix(3, 4), matrix(12, 3))})


def merged(base: Path, small: Adapter, strength: float | None = None) -> dict[str, np.ndarray]:
    base.with_name("merged.bin").write_bytes(b"".join(merge(base, small, strength)))
    return dict(read_weights(base.with_name("merged.bin")).arrays)


# --- model.bin


def test_a_model_is_read_as_it_was_written(base, arrays):
    weights = read_weights(base)
    assert (weights.version, weights.specification, weights.revision) == (6, "WhisperSpec", 3)
    assert weights.aliases == (("decoder/projection", LINEAR),)
    assert list(weights.arrays) == list(arrays)
    for name, array in arrays.items():
        assert weights.arrays[name].dtype == array.dtype
        np.testing.assert_array_equal(weights.arrays[name], array)


def test_a_model_written_again_is_the_same_byte_for_byte(base):
    assert b"".join(pieces(read_weights(base))) == base.read_bytes()


@pytest.mark.sound
@pytest.mark.parametrize("name", ["base", "tiny.en"])
def test_a_packaged_model_written_again_is_the_same_byte_for_byte(name):
    model = resolve(name)
    digest = hashlib.sha256()
    for piece in pieces(read_weights(model.folder / "model.bin")):
        digest.update(piece)
    assert digest.hexdigest() == model.sha256


DAMAGE = {
    "nothing in it": (lambda content: b"", "empty"),
    "no model": (lambda content: b"%PDF-1.7 and more that is no model", "its version is"),
    "an old version": (lambda content: struct.pack("<I", 3) + content[4:], "its version is 3"),
    "cut in an array": (lambda content: content[:200], "damaged"),
    "cut in a name": (lambda content: content[:60], "damaged"),
    "cut in the aliases": (lambda content: content[:-4], "damaged"),
    "more behind it": (lambda content: content + b"more", "4 bytes follow its end"),
    "an unknown type": (lambda content: content.replace(b"pre_norm\0\0\1", b"pre_norm\0\0\7"), "unknown here: 7"),
}  # fmt: skip


@pytest.mark.parametrize(("spoil", "said"), DAMAGE.values(), ids=DAMAGE)
def test_a_damaged_model_is_refused(base, spoil, said):
    base.write_bytes(spoil(base.read_bytes()))
    with pytest.raises(ModelError, match=said):
        read_weights(base)


# --- merging


def test_merging_adds_the_adapter_exactly(base, arrays, small):
    tuned = merged(base, small)
    a, b = small.layers[LINEAR]
    for row in range(6):
        for column in range(4):
            exact = Fraction(float(arrays[f"{LINEAR}/weight"][row, column])) + Fraction(1, 2) * sum(
                Fraction(float(b[row, k])) * Fraction(float(a[k, column])) for k in range(2)
            )
            assert tuned[f"{LINEAR}/weight"][row, column] == np.float16(float(exact))


def test_what_the_adapter_does_not_name_stays(base, arrays, small):
    tuned = merged(base, small)
    changed = {name for name in arrays if not np.array_equal(tuned[name], arrays[name])}
    assert changed == {f"{LINEAR}/weight", f"{WIDE}/weight"}
    assert tuned[f"{WIDE}/weight"].dtype == np.float32


def test_at_strength_none_it_is_the_base(base, small):
    assert b"".join(merge(base, small, 0.0)) == base.read_bytes()


def test_the_order_of_adding_changes_nothing(base, tmp_path):
    """Each float16 times a float16 is exact in float64, and so are their sums: no machine's way of adding shows."""
    a, b = matrix(32, 4, scale=0.3), matrix(6, 32, scale=0.3)
    order = np.random.default_rng(3).permutation(32)
    one, other = (Adapter(card(base), {LINEAR: pair}) for pair in ((a, b), (a[order], b[:, order])))
    assert b"".join(merge(base, one)) == b"".join(merge(base, other))


def test_one_adapter_does_what_two_do(base, arrays, small, tmp_path):
    upper = Adapter(card(base, strength=0.25), {LINEAR: (matrix(3, 4, seed=5), matrix(6, 3, seed=6))})
    both = stack(small, upper, card(base, name="both"))
    assert (both.card.name, both.card.strength, both.card.rank) == ("both", 1.0, 5)
    once = merged(base, both)
    (tmp_path / "lower").mkdir()
    lower = tmp_path / "lower" / "model.bin"
    lower.write_bytes(b"".join(merge(base, small)))
    twice = merged(lower, Adapter(card(lower, strength=0.25), upper.layers))
    for name in arrays:
        np.testing.assert_allclose(once[name], twice[name], atol=2e-3)


def change(small: Adapter, layer: str, a: np.ndarray, b: np.ndarray) -> Adapter:
    return Adapter(small.card, {**small.layers, layer: (a, b)})


UNFIT = {
    "a layer nobody has": (lambda s: change(s, "encoder/layer_9/ffn/linear_0", matrix(2, 4), matrix(6, 2)), "has not"),
    "no matrix": (lambda s: change(s, "decoder/alignment_heads", matrix(2, 4), matrix(6, 2)), "has not"),
    "too many rows": (lambda s: change(s, LINEAR, matrix(2, 4), matrix(7, 2)), "is 7 × 4, the speech model's is 6 × 4"),
    "too few columns": (lambda s: change(s, LINEAR, matrix(2, 3), matrix(6, 2)), "is 6 × 3"),
    "too large": (lambda s: change(s, LINEAR, matrix(2, 4, scale=9), matrix(6, 2, scale=9)), "too large"),
}


@pytest.mark.parametrize(("spoil", "said"), UNFIT.values(), ids=UNFIT)
def test_an_adapter_that_does_not_fit_is_refused_before_the_first_byte(base, small, spoil, said):
    with pytest.raises(ModelError, match=said):
        next(merge(base, spoil(small)))


def test_whole_numbers_take_no_adapter(tmp_path):
    path = tmp_path / "model.bin"
    path.write_bytes(model_bin({f"{LINEAR}/weight": np.ones((6, 4), np.int8)}))
    with pytest.raises(ModelError, match="no matrix of real numbers"):
        next(merge(path, Adapter(card(path), {LINEAR: (matrix(2, 4), matrix(6, 2))})))


def test_another_base_is_refused(base, small):
    base.write_bytes(base.read_bytes().replace(b"WhisperSpec", b"whisperSpec"))
    with pytest.raises(ModelError, match=r"was made for the speech model .* they cannot be merged"):
        next(merge(base, small))


def test_weights_that_grow_too_large_are_refused(tmp_path):
    path = tmp_path / "model.bin"
    path.write_bytes(model_bin({f"{LINEAR}/weight": np.full((6, 4), 65_504, np.float16)}))
    large = np.full((1, 4), 5, np.float16), np.full((6, 1), 6, np.float16)
    with pytest.raises(ModelError, match="too large for the model"):
        list(merge(path, Adapter(card(path, strength=2.0), {LINEAR: large})))


# --- the adapter's file


def test_an_adapter_is_read_as_it_was_written(small, tmp_path):
    write_adapter(small, tmp_path / "a.npz")
    again = read_adapter(tmp_path / "a.npz")
    assert again.card == small.card
    assert again.layers.keys() == small.layers.keys()
    for name, pair in small.layers.items():
        for one, other in zip(pair, again.layers[name], strict=True):
            np.testing.assert_array_equal(one, other)


def test_the_same_adapter_gives_the_same_file(small, tmp_path):
    write_adapter(small, tmp_path / "a.npz")
    write_adapter(Adapter(small.card, dict(reversed(small.layers.items()))), tmp_path / "b.npz")
    assert (tmp_path / "a.npz").read_bytes() == (tmp_path / "b.npz").read_bytes()


def test_numpy_reads_it_too(small, tmp_path):
    write_adapter(small, tmp_path / "a.npz")
    with np.load(tmp_path / "a.npz") as held:
        assert json.loads(held["card.json"])["name"] == "small"
        np.testing.assert_array_equal(held[f"{LINEAR}|a"], small.layers[LINEAR][0])


def entries(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as box:
        return {name: box.read(name) for name in box.namelist()}


def npy(array: np.ndarray, path: Path) -> bytes:
    np.save(path, array)
    return path.read_bytes()


SPOILT = {
    "no card": ({"card.json": None}, "card.json"),
    "half a card": ({"card.json": b"{"}, "card cannot be used"),
    "a card with too much": ({"card.json": b'{"colour": "blue"}'}, "card cannot be used"),
    "half a layer": ({f"{LINEAR}|a.npy": None}, "do not belong together"),
    "halves of two ranks": ({f"{LINEAR}|a.npy": matrix(5, 4)}, "do not belong together"),
    "not finite": ({f"{LINEAR}|a.npy": matrix(2, 4) * np.float16("inf")}, "not finite"),
    "other numbers": ({f"{LINEAR}|a.npy": matrix(2, 4).astype(np.float64)}, "no matrix of float16"),
    "no matrix": ({f"{LINEAR}|a.npy": matrix(4)}, "no matrix of float16"),
    "something else": ({"readme.txt": b"hello"}, "damaged"),
    "an object": ({f"{LINEAR}|a.npy": np.array([{}], object)}, "damaged"),
    "nothing": (dict.fromkeys([f"{name}|{key}.npy" for name in (LINEAR, WIDE) for key in "ab"]), "changes nothing"),
}


@pytest.mark.parametrize(("changes", "said"), SPOILT.values(), ids=SPOILT)
def test_a_spoilt_adapter_is_refused(small, tmp_path, changes, said):
    path = tmp_path / "a.npz"
    write_adapter(small, path)
    held = entries(path)
    for name, content in changes.items():
        held[name] = npy(content, tmp_path / "x.npy") if isinstance(content, np.ndarray) else content
    with zipfile.ZipFile(path, "w") as box:
        for name, content in held.items():
            if content is not None:
                box.writestr(name, content)
    with pytest.raises(ModelError, match=said):
        read_adapter(path)


@pytest.mark.parametrize("cut", [0, 10, 500], ids=str)
def test_a_cut_file_is_refused(small, tmp_path, cut):
    path = tmp_path / "a.npz"
    write_adapter(small, path)
    path.write_bytes(path.read_bytes()[:cut])
    with pytest.raises(ModelError, match="not an adapter, or damaged"):
        read_adapter(path)


def test_a_changed_byte_is_found_or_changes_nothing(small, tmp_path):
    """Wherever one bit is turned: refused, or the adapter is what it was (a zip has notes nobody reads)."""
    path = tmp_path / "a.npz"
    write_adapter(small, path)
    content, whole = path.read_bytes(), read_adapter(path)
    found = 0
    for at in range(0, len(content), 7):
        path.write_bytes(content[:at] + bytes([content[at] ^ 4]) + content[at + 1 :])
        try:
            read = read_adapter(path)
        except ModelError:
            found += 1
            continue
        assert read.card == whole.card
        assert [pair[0].tobytes() + pair[1].tobytes() for pair in read.layers.values()] == [
            pair[0].tobytes() + pair[1].tobytes() for pair in whole.layers.values()
        ]
    assert found > len(content) / 7 / 2


def test_what_is_too_large_is_not_unpacked(small, tmp_path, monkeypatch):
    write_adapter(small, tmp_path / "a.npz")
    monkeypatch.setattr(adapter, "_LARGEST_FILE", 100)
    with pytest.raises(ModelError, match="too large for an adapter"):
        read_adapter(tmp_path / "a.npz")


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(ModelError, match="there is no such adapter"):
        read_adapter(tmp_path / "none.npz")
