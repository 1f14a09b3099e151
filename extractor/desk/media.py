"""Files of cases -> a folder in which each lies under its own SHA-256, once: ``media/ab/abcdef…``.

A file is there and whole or not there: written to a part file, brought to the disk, renamed, its folder brought to the
disk; only then does a row of the store tell of it. What lies here is never changed and never deleted.
"""

import hashlib
import os
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from extractor.errors import InputError, StoreError

_PIECE = 1 << 20


class TooLargeError(InputError):
    """More bytes came than are taken."""


class Incoming:
    """A file on its way in. ``write`` takes its bytes as they come, ``keep`` ends it; one not kept leaves nothing."""

    def __init__(self, file: BinaryIO, limit: int | None) -> None:
        self._file, self._limit, self._hash = file, limit, hashlib.sha256()
        self.size = 0

    def write(self, piece: bytes) -> None:
        """TooLargeError beyond the limit, in bytes; StoreError where the disk takes no more."""
        self.size += len(piece)
        if self._limit is not None and self.size > self._limit:
            raise TooLargeError(
                f"the file is larger than {self._limit / 1e6:.0f} MB, which is the limit; cut it in parts"
            )
        self._hash.update(piece)
        self._file.write(piece)

    @property
    def sha256(self) -> str:
        return self._hash.hexdigest()


class Media:
    """The folder of a store's media."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def sweep(self, older_than_s: float = 86_400) -> None:
        """Takes away what never came whole: part files, a day old or more, that a process left when it was killed."""
        for part in self.folder.glob(".part-*"):
            with suppress(OSError):
                if time.time() - part.stat().st_mtime > older_than_s:
                    part.unlink()

    def path(self, sha256: str) -> Path:
        """Where the bytes of this hash lie, there or not."""
        return self.folder / sha256[:2] / sha256

    @contextmanager
    def incoming(self, limit: int | None = None) -> Iterator[Incoming]:
        """A file to be written into; when the block ends without an error it is kept, on the disk."""
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            handle, part = tempfile.mkstemp(prefix=".part-", dir=self.folder)
        except OSError as error:
            raise self._cannot_write(error) from error
        try:
            with os.fdopen(handle, "wb") as file:
                incoming = Incoming(file, limit)
                yield incoming
                file.flush()
                os.fsync(file.fileno())
            self._keep(Path(part), incoming.sha256)
        except ConnectionError:  # who sends it went away: nothing is wrong with the disk
            raise
        except OSError as error:
            raise self._cannot_write(error) from error
        finally:
            with suppress(OSError):
                Path(part).unlink(missing_ok=True)

    def add(self, stream: BinaryIO | Iterable[bytes], limit: int | None = None) -> tuple[str, int]:
        """A file's bytes, from something to read or in pieces -> their SHA-256 and number, when they are on the disk.

        TooLargeError beyond ``limit`` bytes, StoreError where the disk takes no more; either leaves nothing.
        """
        with self.incoming(limit) as incoming:
            for piece in iter(lambda: stream.read(_PIECE), b"") if hasattr(stream, "read") else stream:
                incoming.write(piece)
        return incoming.sha256, incoming.size

    def fault(self, sha256: str, size: int) -> str | None:
        """What is wrong with the bytes of this hash: missing, cut short, altered; None where they are whole."""
        try:
            with self.path(sha256).open("rb") as file:
                found = hashlib.file_digest(file, "sha256").hexdigest()
                length = file.tell()
        except OSError as error:
            return f"cannot be read ({error.strerror or error})"
        if length != size:
            return f"is {length} bytes long and was {size}"
        return None if found == sha256 else f"is altered: its SHA-256 is {found} and was {sha256}"

    def _keep(self, part: Path, sha256: str) -> None:
        goal = self.path(sha256)
        goal.parent.mkdir(exist_ok=True, mode=0o700)
        part.replace(goal)  # the same bytes where they lie there already; mends what was damaged since
        for folder in (goal.parent, self.folder):
            _to_disk(folder)

    def _cannot_write(self, error: OSError) -> StoreError:
        return StoreError(
            f"{self.folder}: cannot be written ({error.strerror or error}), nothing of this file was kept; "
            "see that there is room and that it may be written, then bring it again"
        )


def _to_disk(folder: Path) -> None:
    """A folder's entries to the disk, where the system can (Windows does it by itself)."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
