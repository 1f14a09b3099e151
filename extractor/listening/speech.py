"""Sounds -> the words spoken in them, and where something may have been said that nobody wrote down.

The speech model (Whisper, by faster-whisper) has two ways of being silently wrong: it loses speech (it ends a window
early), and it invents words where nobody speaks ("thank you", the same phrase a hundred times). Neither is mended with
a filter, for a filter is one detector and errs alone. So:

1. A voice detector gives each 32 ms a probability of voice. It cuts nothing away. It tells where to part the sound into
   chunks the model can take (at the longest pause, never in a word), and where nobody seems to speak for long.
2. Where nobody seems to speak for long, a second look is taken: the same stretch made louder, and a trial decoding.
   If one of them hears speech, the stretch is decoded like any other.
3. Each chunk is decoded. Stretches with voice and no words are decoded again, without the bias, which is what usually
   ended the window early. What stays without words is told as a gap.
4. Words are taken out only on two pieces of evidence (no voice there, and the decoder's own doubt; or the same phrase
   over and over), and each such place is told as a gap with what was taken out.

Decoding is deterministic: beam search, no sampling, one result for one recording.
"""

import os
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import accumulate, groupby, pairwise
from typing import Any

from extractor.errors import ModelError
from extractor.listening.decode import RATE, Sound
from extractor.listening.speech_models import ResolvedModel
from extractor.model import Gap, SpeechModel, Word

Progress = Callable[[float, float], None]

BEAM = 5
#: faster-whisper cuts hot words at 223 tokens without a word (448 // 2 - 1): we cut them ourselves, and say where.
BIAS_TOKENS = 223
#: A chunk takes the decoder one window, at times a second for its end: more is a loop.
_MOST_WINDOWS = 3

#: The voice detector's step: 512 samples.
_STEP = 512
_PER_S = RATE / _STEP
#: A chunk is parted at the best pause between these two; Whisper takes at most 30 s.
_SHORTEST_CHUNK_S, _LONGEST_CHUNK_S = 14.0, 29.0
_PAUSE_STEPS = 19  # 0.6 s: a pause this long, not a breath
#: Above: surely voice. Below: surely none. Measured: noise, hum, tones and beeps stay below 0.45, mostly below 0.1;
#: speech reaches 0.84 in every sentence even under noise three times as strong as itself (-5 dB).
_VOICE, _NO_VOICE = 0.5, 0.2
#: Nobody seems to speak for this long (and a margin on either side): a second look comes before a full decoding.
_LONG_SILENCE_S, _MARGIN_S = 6.0, 1.0
#: Voice without words for this long in all is decoded again, and told as a gap if it stays without words.
_HOLE_S = 1.0
_SHORTEST_WORD_S = 0.2
#: No sample above two steps of a 16 bit recording: there is nothing to hear.
_MUTE = 2 / 32768
_TRIAL_TOKENS = 24
#: The decoder's own doubt. Whisper takes the first two together for a silent window (Radford et al. 2022, section 4.5).
_NO_SPEECH, _LOW_LOGPROB, _LOW_PROBABILITY = 0.6, -1.0, 0.5
#: Nobody says more words than this in a second.
_FASTEST = 12.0
_LONGEST_PHRASE = 16
_QUOTED_WORDS = 6


@dataclass(frozen=True)
class Heard:
    """What was heard, on the case's clock: words in order of time, gaps, and the bias terms that had room."""

    words: tuple[Word, ...]
    gaps: tuple[Gap, ...]
    bias: tuple[str, ...]
    speech_model: SpeechModel


@dataclass(frozen=True)
class _Spoken:
    """One word as decoded: seconds from the start of its sound, and its segment's evidence."""

    text: str
    start_s: float
    end_s: float
    probability: float
    logprob: float
    no_speech: float


@dataclass
class _Take:
    """What one sound gave: words in order, and gaps (start_s, end_s, why)."""

    spoken: list[_Spoken] = field(default_factory=list)
    gaps: list[tuple[float, float, str]] = field(default_factory=list)


