"""Sounds -> the words spoken in them, and where something may have been said that nobody wrote down.

The speech model (Whisper, by faster-whisper) has two ways of being silently wrong: it loses speech (it ends a window
early), and it invents words where nobody speaks ("thank you", the same phrase a hundred times). Neither is mended with
a filter, for a filter is one detector and errs alone. So:

1. A voice detector tells where to part the sound into chunks the model can take (at the longest pause, never in a
   word), and where nobody seems to speak for long. It cuts nothing away.
2. Where nobody seems to speak for long, a second look is taken: the same stretch made louder, and a trial decoding.
   If one of them hears speech, the stretch is decoded like any other.
3. Each chunk is decoded with the bias; without it, if the bias was written where something else was said. Stretches
   with voice and no words are decoded again, without the bias, which is what usually ended the window early. What stays
   without words is told as a gap.
4. Words are taken out only on two pieces of evidence (no voice there or hardly any in the whole chunk, and the
   decoder's own doubt; or the same phrase over and over), and each such place is told as a gap with what was taken
   out.

Decoding is deterministic: beam search, no sampling, one result for one recording. The text before a chunk is not given
to the decoder: on our recordings it cost more words than it mended, and it carries a mistake on.
"""

import os
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from extractor.errors import ModelError
from extractor.listening.decode import RATE, Sound
from extractor.listening.speech_models import ResolvedModel
from extractor.listening.voice import NONE, STEP, SURE, Voice
from extractor.model import Gap, SpeechModel, Word

Progress = Callable[[float, float], None]

BEAM = 5
#: faster-whisper cuts hot words at 223 tokens without a word (448 // 2 - 1): we cut them ourselves, and say where.
BIAS_TOKENS = 223
#: A chunk takes the decoder one window, at times a second for its end: more is a loop.
_MOST_WINDOWS = 3
_TRIAL_TOKENS = 24

#: Voice without words for this long in all is decoded again, and told as a gap if it stays without words.
_HOLE_S = 1.0
_SHORTEST_WORD_S = 0.2
#: A chunk with less voice than this in all may have none: knocks and the first moment of a tune look like as much.
_HARDLY_S = 0.5
#: No sample above two steps of a 16 bit recording: there is nothing to hear.
_MUTE = 2 / 32768

#: The decoder's own doubt. Whisper takes the first two together for a silent window (Radford et al. 2022, section 4.5).
_NO_SPEECH, _LOW_LOGPROB, _LOW_PROBABILITY = 0.6, -1.0, 0.5
#: Nobody says more words than this in a second.
_FASTEST = 12.0
_LONGEST_PHRASE = 16

_NO_WORDS = "speech-like sound, but no words were made out"
_UNVOICED = "heard as {}, but there is hardly any voice in the sound: left out"
_REPEATED = "heard as {} over and over, which is a fault of decoding: left out"
_QUOTED_WORDS = 6


@dataclass(frozen=True)
class Heard:
    """What was heard, on the case's clock: words in order of time, gaps, and the bias terms that had room."""

    words: tuple[Word, ...]
    gaps: tuple[Gap, ...]
    bias: tuple[str, ...]
    speech_model: SpeechModel


def listen(
    sounds: Sequence[Sound],
    model: ResolvedModel,
    bias: Sequence[str] = (),
    progress: Progress | None = None,
) -> Heard:
    """The sounds of one case, in order -> its words and gaps, each sound placed by its ``offset_ms``.

    ``bias``: terms the decoder should know, most wanted first; those beyond the model's room are left out, and
    ``Heard.bias`` tells which were used. ``progress`` is called with seconds done and seconds in all.
    Raises ModelError if the model cannot be loaded.
    """
    recogniser = load(model)
    used = fit_bias(recogniser, bias)
    hot_words = ", ".join(used)
    total_s = sum(sound.duration_ms for sound in sounds) / 1000
    words: list[Word] = []
    gaps: list[Gap] = []
    done_s = 0.0
    for sound in sounds:
        ear = _Ear(sound.samples, _voice(sound.samples), recogniser)
        for start_s, end_s, is_voiced in ear.voice.chunks(len(sound.samples) / RATE):
            if is_voiced:
                ear.hear(start_s, end_s, hot_words)
            elif ear.second_look(start_s, end_s):
                ear.hear(start_s, end_s, "")  # where there may be nothing but noise, the bias would be written into it
            if progress:
                progress(min(done_s + end_s, total_s), total_s)
        words += _words(ear.spoken, sound.offset_ms, sound.duration_ms)
        gaps += _gaps(ear.gaps, sound)
        done_s += sound.duration_ms / 1000
    return Heard(tuple(words), tuple(gaps), used, SpeechModel(name=model.name, sha256=model.sha256))


