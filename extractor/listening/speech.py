"""Sounds -> the words spoken in them, and where something may have been said that nobody wrote down.

The speech model (Whisper, by faster-whisper) has two ways of being silently wrong: it loses speech (it ends a window
early), and it invents words where nobody speaks ("thank you", the same phrase a hundred times). Neither is mended with
a filter, for a filter is one detector and errs alone. So:

1. A voice detector tells where to part the sound into chunks the model can take (at the longest pause, never in a
   word), and where nobody seems to speak for long. It cuts nothing away.
2. Where nobody seems to speak for long, a second look is taken: the same stretch made louder, and a trial decoding.
   If one of them hears speech, the stretch is decoded like any other.
3. Each chunk is decoded with the bias, if one is wanted; without it, if the bias was written where something else was
   said. Stretches with voice and no words are decoded again, without the bias, which is what usually ended the chunk
   early. What stays without words is told as a gap.
4. Words are taken out only on two pieces of evidence (no voice there or hardly any in the whole chunk, and the
   decoder's own doubt; or the same phrase over and over), and each such place is told as a gap with what was taken
   out.

Other models are asked what they hear where it can matter (``excerpts``). Their words are nobody's draft; reading lays
them beside it.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from extractor.listening.decode import RATE, Sound
from extractor.listening.excerpts import Span, Stretch, breaths, windows
from extractor.listening.loudness import faint
from extractor.listening.recogniser import Recogniser, Spoken, load, voice_steps
from extractor.listening.speech_models import ResolvedModel
from extractor.listening.voice import LONGEST_CHUNK_S, NONE, SURE, Voice
from extractor.model import Gap, Opinion, Rival, SpeechModel, Word, WordRange

Progress = Callable[[float, float], None]
#: The words of a stretch -> those of them that others should be asked about.
WorthAsking = Callable[[Sequence[str]], Sequence[Span]]
_Chunk = tuple[float, float, bool]  # and whether there may be voice

_TRIAL_TOKENS = 24

#: Voice without words for this long in all is decoded again, and told as a gap if it stays without words.
_HOLE_S = 1.0
#: A word of more than this has a pause in it; what is soft at a word's edges the detector leaves out.
_DRAWN_OUT_S, _EDGE_S, _EARLY_S = 1.0, 0.1, 1.0
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
    """What was heard, on the case's clock: words in order of time, gaps, the bias terms that had room, what other
    models heard in the same sound, and which words were spoken much fainter than the rest of their sound.
    """

    words: tuple[Word, ...]
    gaps: tuple[Gap, ...]
    bias: tuple[str, ...]
    speech_model: SpeechModel
    opinions: tuple[Opinion, ...] = ()
    faint: tuple[WordRange, ...] = ()


def listen(
    sounds: Sequence[Sound],
    model: ResolvedModel,
    bias: Sequence[str] = (),
    progress: Progress | None = None,
    others: Sequence[ResolvedModel] = (),
    worth_asking: WorthAsking = lambda texts: [(0, len(texts))],
    number_words: frozenset[str] = frozenset(),
) -> Heard:
    """The sounds of one case, in order -> its words and gaps, each sound placed by its ``offset_ms``.

    ``bias``: terms the decoder should know, most wanted first; those beyond the model's room are left out, and
    ``Heard.bias`` tells which were used. ``others``: models asked for a second opinion, on the breaths whose words are
    ``worth_asking`` about, and with ``number_words`` for what else their figures may be. ``progress`` is called with
    seconds done and seconds in all. Raises ModelError if a model cannot be loaded.
    """
    recogniser = load(model)
    used = recogniser.fit_bias(bias)
    hot_words = ", ".join(used)
    total_s = sum(sound.duration_ms for sound in sounds) / 1000
    words: list[Word] = []
    gaps: list[Gap] = []
    faintly: list[WordRange] = []
    opinions = [_Opinion(_named(other)) for other in others]
    done_s = 0.0
    for sound in sounds:
        beside = [load(other) for other in others]
        ear = _Ear(sound.samples, _voice(sound.samples), recogniser, beside, worth_asking, number_words)
        for chunks in _groups(ear.voice.chunks(len(sound.samples) / RATE), recogniser.at_once):
            ear.hear([(start_s, end_s) for start_s, end_s, is_voiced in chunks if is_voiced], hot_words)
            # Where there may be nothing but noise, the bias would be written into it.
            quiet = [(start_s, end_s) for start_s, end_s, is_voiced in chunks if not is_voiced]
            ear.hear([stretch for stretch in quiet if ear.second_look(*stretch)], "")
            ear.ask(at_least=recogniser.at_once)
            if progress:
                progress(min(done_s + chunks[-1][1], total_s), total_s)
        ear.ask()
        in_order = sorted(ear.spoken, key=lambda each: each.start_s)
        faintly += [
            (len(words) + first, len(words) + past)
            for first, past in faint(sound.samples, [(each.start_s, each.end_s) for each in in_order])
        ]
        words += _words(in_order, sound.offset_ms, sound.duration_ms)
        gaps += _gaps(ear.gaps, sound)
        for opinion, spoken in zip(opinions, ear.opinions, strict=True):
            opinion.add(spoken, sound)
        done_s += sound.duration_ms / 1000
    return Heard(
        tuple(words),
        tuple(gaps),
        used,
        _named(model),
        tuple(opinion.whole() for opinion in opinions),
        tuple(faintly),
    )


@dataclass
class _Opinion:
    """What another model heard, sound after sound."""

    model: SpeechModel
    words: list[Word] = field(default_factory=list)
    rivals: list[Rival] = field(default_factory=list)

    def add(self, spoken: Iterable[Spoken], sound: Sound) -> None:
        in_order = sorted(spoken, key=lambda each: each.start_s)
        self.rivals += [
            Rival(word=number, text=text, log_ratio=round(ratio, 2))
            for number, each in enumerate(in_order, len(self.words))
            for text, ratio in each.rivals
        ]
        self.words += _words(in_order, sound.offset_ms, sound.duration_ms)

    def whole(self) -> Opinion:
        return Opinion(speech_model=self.model, words=tuple(self.words), rivals=tuple(self.rivals))


def _named(model: ResolvedModel) -> SpeechModel:
    return SpeechModel(name=model.name, sha256=model.sha256)


def _groups(chunks: Iterable[_Chunk], size: int) -> Iterator[list[_Chunk]]:
    whole = list(chunks)
    for at in range(0, len(whole), size):
        yield whole[at : at + size]


_GapS = tuple[float, float, str]  # start_s, end_s, why


@dataclass
class _Ear:
    """One sound being listened to. ``spoken`` and ``gaps`` grow stretch by stretch; ``asked`` is what others have still
    to be asked about, and then their ``opinions`` grow.
    """

    samples: Any
    voice: Voice
    recogniser: Recogniser
    others: Sequence[Recogniser]
    worth_asking: WorthAsking
    number_words: frozenset[str]
    spoken: list[Spoken] = field(default_factory=list)
    gaps: list[_GapS] = field(default_factory=list)
    asked: list[Stretch] = field(default_factory=list)
    opinions: list[list[Spoken]] = field(init=False)

    def __post_init__(self) -> None:
        self.opinions = [[] for _ in self.others]

    def hear(self, stretches: Sequence[Stretch], bias: str) -> None:
        """Decodes stretches side by side; where voice stays without words, once more, without the bias."""
        if not stretches:
            return
        for stretch, spoken in zip(stretches, self.decode(stretches, bias), strict=True):
            kept = self.settle(stretch, spoken, bias)
            self.spoken += kept
            if kept and self.others:
                self.asked += breaths(kept, self.worth_asking([each.text for each in kept]), stretch)

    def ask(self, at_least: int = 1) -> None:
        """Asks the others what they hear, when there are enough windows of it to be decoded side by side."""
        laid = windows(self.asked, LONGEST_CHUNK_S)
        if len(laid) < at_least:
            return
        self.asked = []
        clips = [window.cut(self.samples) for window in laid]
        for opinion, other in zip(self.opinions, self.others, strict=True):
            for window, heard in zip(laid, other.hear(clips, number_words=self.number_words), strict=True):
                for pieces in window.parts(heard):
                    opinion += map(self.tighten, _join(pieces))

    def settle(self, stretch: Stretch, spoken: list[Spoken], bias: str) -> list[Spoken]:
        """What was decoded of one stretch -> what is kept of it, decoded again where speech seems to be missing."""
        start_s, end_s = stretch
        if bias and _is_strained(spoken, self.voice):
            [spoken] = self.decode([stretch])
        kept, dropped = sift(spoken, self.voice, hardly_voiced=self.voice.seconds(start_s, end_s) < _HARDLY_S)
        holes = self.holes(kept, start_s, end_s)
        for again in self.decode(holes) if holes else []:
            kept = sorted([*kept, *sift(again, self.voice)[0]], key=lambda each: each.start_s)
        # What was taken out is told, unless decoding again filled its place with words.
        holes = self.holes(kept, start_s, end_s)
        told = [
            gap for gap in dropped if _overlaps(gap, holes) or not any(gap[0] <= each.start_s < gap[1] for each in kept)
        ]
        self.gaps += told
        self.gaps += [(*hole, _NO_WORDS) for hole in holes if not _overlaps(hole, told)]
        return kept

    def holes(self, spoken: Iterable[Spoken], start_s: float, end_s: float) -> list[Stretch]:
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
        [trial] = self.decode([(start_s, end_s)], most_tokens=_TRIAL_TOKENS)
        return bool(trial) and not any(_is_doubtful(each, trial) for each in trial) and not _loops(trial, shortest=4)

    def decode(
        self,
        stretches: Sequence[Stretch],
        bias: str = "",
        most_tokens: int | None = None,
    ) -> list[list[Spoken]]:
        """The words of each stretch, on this sound's clock. No threshold: what to make of it is decided above."""
        clips = [self.samples[round(start_s * RATE) : round(end_s * RATE)] for start_s, end_s in stretches]
        heard = self.recogniser.hear(clips, bias, most_tokens=most_tokens)
        return [
            [self.tighten(each) for each in _join(_moved(piece, stretch) for piece in pieces)]
            for stretch, pieces in zip(stretches, heard, strict=True)
        ]

    def tighten(self, word: Spoken) -> Spoken:
        """A word beside a pause is given the pause's time too: its time is that of the voice in it.

        Pauses tell where a breath ends, so they have to be there. A long one may lie in the midst of the word's time.
        """
        long = word.end_s - word.start_s > _DRAWN_OUT_S
        run = (self.voice.longest if long else self.voice.core)(word.start_s, word.end_s)
        if run is None:  # the first word after a long silence may be given the end of the silence
            run = self.voice.core(word.start_s, word.end_s + _EARLY_S)
            if run is None:
                return word
            return replace(word, start_s=max(run[0] - _EDGE_S, 0.0), end_s=max(word.end_s, run[0]))
        return replace(word, start_s=max(word.start_s, run[0] - _EDGE_S), end_s=min(word.end_s, run[1] + _EDGE_S))


