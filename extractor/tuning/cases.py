"""A site's own signed cases -> speech with what was said in it, for those whose consent is recorded.

A case is a folder of ``extractor draft`` after ``extractor sign``: its ``timeline.json`` is signed and the signature
holds. Beside it stands ``consent.toml``, written by the site, without which the case is refused::

    training = true                        # may a recogniser be trained on this recording and its words?
    speaker = "operator-1"                 # whose voice: any name that is always the same for the same person
    agreed_by = "the operator"             # who agreed, as the site's own file names them
    agreed_on = 2026-03-02
    agreed_to = "Training the department's own recogniser; the recording stays in the department."

The sound is known by its SHA-256 in the timeline: beside it, or where the caller says.

**What is learned from.** The words as they were signed, with what was put right in place of what was heard. A
signature is under the record, not under every word: where a word was hardly made out and nobody put it right, its line
is left out, and so is a line with figures or unit symbols, since "0.018" does not tell how it was spoken. The sound of
such a line is cut out with it. How much was left out is told.
"""

import re
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from extractor import signing
from extractor.errors import InputError, SignatureError
from extractor.listening.decode import RATE, decode, hash_file
from extractor.model import FORMAT, Correction, Frozen, Gap, Recording, Word
from extractor.tuning.train import Clip

CONSENT = "consent.toml"
TIMELINE = "timeline.json"

#: A line ends at the end of a sentence, at a pause, or where it has become this long.
_PAUSE_MS, _LONGEST_MS = 400, 8_000
#: Sound kept before and after the lines of a clip, where nothing else is said there.
_MARGIN_MS = 500
#: Heard with less, and put right by nobody: no teacher.
_LEAST_PROBABILITY = 0.5
#: A word as it is spoken: letters only, but for what joins and ends words.
_SPOKEN = re.compile(r"[“\"(]?[^\W\d_]+(?:[-'’.][^\W\d_]+)*[-'’.,;:?!…)\"”]*")
#: "mL", "kPa": a symbol, not a word. "mm", "Dr": the same, for no vowel is in it. "GTN" is said as it is written.
_SYMBOL = re.compile(r".*[a-z][A-Z].*|(?!.*[aeiouyAEIOUY])(?![A-Z.]{2,}\W*$)..+", re.DOTALL)


class Consent(Frozen):
    """``consent.toml``: who agreed, when, and to what. Nobody's name is needed: any word the site knows them by."""

    training: bool
    speaker: str = Field(min_length=1)
    agreed_by: str = Field(min_length=1)
    agreed_on: date
    agreed_to: str = Field(min_length=1)


