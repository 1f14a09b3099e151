"""The keys people sign with: Ed25519, each in the store's folder as ``keys/NAME.pem`` that only its owner may read.

Made by ``signing``, with a passphrase where somebody wants one. A key is never overwritten: a new one of the same
person gets the next number, the old stays, so that what it signed can be looked up.
"""

import hashlib
import re
from pathlib import Path
from typing import TYPE_CHECKING

from extractor import signing
from extractor.desk.people import key_of
from extractor.errors import InputError, StoreError

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey


class Keys:
    """The folder of a store's keys."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def has(self, name: str) -> bool:
        """Whether somebody has a key."""
        return self._newest(name) is not None

    def make(self, name: str, passphrase: str | None = None) -> str:
        """A new key for somebody, used from now on -> its fingerprint. OutputError where it cannot be written."""
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise StoreError(f"{self.folder}: cannot be made ({error.strerror or error}); see to its rights") from error
        number = len(self._all(name)) + 1
        return signing.make_key(self.folder / f"{_file_of(name)}{f'-{number}' if number > 1 else ''}.pem", passphrase)

    def private(self, name: str, passphrase: str | None = None) -> "Ed25519PrivateKey":
        """The key somebody signs with. InputError where there is none, or the passphrase is wrong or missing."""
        return signing.read_key(self._path(name), passphrase)

    def public(self, name: str) -> "Ed25519PublicKey":
        """The key others verify with. InputError where there is none."""
        path = self._path(name)
        return signing.read_public_key(path.with_name(f"{path.name}.pub"))

    def _path(self, name: str) -> Path:
        path = self._newest(name)
        if path is None:
            raise InputError(f"{name} has no key yet; one is made at the first signature")
        return path

    def _newest(self, name: str) -> Path | None:
        return max(self._all(name), key=_number, default=None)

    def _all(self, name: str) -> list[Path]:
        stem = re.escape(_file_of(name))
        fits = re.compile(rf"{stem}(-\d+)?\.pem")
        return [path for path in self.folder.glob("*.pem") if fits.fullmatch(path.name)]


def _file_of(name: str) -> str:
    """A name -> what its files are called: letters that any disk takes, and a hash that tells two like ones apart."""
    key = key_of(name)
    plain = re.sub(r"[^a-z0-9]+", "-", key)[:40].strip("-") or "key"
    return f"{plain}.{hashlib.sha256(key.encode()).hexdigest()[:8]}"


def _number(path: Path) -> int:
    tail = path.stem.rpartition("-")[2]
    return int(tail) if tail.isdigit() and "." not in tail else 1
