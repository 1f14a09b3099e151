"""Timeline -> WebVTT transcript (W3C Candidate Recommendation "WebVTT: The Web Video Text Tracks Format").

What was repaired is shown repaired, in a ``read`` class span, with a NOTE before the cue that tells what was heard.
A repair that wants a look is not made: the heard words stand, with ``[heparin?]`` behind them. A gap is a cue of
its own.
Cue times are the times of the words in it, nothing is stretched or moved.
"""

from dataclasses import dataclass

from extractor.handover import safety
from extractor.model import Correction, Gap, Timeline

# Two lines of some 42 letters and 7 seconds are the common practice of subtitlers (from memory, no one source).
LINE_LETTERS = 42
CUE_LETTERS = 2 * LINE_LETTERS
CUE_MS = 7_000
# A pause this long ends a cue, a shorter one only after a sentence's end.
PAUSE_MS = 900
SENTENCE_PAUSE_MS = 250

#: How long the notice stands.
NOTICE_MS = 4_000
#: What a SubRip player may take for markup, as letters that look alike.
_SRT = str.maketrans({"<": "‹", ">": "›", "{": "(", "}": ")"})

GAP_TEXT = "[something may have been said here; no words were made out]"
NO_SOUND_TEXT = "[something may have been said here; there is no sound]"


@dataclass(frozen=True)
class _Piece:
    """What is shown without a break: a word, or the words of one repair."""

    start_ms: int
    end_ms: int
    text: str
    notes: tuple[str, ...] = ()
    repaired: bool = False


@dataclass(frozen=True)
class _Cue:
    start_ms: int
    end_ms: int
    text: str
    notes: tuple[str, ...] = ()


def write_captions(timeline: Timeline, *, notice: bool = False) -> str:
    """Timeline -> the text of a WebVTT file, cues in order of time.

    ``notice``: begins with a cue at the top of the picture that tells whether it is a draft or who signed it; a NOTE
    alone no player shows.
    """
    blocks = [f"WEBVTT\n\nNOTE {escape(safety(timeline))}"]
    if notice:
        blocks.append(f"{timestamp(0)} --> {timestamp(NOTICE_MS)} line:0\n{escape(safety(timeline))}")
    for cue in _cues(timeline):
        blocks += [f"NOTE {escape(note)}" for note in cue.notes]
        blocks.append(f"{timestamp(cue.start_ms)} --> {timestamp(cue.end_ms)}\n{cue.text}")
    return "\n\n".join(blocks) + "\n"


def write_srt(timeline: Timeline) -> str:
    """Timeline -> the text of a SubRip file: the same cues without notes, behind one that tells whether it is a draft.

    SubRip has no standard; common practice is numbered cues, a comma before the milliseconds and a few tags as of HTML,
    which its players do not unescape. So ``<`` and ``>`` stand as ‹ and ›, and ``{`` and ``}``, which some read as
    styling, as ( and ).
    """
    cues = [_Cue(0, NOTICE_MS, safety(timeline)), *_cues(timeline)]
    blocks = [
        f"{number}\n{timestamp(cue.start_ms)} --> {timestamp(cue.end_ms)}".replace(".", ",")
        + f"\n{_untagged(cue.text).translate(_SRT)}"
        for number, cue in enumerate(cues, 1)
    ]
    return "\n\n".join(blocks) + "\n"


def _cues(timeline: Timeline) -> list[_Cue]:
    cues = [_cue(pieces) for pieces in _group(_pieces(timeline))] + [_gap_cue(gap) for gap in timeline.gaps]
    return sorted(cues, key=lambda cue: (cue.start_ms, cue.end_ms))


def _pieces(timeline: Timeline) -> list[_Piece]:
    starting: dict[int, list[Correction]] = {}
    for correction in timeline.corrections:
        starting.setdefault(correction.words[0], []).append(correction)
    pieces: list[_Piece] = []
    at = 0
    while at < len(timeline.words):
        shown = max(starting.get(at, []), key=lambda correction: correction.words[1], default=None)
        past = max(shown.words[1], at + 1) if shown else at + 1
        words = timeline.words[at:past]
        heard = " ".join(_one_line(word.text) for word in words).strip()
        start_ms, end_ms = words[0].start_ms, max(word.end_ms for word in words)
        # One repair inside another is told too, though only the longest is shown.
        notes = tuple(_note(each, start_ms) for first in range(at, past) for each in starting.get(first, []))
        repaired = shown is not None and not shown.review
        if heard:
            pieces.append(_Piece(start_ms, end_ms, _shown_text(heard, shown), notes, repaired))
        at = past
    return pieces