class _Signed(BaseModel):
    """What is read of a signed timeline. Sign-off may have added fields of its own."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    format: Literal["procedure-timeline/1"]
    state: Literal["draft", "signed"]
    recording: Recording
    words: tuple[Word, ...]
    corrections: tuple[Correction, ...] = ()
    gaps: tuple[Gap, ...] = ()


@dataclass(frozen=True, eq=False)
class Case:
    """One signed case: its speaker, its clips, and how many of its words are in them."""

    folder: Path
    recording: str  # SHA-256
    speaker: str
    clips: tuple[Clip, ...]
    words: int
    words_signed: int


@dataclass(frozen=True)
class _Token:
    """A word or a repair as it was spoken. ``teaches``: whether it is known how it was said."""

    text: str
    start_ms: int
    end_ms: int
    teaches: bool


def read_cases(folders: Sequence[Path], sounds: Sequence[Path] = ()) -> tuple[tuple[Case, ...], tuple[str, ...]]:
    """Folders of signed cases, or folders of such folders -> the cases, and a line for each one that was refused.

    ``sounds``: files or folders to look for the recordings in, beside the cases' own folders. InputError where a
    folder holds no case at all.
    """
    cases: list[Case] = []
    refused: list[str] = []
    for folder in dict.fromkeys(each for given in folders for each in _case_folders(given)):
        try:
            case = _read_case(folder, sounds)
            twin = next((each for each in cases if each.recording == case.recording), None)
            if twin:
                raise InputError(f"{folder}: refused, the same recording as {twin.folder}")
            cases.append(case)
        except InputError as error:
            refused.append(str(error))
    return tuple(cases), tuple(refused)


def _case_folders(folder: Path) -> list[Path]:
    found = [folder] if (folder / TIMELINE).is_file() else sorted(path.parent for path in folder.glob(f"*/{TIMELINE}"))
    if not found:
        raise InputError(f"{folder}: holds no {TIMELINE}, nor does a folder in it; give folders of signed cases")
    return found


def _read_case(folder: Path, sounds: Sequence[Path]) -> Case:
    consent = _consent(folder)
    signed = _signed(folder)
    clips: list[Clip] = []
    for part in signed.recording.parts:
        sound = decode(_sound(folder, part.name, part.sha256, sounds))
        end_ms = part.offset_ms + part.duration_ms
        tokens = [
            replace(each, start_ms=each.start_ms - part.offset_ms, end_ms=each.end_ms - part.offset_ms)
            for each in _tokens(signed.words, signed.corrections)
            if part.offset_ms <= each.start_ms < end_ms
        ]
        gaps = [(gap.start_ms - part.offset_ms, gap.end_ms - part.offset_ms) for gap in signed.gaps]
        for start_ms, past_ms, lines in _stretches(tokens, gaps, sound.duration_ms):
            first = start_ms * RATE // 1000
            placed = [(a * RATE // 1000 - first, b * RATE // 1000 - first, text) for a, b, text in lines]
            clips.append(Clip(sound.cut(start_ms, past_ms), placed))
    words = sum(len(text.split()) for clip in clips for _, _, text in clip.lines)
    if not words:
        raise InputError(f"{folder}: nothing to learn from: no line in it is known as it was spoken")
    return Case(folder, signed.recording.sha256, consent.speaker, tuple(clips), words, len(signed.words))


def _consent(folder: Path) -> Consent:
    path = folder / CONSENT
    try:
        consent = Consent.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except FileNotFoundError as error:
        raise InputError(f"{folder}: refused, no consent is recorded; {CONSENT} must say who agreed to what") from error
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(f"{path}: refused, it cannot be read ({error})") from error
    except ValidationError as error:
        first = error.errors()[0]
        raise InputError(f"{path}: refused ({'.'.join(map(str, first['loc']))}: {first['msg']})") from error
    if not consent.training:
        raise InputError(f"{path}: refused, it does not agree to training (training = false)")
    if consent.agreed_on > datetime.now().date():
        raise InputError(f"{path}: refused, it is dated {consent.agreed_on}, which is still to come")
    return consent


def _signed(folder: Path) -> _Signed:
    path = folder / TIMELINE
    try:
        text = path.read_text(encoding="utf-8")
        signed = _Signed.model_validate_json(text)
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path}: cannot be read ({getattr(error, 'strerror', None) or error})") from error
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(map(str, first["loc"])) or "the whole file"
        raise InputError(f"{path}: not a timeline of the form {FORMAT} ({where}: {first['msg']})") from error
    if signed.state != "signed":
        raise InputError(f"{folder}: refused, its timeline is a draft that nobody has signed")
    try:
        signing.verify(text, str(path))
    except SignatureError as error:
        raise InputError(f"{folder}: refused, {error}") from error
    return signed


def _sound(folder: Path, name: str, sha256: str, elsewhere: Sequence[Path]) -> Path:
    """The file with that hash: the one with the right name first, for hashing takes its time."""
    files = [path for place in (folder, *elsewhere) for path in ([place] if place.is_file() else place.glob("*"))]
    files = [path for path in files if path.is_file() and path.name not in {CONSENT, TIMELINE}]
    for path in sorted(files, key=lambda path: path.name != name):
        if hash_file(path) == sha256:
            return path
    raise InputError(
        f"{folder}: its recording {name} ({sha256[:12]}) is neither in the folder nor among the sounds given; "
        "name its place with --sound"
    )


# --- words to lines


def _tokens(words: Sequence[Word], corrections: Iterable[Correction]) -> list[_Token]:
    """Words, with what was put right in place of what was heard."""
    repairs = {each.words[0]: each for each in corrections}
    tokens: list[_Token] = []
    at = 0
    while at < len(words):
        repair = repairs.get(at)
        past = repair.words[1] if repair else at + 1
        heard = words[at:past]
        text = repair.read if repair else words[at].text
        is_known = not repair.review if repair else words[at].probability >= _LEAST_PROBABILITY
        teaches = is_known and all(_SPOKEN.fullmatch(each) and not _SYMBOL.fullmatch(each) for each in text.split())
        tokens.append(_Token(text, heard[0].start_ms, heard[-1].end_ms, teaches))
        at = max(past, at + 1)
    return tokens


def _lines(tokens: Iterable[_Token]) -> Iterator[list[_Token]]:
    line: list[_Token] = []
    for token in tokens:
        if line and (
            token.start_ms - line[-1].end_ms >= _PAUSE_MS
            or line[-1].text.endswith((".", "?", "!"))
            or token.end_ms - line[0].start_ms > _LONGEST_MS
        ):
            yield line
            line = []
        line.append(token)
    if line:
        yield line


def _stretches(
    tokens: Iterable[_Token], gaps: Iterable[tuple[int, int]], duration_ms: int
) -> Iterator[tuple[int, int, list[tuple[int, int, str]]]]:
    """Runs of lines that teach: start and end of the run's sound in ms, and its lines on the same clock.

    What is said between two runs, and gaps where something may have been said, is in none of them.
    """
    spans = [
        (line[0].start_ms, line[-1].end_ms, " ".join(each.text for each in line))
        if all(each.teaches for each in line)
        else (line[0].start_ms, line[-1].end_ms, "")
        for line in _lines(tokens)
    ]
    spans = sorted([*spans, *((start_ms, end_ms, "") for start_ms, end_ms in gaps if end_ms > 0)])
    run: list[tuple[int, int, str]] = []
    free_ms = 0  # where the last span that does not teach has ended
    for start_ms, end_ms, text in [*spans, (duration_ms, duration_ms, "")]:
        if text and (not run or start_ms >= run[-1][1]):
            run.append((start_ms, end_ms, text))
            continue
        if run:
            past_ms = min(run[-1][1] + _MARGIN_MS, max(start_ms, run[-1][1]), duration_ms)
            yield max(run[0][0] - _MARGIN_MS, min(free_ms, run[0][0])), past_ms, run
        run = []
        free_ms = max(free_ms, end_ms)
