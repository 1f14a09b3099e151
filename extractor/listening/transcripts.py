"""A transcript somebody else made -> words on the case's clock.

Three forms are read: WebVTT, SubRip (SRT), and JSON ``{"words": [{"text", "start_ms", "end_ms", "probability"?}]}``.
A cue's time is shared among its words by their length; inner timestamps of WebVTT are kept. Our own small reader,
because cue times are evidence: what is doubtful is refused with its line, never guessed.

WebVTT after the W3C's "WebVTT: The Web Video Text Tracks Format", sections 4 and 6 (from memory). Two deviations, both
towards refusing: words outside any cue, and ``-->`` inside a cue or comment, are errors here; browsers drop or split
them. SubRip has no standard: common practice, no source.
"""

import hashlib
import html
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, zip_longest
from pathlib import Path
from typing import Any

from extractor.errors import InputError
from extractor.listening.decode import Sound, decode, hash_file, is_text, read_head
from extractor.listening.parts import lay
from extractor.model import Check, Gap, Part, Recording, SpeechModel, Transcript, Word

_SUFFIXES = (".vtt", ".srt", ".json")
#: A day of talk is 5 MB of JSON: what is larger is no transcript of one case.
_LARGEST_BYTES = 64_000_000

_CLOCK = r"(?:([0-9]{1,4}):)?([0-9]{1,2}):([0-9]{2})[.,]([0-9]{3})"
_TIMING = re.compile(rf"[ \t]*{_CLOCK}[ \t]*-->[ \t]*{_CLOCK}(?:[ \t].*)?")
_INNER_TIME = re.compile(rf"<{_CLOCK}>")
_BREAK = re.compile(r"</?v(?:[.\s][^<>]*)?>|<br\s*/?>", re.IGNORECASE)
_TAG = re.compile(r"</?(?:c|i|b|u|s|lang|ruby|rt|font|span)(?:[.\s][^<>]*)?>|</>|\{\\[^{}]*\}", re.IGNORECASE)
_ENTITY = re.compile(r"&(?:amp|lt|gt|nbsp|quot|apos|lrm|rlm|#[0-9]{1,7}|#[xX][0-9a-fA-F]{1,6});")
#: Marks of writing direction: no part of a word.
_DIRECTIONS = dict.fromkeys(map(ord, "\u200e\u200f\ufeff"))


@dataclass(frozen=True)
class Sources:
    """What a case was given as: sounds to be heard, or a transcript; never both.

    ``gaps``: where the case's clock has no sound. ``checks``: what to know of how the files were laid on that clock.
    ``faults``: what is wrong with the files, a line each.
    """

    recording: Recording
    sounds: tuple[Sound, ...] = ()
    transcript: Transcript | None = None
    gaps: tuple[Gap, ...] = ()
    checks: tuple[Check, ...] = ()
    faults: tuple[str, ...] = ()


def open_inputs(paths: Sequence[Path | str]) -> Sources:
    """The files of one case, in order -> its sounds, or its transcript. Told by what is in them, not by their names.

    Raises InputError where a file cannot be used, none is named, or sound and transcript are mixed.
    """
    files = [Path(path) for path in paths]
    if not files:
        raise InputError("no input was named; name the recording of one case, or its transcript")
    written = [path for path in files if _is_transcript(path)]
    if written and len(written) < len(files):
        heard = next(path for path in files if path not in written)
        raise InputError(
            f"{written[0]}: a transcript, but {heard} is a recording; give either the recordings or the transcripts"
        )
    if written:
        transcript = read_transcript(*files)
        return Sources(transcript.recording, transcript=transcript)
    laid = lay([decode(path) for path in files])
    recording = _recording(
        (sound.name, sound.sha256, offset_ms, sound.duration_ms)
        for sound, offset_ms in zip(laid.files, laid.offsets_ms, strict=True)
    )
    faults = [line for sound in laid.files for line in sound.faults]
    faults += [check.message for check in laid.checks if check.severity == "review"]
    return Sources(recording, laid.sounds, gaps=laid.gaps, checks=laid.checks, faults=tuple(faults))


def read_transcript(*paths: Path | str) -> Transcript:
    """One or more transcripts of one case, in order -> its words. A part begins where the one before ends.

    A transcript's length is the end of its last cue or word: what silence followed, it does not say.
    Raises InputError, naming file and line (for JSON, the word).
    """
    files = [(Path(path), read_head(Path(path))) for path in paths]
    spoken = [_read_words(path) for path, _ in files]
    ends_ms = list(accumulate(length_ms for _, length_ms in spoken))
    recording = _recording(
        (path.name, hash_file(path), end_ms - length_ms, length_ms)
        for (path, _), (_, length_ms), end_ms in zip(files, spoken, ends_ms, strict=True)
    )
    return Transcript(
        recording=recording,
        words=tuple(
            word.model_copy(update={"start_ms": word.start_ms + part.offset_ms, "end_ms": word.end_ms + part.offset_ms})
            for part, (words, _) in zip(recording.parts, spoken, strict=True)
            for word in words
        ),
        speech_model=SpeechModel(name="transcript", sha256=recording.sha256),
    )