def _shown_text(heard: str, repair: Correction | None) -> str:
    if repair is None:
        return heard
    read = _one_line(repair.read)
    if repair.review:
        return f"{heard} [{read}?]"
    # The sentence mark the recogniser put behind the last word is not part of the term that was repaired.
    return read + (heard[-1] if heard[-1] in ".,;:!?" and not read.endswith(heard[-1]) else "")


def _note(repair: Correction, start_ms: int) -> str:
    verdict = "perhaps" if repair.review else "read"
    return f"{timestamp(start_ms)} heard: {_one_line(repair.heard)}; {verdict}: {_one_line(repair.read)}"


def _group(pieces: list[_Piece]) -> list[list[_Piece]]:
    """Pieces -> the pieces of each cue: broken at pauses, at sentence ends, and before it gets too long to read."""
    groups: list[list[_Piece]] = []
    for piece in pieces:
        if not groups or _pauses(groups[-1], piece):
            groups.append([piece])
        elif _too_long([*groups[-1], piece]):
            # At the last comma or full stop, so that a number is not parted from its unit.
            at = _clause_end(groups[-1])
            groups[-1:] = [groups[-1][:at], [*groups[-1][at:], piece]]
        else:
            groups[-1].append(piece)
    return groups


def _pauses(group: list[_Piece], piece: _Piece) -> bool:
    pause = piece.start_ms - group[-1].end_ms
    return pause >= PAUSE_MS or (pause >= SENTENCE_PAUSE_MS and group[-1].text.endswith((".", "?", "!")))


def _too_long(group: list[_Piece]) -> bool:
    return _letters(group) > CUE_LETTERS or group[-1].end_ms - group[0].start_ms > CUE_MS


def _letters(pieces: list[_Piece]) -> int:
    return sum(len(piece.text) + 1 for piece in pieces) - 1


def _clause_end(group: list[_Piece]) -> int:
    """Where to part a group: behind its last clause, unless that is near its beginning; else behind all of it."""
    ends = [at for at in range(len(group), 0, -1) if group[at - 1].text.endswith((".", ",", ";", ":", "?", "!"))]
    return next((at for at in ends if 3 * _letters(group[:at]) > CUE_LETTERS), len(group))


def _cue(pieces: list[_Piece]) -> _Cue:
    start_ms = pieces[0].start_ms
    # WebVTT wants an end after the start; a word without length gets one millisecond.
    end_ms = max(start_ms + 1, *(piece.end_ms for piece in pieces))
    shown = [f"<c.read>{escape(piece.text)}</c>" if piece.repaired else escape(piece.text) for piece in pieces]
    split = _line_break(pieces)
    text = "\n".join(" ".join(line) for line in (shown[:split], shown[split:]) if line)
    return _Cue(start_ms, end_ms, text, tuple(note for piece in pieces for note in piece.notes))


def _line_break(pieces: list[_Piece]) -> int:
    """The place where two lines come out most nearly even; past the end where one line is enough."""
    if _letters(pieces) <= LINE_LETTERS:
        return len(pieces)
    return min(range(1, len(pieces) + 1), key=lambda at: max(_letters(pieces[:at]), _letters(pieces[at:])))


def _gap_cue(gap: Gap) -> _Cue:
    note = f"{timestamp(gap.start_ms)} gap: {_one_line(gap.why)}"
    return _Cue(gap.start_ms, max(gap.end_ms, gap.start_ms + 1), GAP_TEXT if gap.recorded else NO_SOUND_TEXT, (note,))


def timestamp(ms: int) -> str:
    """Milliseconds -> ``00:01:23.450``. Whole numbers throughout: nothing is rounded twice."""
    seconds, ms = divmod(ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{seconds:02}.{ms:03}"


def _one_line(text: str) -> str:
    """Any text -> one line: an empty line or a line break would end the cue, NUL is forbidden in WebVTT."""
    return " ".join(text.replace("\0", "\ufffd").split())


def _untagged(text: str) -> str:
    """A WebVTT cue's text -> without its tags and escapes."""
    text = text.replace("<c.read>", "").replace("</c>", "")
    return text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


def escape(text: str) -> str:
    """A text -> as WebVTT holds it. Escaping ``>`` as well leaves no ``-->`` anywhere."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
