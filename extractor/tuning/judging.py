"""Speech with known words, and a speech model -> how many of the words it gets wrong.

The model hears as it does in a draft: the same chunks, the same bias, the same second look. Both sides are brought to
one form first (``words.plain``).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from extractor.errors import InputError
from extractor.listening.decode import RATE, Sound, decode
from extractor.listening.speech import listen
from extractor.listening.speech_models import ResolvedModel
from extractor.tuning.train import Clip
from extractor.tuning.words import plain

Progress = Callable[[float, float], None]


@dataclass(frozen=True)
class WordErrors:
    """Words left out, put in or changed, of how many that were said."""

    errors: int
    words: int

    @property
    def percent(self) -> float:
        """Of a hundred words said; 0 where none were."""
        return 100 * self.errors / self.words if self.words else 0.0

    def __str__(self) -> str:
        return f"{self.percent:.1f} % of {self.words:,} words"


def judge(
    clips: Sequence[Clip], model: ResolvedModel, bias: Sequence[str] = (), progress: Progress | None = None
) -> WordErrors:
    """Word errors of a model over clips, all told. ``progress``: seconds done and in all."""
    errors = words = 0
    total_s = sum(len(clip.samples) for clip in clips) / RATE
    done_s = 0.0
    for clip in clips:
        said = plain(" ".join(text for _, _, text in clip.lines))
        sound = Sound("a clip", "", clip.samples)
        heard = plain(" ".join(word.text for word in listen([sound], model, bias).words))
        errors += _distance(said, heard)
        words += len(said)
        done_s += len(clip.samples) / RATE
        if progress:
            progress(done_s, total_s)
    return WordErrors(errors, words)


def read_ordinary(folder: Path) -> tuple[Clip, ...]:
    """A folder with recordings of ordinary speech, each beside a text of the same name (a.wav, a.txt) -> clips.

    InputError where a text has no recording, or there is none at all.
    """
    clips = []
    for text in sorted(folder.glob("*.txt")):
        beside = [path for path in sorted(folder.glob(f"{text.stem}.*")) if path.suffix.lower() != ".txt"]
        if not beside:
            raise InputError(f"{text}: no recording of the same name is beside it")
        sound = decode(beside[0])
        clips.append(Clip(sound.samples[:], [(0, len(sound.samples), " ".join(text.read_text("utf-8").split()))]))
    if not clips:
        raise InputError(
            f"{folder}: holds no ordinary speech; put recordings there, each beside its text: a.wav, a.txt"
        )
    return tuple(clips)


def _distance(said: Sequence[str], heard: Sequence[str]) -> int:
    from rapidfuzz.distance import Levenshtein

    return int(Levenshtein.distance(said, heard))