def _recording(laid: Iterable[tuple[str, str, int, int]]) -> Recording:
    """(name, sha256, offset_ms, duration_ms) of each part -> the recording, which lasts until the last of them ends.

    Its sha256 is the file's; of several files, the SHA-256 of their hexadecimal digests written one after another.
    """
    parts = tuple(
        Part(name=name, sha256=digest, offset_ms=offset_ms, duration_ms=duration_ms)
        for name, digest, offset_ms, duration_ms in laid
    )
    digests = [part.sha256 for part in parts]
    whole = digests[0] if len(digests) == 1 else hashlib.sha256("".join(digests).encode()).hexdigest()
    return Recording(sha256=whole, duration_ms=max(part.offset_ms + part.duration_ms for part in parts), parts=parts)


def _is_transcript(path: Path) -> bool:
    head = read_head(path)
    if path.suffix.lower() in _SUFFIXES and (b"\0" not in head or is_text(head)):
        return True
    text = head.decode(errors="replace").lstrip("\ufeff \t\r\n")
    return is_text(head) and (text.startswith(("WEBVTT", "{")) or "-->" in text)


def _read_words(path: Path) -> tuple[list[Word], int]:
    """The words and the end of the last cue or word, in milliseconds from the file's start."""
    if path.stat().st_size > _LARGEST_BYTES:
        raise InputError(f"{path}: too large for a transcript of one case; give that case's transcript")
    raw = path.read_bytes()
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise InputError(f"{path}, line {line}: not UTF-8; save the transcript as UTF-8") from None
    if path.suffix.lower() == ".json" or text.lstrip().startswith("{"):
        words = _json_words(path, text)
        length_ms = max((word.end_ms for word in words), default=0)
    else:
        cues = list(_cues(path, text))
        words = list(_cue_words(path, cues))
        length_ms = max((cue.end_ms for cue in cues), default=0)
    if not words:
        raise InputError(f"{path}: no words in it; give a transcript with cues or words")
    return words, length_ms


# --- WebVTT and SubRip


@dataclass(frozen=True)
class _Cue:
    line: int
    start_ms: int
    end_ms: int
    text: str


def _cue_words(path: Path, cues: Sequence[_Cue]) -> Iterator[Word]:
    for cue, following in zip_longest(cues, cues[1:]):
        # Where cues overlap, the first one's words are put before the second one's: words never go back in time.
        end_ms = min(cue.end_ms, following.start_ms) if following else cue.end_ms
        at_ms = cue.start_ms
        pieces = _INNER_TIME.split(
            cue.text
        )  # text, then four figures of a clock and the text after it, again and again
        for i in range(0, len(pieces), 5):
            piece_end_ms = _clock_ms(path, cue.line, *pieces[i + 1 : i + 5]) if i + 5 < len(pieces) else cue.end_ms
            if not at_ms <= piece_end_ms <= cue.end_ms:
                raise InputError(f"{path}, line {cue.line}: a time inside the cue lies outside it; correct it")
            yield from _spread(_plain(pieces[i]).split(), min(at_ms, end_ms), min(piece_end_ms, end_ms))
            at_ms = piece_end_ms


def _cues(path: Path, text: str) -> Iterator[_Cue]:
    """The cues with the numbers of their timing lines, in order."""
    is_webvtt = text.startswith("WEBVTT") and text[6:7] in ("", " ", "\t", "\r", "\n")
    began_ms = 0
    for number, block in enumerate(_blocks(text)):
        (first_line, first) = block[0]
        is_header = is_webvtt and number == 0
        timing = next((i for i, (_, content) in enumerate(block) if "-->" in content), None)
        if timing is None:
            if is_header or (is_webvtt and re.match(r"(?:NOTE|STYLE|REGION)(?:[ \t]|$)", first)):
                continue
            raise InputError(f"{path}, line {first_line}: text outside any cue; give it a time, or take it out")
        line, content = block[timing]
        match = _TIMING.fullmatch(content)
        if match is None:
            raise InputError(f"{path}, line {line}: not a time like 00:01:02.345 --> 00:01:04.567; correct it")
        # Above its time a cue may have one line: in WebVTT a name, in SubRip a number.
        named = is_header or timing == 0 or (timing == 1 and (is_webvtt or first.strip().isdecimal()))
        if not named or (is_webvtt and re.match(r"NOTE(?:[ \t]|$)", first)):
            raise InputError(f"{path}, line {line}: a cue inside a comment or text; set a blank line before it")
        start_ms, end_ms = _clock_ms(path, line, *match.groups()[:4]), _clock_ms(path, line, *match.groups()[4:])
        if end_ms < start_ms:
            raise InputError(f"{path}, line {line}: the cue ends before it starts; correct its times")
        if start_ms < began_ms:
            raise InputError(f"{path}, line {line}: the cue starts before the one above it; put the cues in order")
        began_ms = start_ms
        for below, content in block[timing + 1 :]:
            if "-->" in content:
                raise InputError(f"{path}, line {below}: a cue inside another; set a blank line before it")
        yield _Cue(line, start_ms, end_ms, "\n".join(content for _, content in block[timing + 1 :]))


