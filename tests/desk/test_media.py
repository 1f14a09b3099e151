"""The files of a store: whole or not there, under their own hash, bounded, told of only when they are on the disk."""

import hashlib
import os
import stat
import time
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.desk import media as module
from extractor.desk.media import Media, TooLargeError
from extractor.desk.store import Store
from extractor.errors import StoreError


@pytest.fixture
def media(tmp_path: Path) -> Media:
    return Media(tmp_path / "media")


def held(media: Media) -> list[str]:
    return sorted(path.name for path in media.folder.rglob("*") if path.is_file())


@given(pieces=st.lists(st.binary(max_size=50), max_size=5))
def test_a_file_lies_under_its_hash_however_it_came(
    tmp_path_factory: pytest.TempPathFactory, pieces: list[bytes]
) -> None:
    media = Media(tmp_path_factory.mktemp("media"))
    content = b"".join(pieces)
    told = hashlib.sha256(content).hexdigest(), len(content)
    assert media.add(pieces) == told
    assert media.add(BytesIO(content)) == told
    assert media.path(told[0]).read_bytes() == content
    assert held(media) == [told[0]]
    assert media.fault(*told) is None


@pytest.mark.parametrize(("size", "fits"), [(9, True), (10, True), (11, False)])
def test_a_file_has_a_limit(media: Media, size: int, fits: bool) -> None:
    if fits:
        media.add([b"x"] * size, 10)
    else:
        with pytest.raises(TooLargeError, match="limit"):
            media.add([b"x"] * size, 10)
    assert len(held(media)) == fits


def test_more_than_the_limit_is_not_read_to_its_end(media: Media) -> None:
    read = []

    def endless() -> Iterator[bytes]:
        while True:
            read.append(1)
            yield b"x" * 1000

    with pytest.raises(TooLargeError):
        media.add(endless(), 10_000)
    assert len(read) == 11


@pytest.mark.parametrize("error", [ConnectionResetError, ValueError, KeyboardInterrupt])
def test_a_file_that_breaks_off_leaves_nothing(media: Media, error: type[BaseException]) -> None:
    def broken() -> Iterator[bytes]:
        yield b"half"
        raise error

    with pytest.raises(error):
        media.add(broken())
    assert held(media) == []


def test_it_is_on_the_disk_before_the_store_tells_of_it(folder_store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """The order of things: the bytes, their name, the folder, then the row."""
    done: list[str] = []
    fsync, replace, attach = os.fsync, Path.replace, Store.attach

    def follow(handle: int) -> None:
        done.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "bytes")
        fsync(handle)

    def name(self: Path, goal: Path) -> Path:
        done.append("name")
        return replace(self, goal)

    def row(self: Store, *told: object, **more: object) -> object:
        done.append("row")
        return attach(self, *told, **more)  # type: ignore[arg-type]

    case = folder_store.new_case("A case", "A. Operator")
    monkeypatch.setattr(module.os, "fsync", follow)
    monkeypatch.setattr(Path, "replace", name)
    monkeypatch.setattr(Store, "attach", row)
    folder_store.add_file(case, "a.wav", BytesIO(b"sound"))
    assert done == ["bytes", "name", "folder", "folder", "row"]


def test_bringing_a_damaged_file_again_mends_it(media: Media) -> None:
    sha256, size = media.add([b"sound"])
    media.path(sha256).write_bytes(b"hound")
    assert media.fault(sha256, size)
    media.add([b"sound"])
    assert media.fault(sha256, size) is None


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(StoreError, match="cannot be written"):
        Media(tmp_path / "file" / "media").add([b"x"])


def test_what_never_came_whole_is_swept_a_day_later(media: Media) -> None:
    kept = media.add([b"sound"])[0]
    for name, age_s in ((".part-old", 90_000), (".part-new", 80_000)):
        (media.folder / name).write_bytes(b"half")
        os.utime(media.folder / name, (time.time() - age_s,) * 2)
    media.sweep()
    assert held(media) == [".part-new", kept]