def listen(
    sounds: Sequence[Sound],
    model: ResolvedModel,
    bias: Sequence[str] = (),
    progress: Progress | None = None,
) -> Heard:
    """The sounds of one case, in order -> its words and gaps. Each sound begins where the one before ends.

    ``bias``: terms the decoder should know, most wanted first; those beyond the model's room are left out, and
    ``Heard.bias`` tells which were used. ``progress`` is called with seconds done and seconds in all.
    Raises ModelError if the model cannot be loaded.
    """
    recogniser = load(model)
    used = fit_bias(recogniser, bias)
    total_s = sum(sound.duration_ms for sound in sounds) / 1000
    words: list[Word] = []
    gaps: list[Gap] = []
    offset_ms = 0
    for sound in sounds:

        def tell(done_s: float, before_s: float = offset_ms / 1000) -> None:
            if progress:
                progress(min(before_s + done_s, total_s), total_s)

        take = _listen(sound, recogniser, ", ".join(used) or None, tell)
        words += _words(take.spoken, offset_ms, sound.duration_ms)
        gaps += _gaps(take, sound, offset_ms)
        offset_ms += sound.duration_ms
        tell(sound.duration_ms / 1000)
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
        if len(_tokens(recogniser, ", ".join([*used, term]))) > BIAS_TOKENS:
            break
        used.append(term)
    return tuple(used)


def _tokens(recogniser: Any, text: str) -> list[int]:
    return list(recogniser.hf_tokenizer.encode(" " + text.strip(), add_special_tokens=False).ids)


# --- one sound


def _listen(sound: Sound, recogniser: Any, bias: str | None, tell: Callable[[float], None]) -> _Take:
    voice = _voice(sound.samples)
    take = _Take()
    for start_s, end_s, is_voiced in _chunks(voice, len(sound.samples) / RATE):
        if is_voiced or _second_look(sound, voice, recogniser, start_s, end_s):
            _hear(sound, voice, recogniser, bias, start_s, end_s, take)
        tell(end_s)
    return take


def _hear(
    sound: Sound, voice: list[float], recogniser: Any, bias: str | None, start_s: float, end_s: float, take: _Take
) -> None:
    """Decodes one chunk into the take; where voice stays without words, once more, without the bias."""
    kept, dropped = sift(_decode(sound, voice, recogniser, start_s, end_s, bias), voice)
    for from_s, to_s in _holes(kept, voice, start_s, end_s):
        again, _ = sift(_decode(sound, voice, recogniser, from_s, to_s), voice)
        kept = sorted([*kept, *again], key=lambda each: each.start_s)
    take.spoken += kept
    # What was taken out is told, unless decoding again filled its place with words.
    bare = _holes(kept, voice, start_s, end_s)
    told = [gap for gap in dropped if _overlaps(gap, bare) or not any(gap[0] <= each.start_s < gap[1] for each in kept)]
    take.gaps += told
    take.gaps += [(*hole, _NO_WORDS) for hole in bare if not _overlaps(hole, told)]


_NO_WORDS = "speech-like sound, but no words were made out"


def _overlaps(stretch: tuple[Any, ...], others: Iterable[tuple[Any, ...]]) -> bool:
    return any(stretch[0] < other[1] and other[0] < stretch[1] for other in others)


def _decode(
    sound: Sound,
    voice: list[float],
    recogniser: Any,
    start_s: float,
    end_s: float,
    bias: str | None = None,
    most_tokens: int | None = None,
) -> list[_Spoken]:
    """One beam search over at most 30 s. No sampling and no threshold: what to make of the result is decided here."""
    segments, _ = recogniser.transcribe(
        sound.samples[round(start_s * RATE) : round(end_s * RATE)],
        language="en",
        beam_size=BEAM,
        temperature=0.0,
        no_speech_threshold=None,
        log_prob_threshold=None,
        compression_ratio_threshold=None,
        condition_on_previous_text=False,
        word_timestamps=True,
        hotwords=bias,
        max_new_tokens=most_tokens,
    )
    spoken: list[_Spoken] = []
    windows: set[int] = set()
    for segment in segments:
        windows.add(segment.seek)
        if len(windows) > _MOST_WINDOWS:  # it creeps along in a loop: what is left is looked at again as a hole
            break
        spoken += _join(
            _Spoken(
                text=word.word,
                start_s=min(start_s + word.start, end_s),
                end_s=min(start_s + word.end, end_s),
                probability=float(word.probability),
                logprob=float(segment.avg_logprob),
                no_speech=float(segment.no_speech_prob),
            )
            for word in segment.words
        )
        # Asked again, it would decode the pause at the chunk's end, at the cost of a whole window, and invent there.
        if most_tokens or _voiced_s(voice, start_s + segment.end + 0.2, end_s) < _SHORTEST_WORD_S:
            break
    return spoken


