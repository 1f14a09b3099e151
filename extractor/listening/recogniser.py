"""A speech model at work: stretches of sound -> what it writes down in each, with times and its own doubt.

Whisper, held by faster-whisper and decoded by CTranslate2. Stretches are decoded side by side: each core has a worker,
each worker takes a few stretches at once. A stretch is at most 30 s, decoded in one go, without time marks (the
words' times come from the attention afterwards) and without the text before it: on our recordings that cost more words
than it mended, and it carries a mistake on. Beam search, no sampling: one result for one recording, however many
stretches lie beside it.
"""

import math
import os
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from extractor.errors import ModelError
from extractor.listening.decode import RATE
from extractor.listening.graphics import load_library
from extractor.listening.rivals import Figures, PieceRival
from extractor.listening.speech_models import ResolvedModel
from extractor.listening.voice import STEP

#: Three and more hear hardly a word better than two (word errors with 5, 2 and 1 on five recordings: 4.9, 5.0, 5.4 %).
BEAM = 2
#: The model takes so many tokens of bias; more is cut without a word (448 // 2 - 1), so we cut it ourselves.
BIAS_TOKENS = 223
#: Stretches decoded at once by one worker: more is no faster, and each wants some 40 MB.
_AT_ONCE = 4
_MOST_WORKERS = 8
#: A graphics processor has one worker, and room for more.
_AT_ONCE_GRAPHICS = 16
#: The odds of the whole vocabulary are 200 kB a token: fewer stretches at once.
_AT_ONCE_ODDS = 1
CPU, GRAPHICS = "cpu", "cuda"
_CURE = "a library it misses comes with pip install 'spoken-procedure-timeline[graphics]'"
_NUMBERS = {CPU: "int8", GRAPHICS: "float16"}
#: Tokens in 30 s of talk, of which the pace is measured.
_TALK_TOKENS, _WINDOW_S = 90, 30
_FRAMES, _LEAST_FRAMES, _FRAMES_PER_S, _MARKS_PER_S = 3000, 16, 100, 50
#: A pause that parts two phrases.
_PHRASE_S = 1.0


#: Text, start_s, end_s, the probabilities of its tokens, what else it may be.
_Piece = tuple[str, float, float, list[float], tuple[PieceRival, ...]]


@dataclass(frozen=True, slots=True)
class Spoken:
    """One piece as decoded, with the space before it: seconds from the start of its stretch, its own probability,
    its phrase's evidence (mean log probability; the chance that nobody speaks in the stretch), and what else it may be.
    """

    text: str
    start_s: float
    end_s: float
    probability: float
    logprob: float
    no_speech: float
    rivals: tuple[PieceRival, ...] = ()

    @property
    def longest_s(self) -> float:
        """Longer than anybody draws out this word (by our own measure; what lasts longer hides other words)."""
        return 0.8 + 0.15 * len(self.text)