@lru_cache(maxsize=2)
def load(model: ResolvedModel) -> Any:
    """The model as a faster-whisper ``WhisperModel``: int8, on every core. Loaded once. Raises ModelError."""
    from faster_whisper import WhisperModel

    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    try:
        return WhisperModel(str(model.folder), device="cpu", compute_type="int8", cpu_threads=cores)
    except Exception as error:  # CTranslate2 and tokenizers raise bare RuntimeError and Exception
        raise ModelError(f"{model.folder}: the speech model cannot be loaded ({error}); give another model") from error


def fit_bias(recogniser: Any, terms: Sequence[str]) -> tuple[str, ...]:
    """The first terms that together have room in the model, by its own tokenizer."""
    used: list[str] = []
    for term in terms:
        text = " " + ", ".join([*used, term])
        if len(recogniser.hf_tokenizer.encode(text, add_special_tokens=False).ids) > BIAS_TOKENS:
            break
        used.append(term)
    return tuple(used)


@dataclass(frozen=True)
class _Spoken:
    """One word as decoded: seconds from the start of its sound, and its segment's evidence."""

    text: str
    start_s: float
    end_s: float
    probability: float
    logprob: float
    no_speech: float

    @property
    def longest_s(self) -> float:
        """Longer than anybody draws out this word (by our own measure; what lasts longer hides other words)."""
        return 0.8 + 0.15 * len(self.text)


_GapS = tuple[float, float, str]  # start_s, end_s, why


@dataclass
class _Ear:
    """One sound being listened to. ``spoken`` and ``gaps`` grow in order of time."""

    samples: Any
    voice: Voice
    recogniser: Any
    spoken: list[_Spoken] = field(default_factory=list)
    gaps: list[_GapS] = field(default_factory=list)

    def hear(self, start_s: float, end_s: float, bias: str) -> None:
        """Decodes one chunk; where voice stays without words, once more, without the bias."""
        spoken = self.decode(start_s, end_s, bias)
        if bias and _is_strained(spoken, self.voice):
            spoken = self.decode(start_s, end_s)
        kept, dropped = sift(spoken, self.voice, hardly_voiced=self.voice.seconds(start_s, end_s) < _HARDLY_S)
        for from_s, to_s in self.holes(kept, start_s, end_s):
            again, _ = sift(self.decode(from_s, to_s), self.voice)
            kept = sorted([*kept, *again], key=lambda each: each.start_s)
        self.spoken += kept
        # What was taken out is told, unless decoding again filled its place with words.
        holes = self.holes(kept, start_s, end_s)
        told = [
            gap for gap in dropped if _overlaps(gap, holes) or not any(gap[0] <= each.start_s < gap[1] for each in kept)
        ]
        self.gaps += told
        self.gaps += [(*hole, _NO_WORDS) for hole in holes if not _overlaps(hole, told)]

    def holes(self, spoken: Iterable[_Spoken], start_s: float, end_s: float) -> list[tuple[float, float]]:
        """Where there is voice for more than a second and nobody has written a word."""
        covered = ((each.start_s - 0.1, min(each.end_s, each.start_s + each.longest_s) + 0.1) for each in spoken)
        return self.voice.outside(covered, start_s, end_s, _HOLE_S)

    def second_look(self, start_s: float, end_s: float) -> bool:
        """Whether there is speech where the detector heard none: made louder, or by a trial decoding."""
        samples = self.samples[round(start_s * RATE) : round(end_s * RATE)]
        if float(abs(samples).max(initial=0.0)) <= _MUTE:
            return False
        if _voice(samples).presence() > SURE:
            return True
        trial = self.decode(start_s, end_s, most_tokens=_TRIAL_TOKENS)
        return bool(trial) and not any(_is_doubtful(each, trial) for each in trial) and not _loops(trial, shortest=4)

    def decode(self, start_s: float, end_s: float, bias: str = "", most_tokens: int | None = None) -> list[_Spoken]:
        """One beam search over at most 30 s. No sampling and no threshold: what to make of it is decided above."""
        segments, _ = self.recogniser.transcribe(
            self.samples[round(start_s * RATE) : round(end_s * RATE)],
            language="en",
            beam_size=BEAM,
            temperature=0.0,
            no_speech_threshold=None,
            log_prob_threshold=None,
            compression_ratio_threshold=None,
            condition_on_previous_text=False,
            word_timestamps=True,
            hotwords=bias or None,
            max_new_tokens=most_tokens,
        )
        spoken: list[_Spoken] = []
        windows: set[int] = set()
        for segment in segments:
            windows.add(segment.seek)
            if len(windows) > _MOST_WINDOWS:  # it creeps along in a loop: what is left is decoded again as a hole
                break
            spoken += [
                self.tighten(each)
                for each in _join(
                    _Spoken(
                        text=word.word,
                        start_s=min(start_s + float(word.start), end_s),
                        end_s=min(start_s + float(word.end), end_s),
                        probability=float(word.probability),
                        logprob=float(segment.avg_logprob),
                        no_speech=float(segment.no_speech_prob),
                    )
                    for word in segment.words
                )
            ]
            # Asked for more, it would decode the pause at the chunk's end: a whole window's time, and words invented.
            if most_tokens or self.voice.seconds(start_s + segment.end + 0.2, end_s) < _SHORTEST_WORD_S:
                break
        return spoken

    def tighten(self, word: _Spoken) -> _Spoken:
        """A word after a pause is often given the pause's time too: its time is that of the voice in it."""
        run = self.voice.longest(word.start_s, word.end_s) if word.end_s - word.start_s > 1.0 else None
        if run is None:
            return word
        return replace(word, start_s=max(word.start_s, run[0] - 0.1), end_s=min(word.end_s, run[1] + 0.1))