def _join(pieces: Iterable[_Spoken]) -> list[_Spoken]:
    """What was written in one goes in one: 2 and .25 make 2.25, 50 and % make 50%. A lone mark is no word."""
    joined: list[_Spoken] = []
    for each in pieces:
        if joined and not each.text.startswith(" "):
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


def _second_look(sound: Sound, voice: list[float], recogniser: Any, start_s: float, end_s: float) -> bool:
    """Whether there is speech where the voice detector heard none: made louder, or by a trial decoding."""
    samples = sound.samples[round(start_s * RATE) : round(end_s * RATE)]
    loudest = float(abs(samples).max(initial=0.0))
    if loudest <= _MUTE:
        return False
    first = int(start_s * _PER_S)
    louder = _voice(samples * (1.0 / loudest))
    if max(_smooth(louder), default=0.0) > _VOICE:
        voice[first : first + len(louder)] = louder
        return True
    trial = _decode(sound, voice, recogniser, start_s, end_s, most_tokens=_TRIAL_TOKENS)
    return bool(trial) and not any(_is_doubtful(each, trial) for each in trial) and not _loops(trial, shortest=4)


# --- what is taken out, and on what evidence


def sift(spoken: list[_Spoken], voice: list[float]) -> tuple[list[_Spoken], list[tuple[float, float, str]]]:
    """Decoded words -> those kept, and (start_s, end_s, why) of what was taken out.

    Taken out: words where there is no voice and the decoder itself is in doubt; and repetitions no speaker makes, down
    to the first of them.
    """
    kept: list[_Spoken] = []
    dropped: list[tuple[list[_Spoken], str]] = []
    at = 0
    for first, past, period in [*_loops(spoken), (len(spoken), len(spoken), 0)]:
        for each in spoken[at : min(first + period, past)]:
            if _voice_at(voice, each.start_s - 0.2, each.end_s + 0.2) >= _NO_VOICE or not _is_doubtful(each, spoken):
                kept.append(each)
            elif dropped and dropped[-1][0][-1].end_s >= each.start_s - _HOLE_S and dropped[-1][1] == _UNVOICED:
                dropped[-1][0].append(each)
            else:
                dropped.append(([each], _UNVOICED))
        if past > first:
            dropped.append((spoken[first + period : past], _REPEATED))
        at = past
    return kept, [(words[0].start_s, words[-1].end_s, why.format(_quote(words))) for words, why in dropped if words]


_UNVOICED = "heard as {}, but there is no voice in the sound: left out"
_REPEATED = "heard as {} over and over, which is a fault of decoding: left out"


def _quote(words: list[_Spoken]) -> str:
    text = " ".join(each.text for each in words[:_QUOTED_WORDS])
    return f"“{text} …”" if len(words) > _QUOTED_WORDS else f"“{text}”"


def _is_doubtful(word: _Spoken, among: list[_Spoken]) -> bool:
    """The decoder's own doubt: silent window, unlikely words, or more words than anybody says in a second."""
    segment = [each for each in among if (each.logprob, each.no_speech) == (word.logprob, word.no_speech)]
    probability = sum(each.probability for each in segment) / len(segment)
    length_s = segment[-1].end_s - segment[0].start_s
    return (
        word.no_speech > _NO_SPEECH
        or word.logprob < _LOW_LOGPROB
        or probability < _LOW_PROBABILITY
        or len(segment) > _FASTEST * max(length_s, 0.5)
    )


def _loops(spoken: list[_Spoken], shortest: int = 8) -> list[tuple[int, int, int]]:
    """Runs of one phrase at least four times over: (first, past last, the phrase's length in words)."""
    texts = [re.sub(r"\W", "", each.text).lower() for each in spoken]
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


# --- where there is voice