class Recogniser:
    """A loaded model. ``hear`` may be called again and again, from one thread.

    ``processor``: ``cpu`` or ``cuda``. ``fault``: why a graphics processor that is here is not used.
    """

    def __init__(self, whisper: Any, workers: int, processor: str = CPU, fault: str = "") -> None:
        from faster_whisper.tokenizer import Tokenizer
        from faster_whisper.transcribe import get_suppressed_tokens

        self.processor = processor
        self.fault = fault
        self._whisper = whisper
        self._workers = workers
        self._each = _AT_ONCE_GRAPHICS if processor == GRAPHICS else _AT_ONCE
        self._tokenizer = Tokenizer(
            whisper.hf_tokenizer, whisper.model.is_multilingual, task="transcribe", language="en"
        )
        self._unwritten = list(get_suppressed_tokens(self._tokenizer, [-1]))
        self._figures = lru_cache(maxsize=1)(self._figures_of)

    @property
    def at_once(self) -> int:
        """How many stretches are decoded side by side."""
        return self._workers * self._each

    def hear(
        self,
        stretches: Sequence[Any],
        bias: str = "",
        *,
        beam: int = BEAM,
        most_tokens: int | None = None,
        to_the_last: bool = False,
        number_words: frozenset[str] = frozenset(),
    ) -> list[list[Spoken]]:
        """Stretches (float32 samples at 16 kHz, at most 30 s each) -> the pieces written for each, in order.

        ``to_the_last``: each is written until ``most_tokens`` are there, whatever is in it. ``number_words``: with
        them, what else each figure may be is told too. Then there is no beam: only so are the odds of all tokens known.
        """
        size = min(_AT_ONCE_ODDS if number_words else self._each, math.ceil(len(stretches) / self._workers)) or 1
        groups = [stretches[at : at + size] for at in range(0, len(stretches), size)]

        def decode(group: Sequence[Any]) -> list[list[Spoken]]:
            return self._decode(group, bias, beam, most_tokens, to_the_last, number_words)

        with ThreadPoolExecutor(self._workers) as workers:
            return [spoken for found in workers.map(decode, groups) for spoken in found]

    def pace(self) -> float:
        """Seconds of work for a second of talk, measured now: noise, made to be written as long as talk is."""
        import numpy as np

        noise = np.random.default_rng(0).normal(0, 0.01, _WINDOW_S * RATE).astype(np.float32)
        begin = time.perf_counter()
        self.hear([noise] * self.at_once, most_tokens=_TALK_TOKENS, to_the_last=True)
        return (time.perf_counter() - begin) / (self.at_once * _WINDOW_S)

    def fit_bias(self, terms: Sequence[str]) -> tuple[str, ...]:
        """The first terms that together have room in the model, by its own tokenizer."""
        used: list[str] = []
        for term in terms:
            if len(self._tokenizer.encode(" " + ", ".join([*used, term]))) > BIAS_TOKENS:
                break
            used.append(term)
        return tuple(used)

    def _decode(
        self,
        stretches: Sequence[Any],
        bias: str,
        beam: int,
        most_tokens: int | None,
        to_the_last: bool,
        number_words: frozenset[str],
    ) -> list[list[Spoken]]:
        whisper, tokenizer = self._whisper, self._tokenizer
        sound = self._encode(stretches)
        prompt = whisper.get_prompt(tokenizer, previous_tokens=[], without_timestamps=True, hotwords=bias or None)
        results = whisper.model.generate(
            sound,
            [prompt] * len(stretches),
            beam_size=1 if number_words else beam,
            max_length=whisper.max_length if most_tokens is None else len(prompt) + most_tokens,
            return_no_speech_prob=True,
            suppress_tokens=[*self._unwritten, tokenizer.eot] if to_the_last else self._unwritten,
            return_logits_vocab=bool(number_words),
        )
        tokens = [[token for token in result.sequences_ids[0] if token < tokenizer.eot] for result in results]
        frames = [min(_FRAMES, max(_LEAST_FRAMES, len(each) * _FRAMES_PER_S // RATE)) for each in stretches]
        # The aligner wants a token in every row; what comes of a made-up one is not used.
        filled = [each or tokenizer.encode(" .") for each in tokens]
        aligned = whisper.model.align(sound, tokenizer.sot_sequence, filled, frames)
        figures = self._figures(number_words) if number_words else None
        return [
            self._pieces(written, alignment, result, figures) if written else []
            for written, alignment, result in zip(tokens, aligned, results, strict=True)
        ]

    def _figures_of(self, number_words: frozenset[str]) -> Figures:
        tokenizer = self._tokenizer
        return Figures({token: tokenizer.decode([token]) or " " for token in range(tokenizer.eot)}, number_words)

    def _encode(self, stretches: Sequence[Any]) -> Any:
        """One by one, for the encoder's memory grows with what it is given."""
        import numpy as np
        from ctranslate2 import StorageView

        encoded = []
        for samples in stretches:
            features = self._whisper.feature_extractor(samples, padding=160)[:, :_FRAMES]
            features = np.pad(features, ((0, 0), (0, _FRAMES - features.shape[1])))
            sound = StorageView.from_array(np.ascontiguousarray(features[np.newaxis], dtype=np.float32))
            encoded.append(np.array(self._whisper.model.encode(sound, to_cpu=True)))
        return StorageView.from_array(np.concatenate(encoded))

    def _pieces(self, tokens: list[int], alignment: Any, result: Any, figures: Figures | None) -> list[Spoken]:
        """Tokens and where the attention lay -> pieces with times, each with the evidence of its phrase."""
        texts, pieces = self._tokenizer.split_to_word_tokens([*tokens, self._tokenizer.eot])
        marks: dict[int, int] = {}  # token -> the first moment given to it
        for token, moment in alignment.alignments:
            marks.setdefault(token, moment)
        last = max(marks.values(), default=0)
        probabilities = alignment.text_token_probs
        found: list[_Piece] = []
        at = 0
        for text, piece in zip(texts[:-1], pieces[:-1], strict=True):
            past = at + len(piece)
            start_s, end_s = marks.get(at, last) / _MARKS_PER_S, marks.get(past, last) / _MARKS_PER_S
            rivals = figures.rivals(piece, [_read(each) for each in result.logits[0][at:past]]) if figures else ()
            chances = [max(each, 1e-6) for each in probabilities[at:past]]
            found.append((text, start_s, max(start_s, end_s), chances, tuple(rivals)))
            at = past
        spoken: list[Spoken] = []
        for phrase in _phrases(found):
            logs = [math.log(each) for *_, chances, _ in phrase for each in chances]
            logprob = sum(logs) / len(logs) if logs else 0.0
            spoken += [
                Spoken(
                    text,
                    start_s,
                    end_s,
                    sum(chances) / len(chances) if chances else 0.0,
                    logprob,
                    result.no_speech_prob,
                    rivals,
                )
                for text, start_s, end_s, chances, rivals in phrase
            ]
        return spoken


def _read(logits: Any) -> Any:
    """The odds of one token, float32: a graphics processor keeps them in its own memory, in half as many bits, where
    NumPy cannot look at them.
    """
    import numpy as np
    from ctranslate2 import DataType, Device

    return np.array(logits.to_device(Device.cpu).to(DataType.float32))


def _phrases(found: Sequence[_Piece]) -> list[list[_Piece]]:
    """Parted where a sentence ends, and at long pauses."""
    phrases: list[list[_Piece]] = []
    for each in found:
        before = phrases[-1][-1] if phrases else None
        if before is None or before[0].rstrip().endswith((".", "?", "!")) or each[1] - before[2] > _PHRASE_S:
            phrases.append([])
        phrases[-1].append(each)
    return phrases


@lru_cache(maxsize=4)
def load(model: ResolvedModel) -> Recogniser:
    """The model, loaded once: on a graphics processor if it can be used, else a worker on every core, in int8.

    The two round differently, so a word may come out otherwise. Raises ModelError.
    """
    import ctranslate2
    import numpy as np

    if not ctranslate2.get_cuda_device_count():
        return _load(model, CPU)
    try:
        load_library()
        recogniser = _load(model, GRAPHICS)
        recogniser.hear([np.zeros(RATE, np.float32)], most_tokens=1)  # its libraries are looked for at the first work
    except (ModelError, OSError, RuntimeError) as error:
        return _load(model, CPU, f"a graphics processor is here, but cannot be used ({error}); {_CURE}")
    return recogniser


def _load(model: ResolvedModel, processor: str, fault: str = "") -> Recogniser:
    from faster_whisper import WhisperModel

    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    workers = 1 if processor == GRAPHICS else min(cores, _MOST_WORKERS)
    try:
        whisper = WhisperModel(
            str(model.folder), device=processor, compute_type=_NUMBERS[processor], cpu_threads=1, num_workers=workers
        )
    except Exception as error:  # CTranslate2 and tokenizers raise bare RuntimeError and Exception
        raise ModelError(f"{model.folder}: the speech model cannot be loaded ({error}); give another model") from error
    return Recogniser(whisper, workers, processor, fault)


def voice_steps(samples: Any) -> list[float]:
    """Samples -> the probability of voice in each step of 32 ms (``voice.Voice``).

    By the detector that comes with faster-whisper (Silero VAD); made loud, for it is deaf to the very soft.
    """
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
    return steps
