"""A draft's folder is whole or not there, and is read back as it was written."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from extractor import draft_folder
from extractor.errors import InputError, OutputError
from extractor.model import Timeline


def test_what_is_written_is_read_back(small_timeline: Timeline, tmp_path: Path) -> None:
    out = tmp_path / "new" / "case"
    draft_folder.write(small_timeline, out)
    assert sorted(path.name for path in out.iterdir()) == ["summary.txt", "timeline.json", "transcript.vtt"]
    assert draft_folder.read(out) == small_timeline


def test_an_empty_folder_is_taken(small_timeline: Timeline, tmp_path: Path) -> None:
    (tmp_path / "case").mkdir()
    draft_folder.write(small_timeline, tmp_path / "case")
    assert draft_folder.read(tmp_path / "case") == small_timeline
    assert [path.name for path in tmp_path.iterdir()] == ["case"]


def test_a_relative_name_is_taken(small_timeline: Timeline, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    draft_folder.write(small_timeline, Path("case"))
    assert draft_folder.read(tmp_path / "case") == small_timeline


def used(tmp_path: Path) -> Path:
    (tmp_path / "case").mkdir()
    (tmp_path / "case" / "notes.txt").write_text("mine")
    return tmp_path / "case"


def a_file(tmp_path: Path) -> Path:
    (tmp_path / "case").write_text("mine")
    return tmp_path / "case"


def under_a_file(tmp_path: Path) -> Path:
    return a_file(tmp_path) / "deep" / "case"


def nowhere(tmp_path: Path) -> Path:
    return Path("/proc/nowhere/case")  # where nobody, root neither, can make a folder


def a_link_to_itself(tmp_path: Path) -> Path:
    (tmp_path / "case").symlink_to(tmp_path / "case")
    return tmp_path / "case"


UNUSABLE = [
    pytest.param(used, "already holds files", id="used"),
    pytest.param(a_file, "is a file", id="a-file"),
    pytest.param(under_a_file, "is a file", id="under-a-file"),
    pytest.param(nowhere, "cannot be", id="nowhere"),
    pytest.param(a_link_to_itself, "cannot be", id="a-link-to-itself"),
]


@pytest.mark.parametrize(("place", "reason"), UNUSABLE)
def test_an_unusable_place_is_refused_and_left_alone(
    place: Callable[[Path], Path], reason: str, small_timeline: Timeline, tmp_path: Path
) -> None:
    out = place(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(OutputError, match=reason) as error:
        draft_folder.write(small_timeline, out)
    assert "--out" in str(error.value)
    assert sorted(tmp_path.rglob("*")) == before


def test_a_forbidden_place_is_refused_before_the_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As root everything may be written, so the answer of the system is put in its mouth."""
    monkeypatch.setattr(os, "access", lambda place, mode: False)
    with pytest.raises(OutputError, match="may not be written"):
        draft_folder.require_free(tmp_path / "case")


@pytest.mark.parametrize(
    "error", [pytest.param(OSError(28, "No space left"), id="disk"), pytest.param(KeyboardInterrupt(), id="ctrl-c")]
)
def test_a_stop_half_way_leaves_nothing(
    error: BaseException, small_timeline: Timeline, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = []

    def fail_on_the_second(file: int) -> None:
        calls.append(file)
        if len(calls) == 2:
            raise error

    monkeypatch.setattr(os, "fsync", fail_on_the_second)
    with pytest.raises((OutputError, KeyboardInterrupt)):
        draft_folder.write(small_timeline, tmp_path / "case")
    assert list(tmp_path.iterdir()) == []


# --- more put onto a draft, and files beside it


def test_a_draft_is_rewritten_whole(small_timeline: Timeline, tmp_path: Path) -> None:
    draft_folder.write(small_timeline, tmp_path / "case")
    draft_folder.rewrite(small_timeline.model_copy(update={"checks": ()}), tmp_path / "case")
    assert draft_folder.read(tmp_path / "case").checks == ()
    assert "never said to come out" not in (tmp_path / "case" / "summary.txt").read_text(encoding="utf-8")
    assert len(list((tmp_path / "case").iterdir())) == 3


def test_a_rewrite_that_fails_leaves_the_draft(
    small_timeline: Timeline, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    draft_folder.write(small_timeline, tmp_path / "case")
    before = {path: path.read_bytes() for path in (tmp_path / "case").iterdir()}

    def fail(file: int) -> None:
        raise OSError(28, "No space left")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OutputError, match="No space left"):
        draft_folder.rewrite(small_timeline.model_copy(update={"checks": ()}), tmp_path / "case")
    assert {path: path.read_bytes() for path in (tmp_path / "case").iterdir()} == before


def test_a_file_beside_a_draft_is_written(tmp_path: Path) -> None:
    draft_folder.write_file(tmp_path / "result.json", "{}\n")
    assert (tmp_path / "result.json").read_text(encoding="utf-8") == "{}\n"
    assert len(list(tmp_path.iterdir())) == 1


TAKEN = [
    pytest.param("", "is there already", id="a-file"),
    pytest.param("deep/result.json", "no folder", id="no-folder"),
]


@pytest.mark.parametrize(("name", "reason"), TAKEN)
def test_a_file_never_overwrites_and_makes_no_folders(name: str, reason: str, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match=reason):
        draft_folder.write_file(tmp_path / name if name else a_file(tmp_path), "{}")


UNREADABLE = [
    pytest.param(None, "holds no timeline.json", id="no-file"),
    pytest.param(b"", "not a draft timeline", id="empty"),
    pytest.param(b"\xff\xfe", "not UTF-8", id="not-utf-8"),
    pytest.param(b"{}", "recording: Field required", id="something-else"),
    pytest.param(b'{"format": "procedure-timeline/9"}', "format", id="another-format"),
]


@pytest.mark.parametrize(("content", "reason"), UNREADABLE)
def test_a_folder_that_holds_no_draft_is_refused(content: bytes | None, reason: str, tmp_path: Path) -> None:
    if content is not None:
        (tmp_path / "timeline.json").write_bytes(content)
    with pytest.raises(InputError, match=reason):
        draft_folder.read(tmp_path)