def _voice(samples: Any) -> list[float]:
    """The probability of voice of each 32 ms, by the detector that comes with faster-whisper (Silero VAD)."""
    from faster_whisper.vad import get_vad_model

    detect = get_vad_model()
    voice: list[float] = []
    # In pieces of ten minutes, for its memory grows with what it is given; copied, for it writes into what it is given.
    piece = 18_750 * _STEP
    for at in range(0, len(samples), piece):
        part = samples[at : at + piece]
        part = part[: len(part) // _STEP * _STEP]
        if len(part):
            voice += detect(part.copy()).reshape(-1).tolist()
    return voice


def _voice_at(voice: list[float], start_s: float, end_s: float) -> float:
    """The highest probability of voice between two times."""
    first = min(max(0, int(start_s * _PER_S)), max(0, len(voice) - 1))
    return max(voice[first : max(first, int(end_s * _PER_S)) + 1], default=0.0)


def _voiced_s(voice: list[float], start_s: float, end_s: float) -> float:
    """How many seconds of voice lie between two times."""
    return sum(each > _VOICE for each in voice[max(0, round(start_s * _PER_S)) : round(end_s * _PER_S)]) / _PER_S


def _smooth(voice: list[float], width: int = 5) -> list[float]:
    """The mean of each step and its neighbours: a single step of noise is no voice, a short word is."""
    sums = [0.0, *accumulate(voice)]
    half = width // 2
    return [
        (sums[min(i + half + 1, len(voice))] - sums[max(i - half, 0)])
        / (min(i + half + 1, len(voice)) - max(i - half, 0))
        for i in range(len(voice))
    ]


def _chunks(voice: list[float], length_s: float) -> Iterator[tuple[float, float, bool]]:
    """The whole sound in chunks of at most 29 s, none left out: (start_s, end_s, whether there is voice in it)."""
    smooth = _smooth(voice)
    edges: list[tuple[float, bool]] = [(0.0, True)]  # where a stretch begins, and whether it is voiced
    for first, past in _runs(probability < _NO_VOICE for probability in smooth):
        from_s = first / _PER_S + (_MARGIN_S if first else 0.0)
        to_s = past / _PER_S - _MARGIN_S if past < len(smooth) else length_s
        if to_s - from_s >= _LONG_SILENCE_S:
            edges += [(from_s, False), (to_s, True)]
    pauses = _smooth(voice, _PAUSE_STEPS)
    for (start_s, is_voiced), (end_s, _) in pairwise([*edges, (length_s, True)]):
        at = start_s
        while end_s - at > _LONGEST_CHUNK_S:
            first, past = int((at + _SHORTEST_CHUNK_S) * _PER_S), int((at + _LONGEST_CHUNK_S) * _PER_S)
            # The deepest pause; of equally deep ones the last, for longer chunks give the decoder more to go by.
            cut = min(range(first, past), key=lambda i: (round(pauses[min(i, len(pauses) - 1)], 2), -i)) / _PER_S
            yield at, cut, is_voiced
            at = cut
        if end_s > at:
            yield at, end_s, is_voiced


def _runs(flags: Iterable[bool]) -> Iterator[tuple[int, int]]:
    """(first, past last) of each run of true flags."""
    at = 0
    for flag, run in groupby(flags):
        past = at + sum(1 for _ in run)
        if flag:
            yield at, past
        at = past


def _holes(spoken: list[_Spoken], voice: list[float], start_s: float, end_s: float) -> list[tuple[float, float]]:
    """Stretches between words with more than a second of voice in them, from its first to its last moment."""
    first, past = int(start_s * _PER_S), min(int(end_s * _PER_S), len(voice))
    bare = [voice[i] > _VOICE for i in range(first, past)]
    worded = [False] * len(bare)
    for each in spoken:
        for i in range(int((each.start_s - 0.1) * _PER_S) - first, int((each.end_s + 0.1) * _PER_S) + 1 - first):
            if 0 <= i < len(worded):
                worded[i] = True
    holes = []
    for from_step, to_step in _runs(not each for each in worded):
        steps = [i for i in range(from_step, to_step) if bare[i]]
        if len(steps) > _HOLE_S * _PER_S:
            from_s = max((first + max(steps[0] - 8, from_step)) / _PER_S, start_s)
            to_s = min((first + min(steps[-1] + 9, to_step)) / _PER_S, end_s)
            holes.append((from_s, to_s))
    return holes


# --- onto the case's clock


def _words(spoken: list[_Spoken], offset_ms: int, duration_ms: int) -> list[Word]:
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


def _gaps(take: _Take, sound: Sound, offset_ms: int) -> list[Gap]:
    found = [(round(from_s * 1000), round(to_s * 1000), why) for from_s, to_s, why in take.gaps]
    found += [
        (*hole, "the recording has no sound here: its recorder paused, or the file is damaged") for hole in sound.holes
    ]
    return [
        Gap(start_ms=offset_ms + start_ms, end_ms=offset_ms + min(end_ms, sound.duration_ms), why=why)
        for start_ms, end_ms, why in sorted(found)
    ]