def _blocks(text: str) -> Iterator[list[tuple[int, str]]]:
    """Runs of lines between blank ones, each line with its number. Only CR, LF and CRLF end a line here."""
    block: list[tuple[int, str]] = []
    for number, line in enumerate(re.split(r"\r\n|\n|\r", text), 1):
        if line.strip():
            block.append((number, line))
        elif block:
            yield block
            block = []
    if block:
        yield block


def _clock_ms(path: Path, line: int, hours: str | None, minutes: str, seconds: str, thousandths: str) -> int:
    # Sixty seconds is what careless rounding writes for 59.9996 s: odd, but it has one meaning only.
    if int(minutes) > 59 or int(seconds) > 60 or (int(seconds) == 60 and int(thousandths)):
        raise InputError(f"{path}, line {line}: minutes and seconds go to 59; correct the time")
    return ((int(hours or 0) * 60 + int(minutes)) * 60 + int(seconds)) * 1000 + int(thousandths)


def _plain(text: str) -> str:
    """A cue's text without its markup. What only looks like markup (``<5 mm``, an unknown tag) stays to be seen."""
    text = _TAG.sub("", _BREAK.sub(" ", text))
    return _ENTITY.sub(lambda match: html.unescape(match[0]), text).translate(_DIRECTIONS)


def _spread(texts: Sequence[str], start_ms: int, end_ms: int, probability: float = 1.0) -> Iterator[Word]:
    """Words of one stretch, its time shared among them by their length (and the breath after each)."""
    shares = [len(text) + 1 for text in texts]
    whole, past = sum(shares), 0
    for text, share in zip(texts, shares, strict=True):
        first_ms = start_ms + (end_ms - start_ms) * past // whole
        past += share
        last_ms = start_ms + (end_ms - start_ms) * past // whole
        yield Word(text=text, start_ms=first_ms, end_ms=last_ms, probability=probability)


# --- JSON


def _json_words(path: Path, text: str) -> list[Word]:
    try:
        whole = json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError(f"{path}, line {error.lineno}: not JSON ({error.msg}); correct it") from None
    except (ValueError, RecursionError):
        raise InputError(f"{path}: not JSON that can be read; give an object with a list of words") from None
    if not isinstance(whole, dict) or not isinstance(whole.get("words"), list):
        raise InputError(f'{path}: no list of words in it; give {{"words": [{{"text", "start_ms", "end_ms"}}]}}')
    words: list[Word] = []
    for number, entry in enumerate(whole["words"]):
        fault = _fault(entry, words[-1].start_ms if words else 0)
        if fault:
            raise InputError(f"{path}, word {number}: {fault}; correct it")
        words += _spread(entry["text"].split(), entry["start_ms"], entry["end_ms"], entry.get("probability", 1.0))
    return words


def _fault(entry: Any, began_ms: int) -> str | None:
    """What is wrong with one word of a JSON transcript, None if nothing is."""
    if not isinstance(entry, dict) or not {"text", "start_ms", "end_ms"} <= entry.keys():
        return "text, start_ms and end_ms are needed"
    text, start_ms, end_ms = entry["text"], entry["start_ms"], entry["end_ms"]
    if not isinstance(text, str) or not text.split():
        return "its text is empty or no text"
    if any("\ud800" <= letter <= "\udfff" for letter in text):
        return "its text holds half a letter (a lone surrogate)"
    if any(isinstance(ms, bool) or not isinstance(ms, int) or ms < 0 for ms in (start_ms, end_ms)):
        return "its times are no whole milliseconds from the start"
    if end_ms < start_ms:
        return "it ends before it starts"
    if start_ms < began_ms:
        return "it starts before the word above it"
    probability = entry.get("probability", 1.0)
    if isinstance(probability, bool) or not isinstance(probability, int | float) or not 0 <= probability <= 1:
        return "its probability is not between 0 and 1"
    return None
