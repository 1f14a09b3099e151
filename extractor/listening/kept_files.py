"""What this machine keeps of speech models: where, written whole or not at all, and known to be unchanged by stamps.

Hashing a model takes a second, so it is done once: beside the cache stands a stamp with the file's size, time of change
and hash, and while size and time are the same the stamp is believed.

The cache folder may be emptied at any time: ``EXTRACTOR_CACHE``; else ``extractor`` in the platform's own
(``XDG_CACHE_HOME`` or ``~/.cache``, ``~/Library/Caches``, ``%LOCALAPPDATA%``). What was tuned here lies in the data
folder: ``EXTRACTOR_DATA``; else ``extractor`` in ``XDG_DATA_HOME`` or ``~/.local/share``,
``~/Library/Application Support``, ``%APPDATA%``.
"""

import hashlib
import json
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO


def cache_folder() -> Path:
    """Where made models and stamps are kept; not made here."""
    return _platform_folder("EXTRACTOR_CACHE", "LOCALAPPDATA", "Caches", "XDG_CACHE_HOME", ".cache")


def data_folder() -> Path:
    """Where what was tuned here is kept; not made here."""
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


@contextmanager
def replacing(path: Path) -> Iterator[BinaryIO]:
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


def hash_of(path: Path) -> str:
    """The file's SHA-256, every byte read."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def hash_once(path: Path) -> str:
    """The file's SHA-256, by its stamp while size and time of change are those of the stamp."""
    state = path.stat()
    try:
        stamp = json.loads(_stamp_of(path).read_text(encoding="utf-8"))
        if (stamp["size"], stamp["mtime_ns"]) == (state.st_size, state.st_mtime_ns):
            return str(stamp["sha256"])
    except (OSError, ValueError, KeyError, TypeError):
        pass  # no stamp, or half of one: it is written anew
    sha256 = hash_of(path)
    write_stamp(path, sha256)
    return sha256


def write_stamp(path: Path, sha256: str) -> None:
    """What is known of a file as it is now."""
    state = path.stat()
    stamp = {"file": str(path), "size": state.st_size, "mtime_ns": state.st_mtime_ns, "sha256": sha256}
    try:
        _stamp_of(path).parent.mkdir(parents=True, exist_ok=True)
        with replacing(_stamp_of(path)) as out:
            out.write(json.dumps(stamp).encode())
    except OSError:
        pass  # a cache that cannot be written costs a second each time, nothing else


def drop_stamp(path: Path) -> None:
    """What was known of a file is believed no more."""
    _stamp_of(path).unlink(missing_ok=True)


def _stamp_of(path: Path) -> Path:
    key = hashlib.sha256(str(path.resolve()).encode(errors="surrogateescape")).hexdigest()[:16]
    return cache_folder() / "stamps" / f"{key}.json"