def _voice(samples: Any) -> Voice:
    """By the detector that comes with faster-whisper (Silero VAD); made loud, for it is deaf to the very soft."""
    from faster_whisper.vad import get_vad_model

    detect = get_vad_model()
    steps: list[float] = []
    # In pieces of ten minutes, for its memory grows with what it is given; never our own array, for it writes into it.
    piece = 18_750 * STEP
    for at in range(0, len(samples), piece):
        part = samples[at : at + piece]
        part = part[: len(part) // STEP * STEP]
        loudest = float(abs(part).max(initial=0.0))
        if len(part):
            steps += detect(part / (loudest or 1.0)).reshape(-1).tolist()
    return Voice(steps)


def _join(pieces: Iterable[_Spoken]) -> list[_Spoken]:
    """What was written in one goes in one: 2 and .25 make 2.25, 50 and % make 50%. A lone mark is no word.

    The third of the same piece in a row is not joined on: 1-8-8-8-8… is a loop, and has to be seen as one.
    """
    joined: list[_Spoken] = []
    texts: list[str] = []
    for each in pieces:
        texts.append(each.text)
        if joined and not each.text.startswith(" ") and texts[-3:] != [each.text] * 3:
            before = joined.pop()
            each = replace(
                each,
                text=before.text + each.text,
                start_s=before.start_s,
                probability=min(before.probability, each.probability),
            )
        joined.append(each)
    return [
        replace(each, text=each.text.strip())
        for each in joined
        if any(letter.isalnum() or letter in "%°" for letter in each.text)
    ]


def sift(spoken: Sequence[_Spoken], voice: Voice, hardly_voiced: bool = False) -> tuple[list[_Spoken], list[_GapS]]:
    """Decoded words -> those kept, and what was taken out.

    Taken out: words where there is no voice (or that are of a chunk with hardly any) and the decoder itself is in
    doubt; and repetitions no speaker makes, down to the first of them.
    """
    kept: list[_Spoken] = []
    dropped: list[tuple[list[_Spoken], str]] = []
    at = 0
    for first, past, period in [*_loops(spoken), (len(spoken), len(spoken), 0)]:
        for i, each in enumerate(spoken[at : first + period], at):
            is_doubtful = i >= first or _is_doubtful(each, spoken)
            voiced = not hardly_voiced and voice.presence(each.start_s - 0.2, each.end_s + 0.2) >= NONE
            if not is_doubtful or voiced:
                kept.append(each)
            elif dropped and dropped[-1][1] == _UNVOICED and each.start_s - dropped[-1][0][-1].end_s < _HOLE_S:
                dropped[-1][0].append(each)
            else:
                dropped.append(([each], _UNVOICED))
        if past > first:
            dropped.append((list(spoken[first + period : past]), _REPEATED))
        at = past
    return kept, [(words[0].start_s, words[-1].end_s, why.format(_quote(words))) for words, why in dropped]


def _quote(words: Sequence[_Spoken]) -> str:
    text = " ".join(each.text for each in words[:_QUOTED_WORDS])
    return f"“{text} …”" if len(words) > _QUOTED_WORDS else f"“{text}”"


def _is_doubtful(word: _Spoken, among: Sequence[_Spoken]) -> bool:
    """The decoder's own doubt: silent window, unlikely words, or more words than anybody says in a second."""
    segment = [each for each in among if (each.logprob, each.no_speech) == (word.logprob, word.no_speech)]
    length_s = segment[-1].end_s - segment[0].start_s
    return (
        word.no_speech > _NO_SPEECH
        or word.logprob < _LOW_LOGPROB
        or sum(each.probability for each in segment) / len(segment) < _LOW_PROBABILITY
        or len(segment) > _FASTEST * max(length_s, 0.5)
    )


def _is_strained(spoken: Sequence[_Spoken], voice: Voice) -> bool:
    """Whether words of the bias seem to stand for other speech: drawn out beyond belief, or three times in a row."""
    texts = [_bare(each.text) for each in spoken]
    return any(voice.seconds(each.start_s, each.end_s) > each.longest_s for each in spoken) or any(
        texts[i] == texts[i + 1] == texts[i + 2] for i in range(len(texts) - 2)
    )


def _loops(spoken: Sequence[_Spoken], shortest: int = 8) -> list[tuple[int, int, int]]:
    """Runs of one phrase at least four times over: (first, past last, the phrase's length in words)."""
    texts = [_bare(each.text) for each in spoken]
    found = []
    at = 0
    while at < len(texts):
        for period in range(1, _LONGEST_PHRASE + 1):
            past = at + period
            while past < len(texts) and texts[past] == texts[past - period]:
                past += 1
            if past - at >= max(4 * period, shortest):
                found.append((at, past, period))
                at = past
                break
        else:
            at += 1
    return found


def _bare(text: str) -> str:
    return re.sub(r"\W", "", text).lower()


def _overlaps(stretch: tuple[Any, ...], others: Iterable[tuple[Any, ...]]) -> bool:
    return any(stretch[0] < other[1] and other[0] < stretch[1] for other in others)


# --- onto the case's clock


def _words(spoken: Iterable[_Spoken], offset_ms: int, duration_ms: int) -> list[Word]:
    words: list[Word] = []
    start_ms = 0
    for each in sorted(spoken, key=lambda each: each.start_s):
        start_ms = min(max(round(each.start_s * 1000), start_ms), duration_ms)
        end_ms = min(max(round(each.end_s * 1000), start_ms), duration_ms)
        probability = min(max(each.probability, 0.0), 1.0)
        words.append(
            Word(text=each.text, start_ms=offset_ms + start_ms, end_ms=offset_ms + end_ms, probability=probability)
        )
    return words


def _gaps(heard: Iterable[_GapS], sound: Sound) -> list[Gap]:
    """What was heard and not written down; what is missing in the file itself, its ``holes``, is told elsewhere."""
    return [
        Gap(
            start_ms=sound.offset_ms + round(from_s * 1000),
            end_ms=sound.offset_ms + min(max(round(to_s * 1000), round(from_s * 1000)), sound.duration_ms),
            why=why,
        )
        for from_s, to_s, why in sorted(heard)
    ]