def _moved(piece: Spoken, stretch: Stretch) -> Spoken:
    start_s, end_s = stretch
    return replace(piece, start_s=min(start_s + piece.start_s, end_s), end_s=min(start_s + piece.end_s, end_s))


def _voice(samples: Any) -> Voice:
    return Voice(voice_steps(samples))


def _join(pieces: Iterable[Spoken]) -> list[Spoken]:
    """What was written in one goes in one: 2 and .25 make 2.25, 50 and % make 50%. A lone mark is no word, and how sure
    it was says nothing of the word it follows.

    The third of the same piece in a row is not joined on: 1-8-8-8-8… is a loop, and has to be seen as one.
    """
    joined: list[Spoken] = []
    texts: list[str] = []
    for each in pieces:
        texts.append(each.text)
        if joined and not each.text.startswith(" ") and texts[-3:] != [each.text] * 3:
            before = joined.pop()
            sure = (before.probability, each.probability) if _is_word(each.text) else (before.probability,)
            rivals = [(text + each.text, ratio) for text, ratio in before.rivals]
            rivals += [(before.text + text, ratio) for text, ratio in each.rivals]
            each = replace(
                each,
                text=before.text + each.text,
                start_s=before.start_s,
                probability=min(sure),
                rivals=tuple(rivals),
            )
        joined.append(each)
    return [replace(each, text=each.text.strip()) for each in joined if _is_word(each.text)]


