"""A signed case and its recording -> a folder to teach with, and beside it the list of what was taken out.

Order: find what identifies in the words, take it out of words, values' heard forms, cautions and site names' talk; look
once more; then tones over its stretches of the sound, then clips and page. The folder is whole or not there.
"""

import shutil
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from os import getpid
from pathlib import Path

from extractor import sound_file
from extractor.errors import InputError, OutputError
from extractor.handover.captions import write_captions
from extractor.handover.chapters import write_chapters, write_event_track
from extractor.lexicon import Lexicon
from extractor.listening.decode import decode, hash_file
from extractor.model import Event, Kind, SignedTimeline, Status, Timeline
from extractor.teaching import media
from extractor.teaching.deidentify import Removal, find, known_words, shown
from extractor.teaching.page import Lesson, listed, write_page

#: Kinds of event that get a clip, and how much is heard before and after.
_CLIPPED = {Kind.INFLATION, Kind.STENT, Kind.EMBOLISE, Kind.RUN}
_BEFORE_MS, _AFTER_MS = 3_000, 3_000

Progress = Callable[[str, float, float], None]


@dataclass(frozen=True)
class Made:
    """What came of it: how many stretches were taken out, and where the list of them lies."""

    removed: int
    clips: int
    listed_in: Path


def teach(
    timeline: Timeline,
    folder: Path,
    out: Path,
    lexicon: Lexicon,
    *,
    title: str = "A case to learn from",
    sounds: Sequence[Path] = (),
    picture: bool = False,
    also: Callable[[Sequence[str]], Iterable[Removal]] | None = None,
    progress: Progress | None = None,
) -> Made:
    """Timeline, the folder it lies in -> ``out`` with page, sound, tracks and clips; ``out``.removed.jsonl beside it.

    ``sounds``: where recordings lie that are not in the case's folder. Without any sound (a transcript) the page has no
    player. ``picture``: the recording's picture goes in too, and into the clips. ``also``: another finder of names.
    """
    list_place = out.with_name(f"{out.name}.removed.jsonl")
    for place in (out, list_place):
        if place.exists():
            raise OutputError(f"{place}: is there already; name a new folder with --out")
    known = known_words(lexicon)
    words = [word.text for word in timeline.words]
    removals = find(words, known, also(words) if also else ())
    clean = without(timeline, removals)
    left = find([word.text for word in clean.words if word.text], known)
    if left:  # what is put in place of a name is itself none of the rules' finds
        raise OutputError(f"{out}: {len(left)} finds are left after taking out; nothing was written")
    recordings = _recordings(timeline, folder, sounds)
    if picture and len(recordings) != 1:
        raise InputError(f"{folder}: has {len(recordings)} recordings, and only the picture of one goes in")
    part = out.with_name(f".{out.name}.{getpid()}.part")
    try:
        (part / "clips").mkdir(parents=True)
        clips: dict[str, str] = {}
        name = None
        if recordings:
            samples = media.mixed([(offset, decode(path)) for offset, path in recordings], _tones(timeline, removals))
            name = "recording.webm"
            sound_file.write(samples, part / name, recordings[0][1] if picture else None)
            chosen = [e for e in clean.events if e.kind in _CLIPPED and e.status is Status.DONE]
            for number, event in enumerate(chosen, 1):
                clips[event.id] = f"clips/{number:03}-{event.kind}.webm"
                stretch = event.start_ms - _BEFORE_MS, event.end_ms + _AFTER_MS
                if picture:
                    sound_file.write_clip(part / name, part / clips[event.id], *stretch)
                else:
                    sound_file.write(media.cut(samples, *stretch), part / clips[event.id])
                if progress:
                    progress("Cutting", number, len(chosen))
        lesson = Lesson(title, clean, name, picture, isinstance(timeline, SignedTimeline), clips)
        texts = {
            "index.html": write_page(lesson, lexicon),
            "captions.vtt": write_captions(clean),
            "chapters.vtt": write_chapters(clean),
            "events.vtt": write_event_track(clean),
        }
        for file, text in texts.items():
            (part / file).write_text(text, encoding="utf-8", newline="\n")
        rows = [
            {
                "kind": each.kind,
                "text": " ".join(words[each.first : each.past]),
                "start_ms": timeline.words[each.first].start_ms,
                "end_ms": timeline.words[each.past - 1].end_ms,
            }
            for each in removals
        ]
        list_place.write_text(listed(rows), encoding="utf-8", newline="\n")
        part.rename(out)
    except OSError as error:
        raise OutputError(f"{out}: cannot be written ({error.strerror or error})") from error
    finally:
        shutil.rmtree(part, ignore_errors=True)
    return Made(len(removals), len(clips), list_place)


def without(timeline: Timeline, removals: Sequence[Removal]) -> Timeline:
    """A timeline -> the same without what is taken out: in words, heard forms, cautions; file names and hashes go too.

    Word ranges stay good: a word that is taken out leaves an empty one.
    """
    words = [word.text for word in timeline.words]
    texts = shown(words, removals)
    gone = {at for each in removals for at in range(each.first, each.past)}
    secrets = {words[at].strip(".,;:?!'\"") for at in gone} - {""}

    def touched(span: tuple[int, int]) -> bool:
        return any(at in gone for at in range(*span))

    def cleaned(event: Event) -> Event:
        values = {
            key: value.model_copy(update={"heard": ""}) if touched(value.words) else value
            for key, value in event.values.items()
        }
        return event.model_copy(update={"values": values})

    recording = timeline.recording.model_copy(update={"sha256": "", "recorded_at": None, "parts": ()})
    checks = tuple(each for each in timeline.cautions.values() if not any(secret in each.message for secret in secrets))
    fields = {name: getattr(timeline, name) for name in ("format", "made_by", "gaps")}
    return Timeline(
        **fields,
        recording=recording,
        words=tuple(word.model_copy(update={"text": text}) for word, text in zip(timeline.words, texts, strict=True)),
        corrections=tuple(each for each in timeline.corrections if not touched(each.words)),
        events=tuple(map(cleaned, timeline.events)),
        checks=checks,
    )


def _tones(timeline: Timeline, removals: Iterable[Removal]) -> list[tuple[int, int]]:
    return [(timeline.words[each.first].start_ms, timeline.words[each.past - 1].end_ms) for each in removals]


def _recordings(timeline: Timeline, folder: Path, sounds: Sequence[Path]) -> list[tuple[int, Path]]:
    """Where each part's file lies, known by its SHA-256; none for a transcript."""
    model = timeline.made_by.speech_model
    if model is None or model.name == "transcript":
        if not sounds:
            return []
        return [(0, sound) for sound in sounds[:1]]
    files = [path for place in (folder, *sounds) for path in ([place] if place.is_file() else place.glob("*"))]
    found: list[tuple[int, Path]] = []
    for each in timeline.recording.parts:
        candidates = sorted((path for path in files if path.is_file()), key=lambda path: path.name != each.name)
        path = next((path for path in candidates if hash_file(path) == each.sha256), None)
        if path is None:
            raise InputError(f"{folder}: its recording {each.name} is not there; name its place with --sound")
        found.append((each.offset_ms, path))
    return found
