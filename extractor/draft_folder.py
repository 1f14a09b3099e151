"""Timeline <-> the folder a draft lies in: timeline.json, transcript.vtt, summary.txt. Whole, or not there at all.

A file of its own beside a draft is written in the same way: ``write_file``.
"""

import os
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import ValidationError

from extractor import signing
from extractor.errors import InputError, OutputError
from extractor.handover.captions import write_captions
from extractor.handover.summary import write_summary
from extractor.model import SignedTimeline, Timeline

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

TIMELINE = "timeline.json"
TRANSCRIPT = "transcript.vtt"
SUMMARY = "summary.txt"


def require_free(out: Path) -> None:
    """A place that must be able to take a draft -> nothing; OutputError tells the cure. Asked before the long work."""
    out = _resolved(out)
    try:
        if out.is_dir() and any(out.iterdir()):
            raise OutputError(f"{out}: already holds files; name a new folder with --out, a draft is never overwritten")
        if out.exists() and not out.is_dir():
            raise OutputError(f"{out}: is a file; name a folder with --out")
        standing = next(place for place in out.parents if place.exists())
    except OSError as error:
        raise _cannot_write(out, error) from error
    if not standing.is_dir():
        raise OutputError(f"{out}: cannot be made, {standing} is a file; name another folder with --out")
    if not os.access(standing, os.W_OK | os.X_OK):
        raise OutputError(f"{out}: cannot be made, {standing} may not be written; name another folder with --out")


def write(timeline: Timeline, out: Path) -> None:
    """Timeline, folder -> the folder with its three files, put in place in one step. OutputError leaves nothing."""
    write_folder({name: text.encode() for name, text in _files(timeline).items()}, out)


def write_folder(files: Mapping[str, bytes], out: Path) -> None:
    """Files by name -> a new folder that holds them, put in place in one step. OutputError leaves nothing."""
    require_free(out)
    out = _resolved(out)
    # Beside the goal, so that it is on the same disk and moving it is one step.
    part = out.with_name(f".{out.name}.{os.getpid()}.part")
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        part.mkdir()
        for name, content in files.items():
            _write_through(part / name, content)
        if out.exists():
            out.rmdir()  # empty, or this fails
        part.rename(out)
    except OSError as error:
        raise _cannot_write(out, error) from error
    finally:
        shutil.rmtree(part, ignore_errors=True)  # gone already where all went well


def rewrite(timeline: Timeline, folder: Path) -> None:
    """A timeline that was read from a folder, with more in it -> its files, each replaced in one step.

    The timeline goes first: it is the truth, and the other two can be made again from it. OutputError where what stands
    there is signed: nothing is changed after that.
    """
    if isinstance(read(folder), SignedTimeline):
        raise OutputError(
            f"{folder}: is signed, and nothing is changed after that; draft the recording into a new folder"
        )
    for name, text in _files(timeline).items():
        _replace(folder / name, text)


def write_file(path: Path, text: str | bytes) -> None:
    """A new file -> there and whole, or not there. OutputError where something has the name already."""
    require_free_file(path)
    _replace(path, text)


def write_files(path: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Contents by what stands behind the file's own name -> new files, each there and whole; their places.

    OutputError where something has one of the names already, before any is written.
    """
    places = {path.with_name(path.name + end): content for end, content in files.items()}
    for place in places:
        require_free_file(place)
    for place, content in places.items():
        _replace(place, content)
    return tuple(places)


def replace_file(path: Path, text: str) -> None:
    """A file that may be there already -> what is in it now, in one step. OutputError leaves it as it was."""
    _replace(path, text)


def require_free_file(path: Path) -> None:
    """A place that must be able to take a file -> nothing; OutputError tells the cure. Asked before the long work."""
    if os.path.lexists(path):
        raise OutputError(f"{path}: is there already; name a new file with --out, nothing is overwritten")
    if not path.parent.is_dir():
        raise OutputError(f"{path}: cannot be written, there is no folder {path.parent}; name another file with --out")


def _replace(path: Path, text: str | bytes) -> None:
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        _write_through(part, text)
        part.replace(path)
    except OSError as error:
        raise _cannot_write(path, error) from error
    finally:
        part.unlink(missing_ok=True)


def _files(timeline: Timeline) -> dict[str, str]:
    return {
        TIMELINE: timeline.model_dump_json(indent=1) + "\n",
        TRANSCRIPT: write_captions(timeline),
        SUMMARY: write_summary(timeline),
    }


def read(folder: Path) -> Timeline:
    """The folder of a draft, or its timeline.json -> Timeline, a SignedTimeline where it says so and its seal holds.

    InputError where there is none or it cannot be read, SignatureError where anything differs from what was signed.
    """
    path = folder / TIMELINE if folder.is_dir() else folder
    text = _text(path, folder)
    says_signed = signing.says_signed(text)
    if says_signed:
        signing.verify(text, str(path))
    try:
        return (SignedTimeline if says_signed else Timeline).model_validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(step) for step in first["loc"]) or "the whole file"
        raise InputError(
            f"{path}: not a draft timeline ({where}: {first['msg']}); draft the recording again"
        ) from error


def verify(folder: Path, key: "Ed25519PublicKey | None" = None) -> str:
    """A signed folder, or its timeline.json -> the fingerprint of the key that signed it; SignatureError as of read."""
    path = folder / TIMELINE if folder.is_dir() else folder
    return signing.verify(_text(path, folder), str(path), key)


def read_bytes(path: Path) -> bytes:
    """A file that somebody names -> what is in it. InputError where it cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror or error})") from error


def read_text(path: Path) -> str:
    """A text file that somebody names -> what is in it. InputError where it cannot be read."""
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path}: cannot be read ({getattr(error, 'strerror', None) or 'not UTF-8'})") from error


def _text(path: Path, given: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise InputError(f"{given}: holds no {TIMELINE}; give a folder made by extractor draft") from error
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "not UTF-8"
        raise InputError(f"{path}: cannot be read ({reason}); give a folder made by extractor draft") from error


def _write_through(path: Path, text: str | bytes) -> None:
    """To the disk itself, so that a power cut after the rename cannot leave an empty file under a good name."""
    with path.open("wb") as file:
        file.write(text.encode() if isinstance(text, str) else text)
        file.flush()
        os.fsync(file.fileno())


def _resolved(out: Path) -> Path:
    try:
        return out.resolve()
    except (OSError, RuntimeError) as error:
        raise OutputError(f"{out}: cannot be made ({error}); name another folder with --out") from error


def _cannot_write(out: Path, error: OSError) -> OutputError:
    return OutputError(f"{out}: cannot be written ({error.strerror or error}); name another folder with --out")