def _is_word(text: str) -> bool:
    return any(letter.isalnum() or letter in "%°" for letter in text)


def sift(spoken: Sequence[Spoken], voice: Voice, hardly_voiced: bool = False) -> tuple[list[Spoken], list[_GapS]]:
    """Decoded words -> those kept, and what was taken out.

    Taken out: words where there is no voice (or that are of a chunk with hardly any) and the decoder itself is in
    doubt; and repetitions no speaker makes, down to the first of them.
    """
    kept: list[Spoken] = []
    dropped: list[tuple[list[Spoken], str]] = []
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


def _quote(words: Sequence[Spoken]) -> str:
    text = " ".join(each.text for each in words[:_QUOTED_WORDS])
    return f"“{text} …”" if len(words) > _QUOTED_WORDS else f"“{text}”"


def _is_doubtful(word: Spoken, among: Sequence[Spoken]) -> bool:
    """The decoder's own doubt: silent window, unlikely words, or more words than anybody says in a second."""
    segment = [each for each in among if (each.logprob, each.no_speech) == (word.logprob, word.no_speech)]
    length_s = segment[-1].end_s - segment[0].start_s
    return (
        word.no_speech > _NO_SPEECH
        or word.logprob < _LOW_LOGPROB
        or sum(each.probability for each in segment) / len(segment) < _LOW_PROBABILITY
        or len(segment) > _FASTEST * max(length_s, 0.5)
    )


def _is_strained(spoken: Sequence[Spoken], voice: Voice) -> bool:
    """Whether words of the bias seem to stand for other speech: drawn out beyond belief, or three times in a row."""
    texts = [_bare(each.text) for each in spoken]
    return any(voice.seconds(each.start_s, each.end_s) > each.longest_s for each in spoken) or any(
        texts[i] == texts[i + 1] == texts[i + 2] for i in range(len(texts) - 2)
    )


def _loops(spoken: Sequence[Spoken], shortest: int = 8) -> list[tuple[int, int, int]]:
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


def _words(in_order: Iterable[Spoken], offset_ms: int, duration_ms: int) -> list[Word]:
    words: list[Word] = []
    start_ms = 0
    for each in in_order:
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
