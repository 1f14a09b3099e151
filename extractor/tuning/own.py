"""A site's signed cases -> its own speech model, installed only where it hears better and has forgotten nothing.

The model starts from ``trade`` as it is shipped, never from an earlier model of the site's own, so that many rounds
cannot drift. What comes out is one adapter for the untuned base that does both: a later release's ``trade`` does not
disturb it. Some cases are kept aside, all those of one speaker where there are two or more, and judged before and
after; so is half of the ordinary speech, whose other half is in the mix against forgetting.
"""

import shutil
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from extractor import __version__, lexicon
from extractor.errors import InputError, ModelError
from extractor.listening import packaged_models, speech_models
from extractor.listening.adapter import Adapter, Card, stack
from extractor.listening.decode import RATE
from extractor.listening.speech_models import ResolvedModel
from extractor.tuning import judging
from extractor.tuning.cases import Case, read_cases
from extractor.tuning.judging import WordErrors
from extractor.tuning.train import Clip, train
from extractor.tuning.words import plain

Progress = Callable[[str, float, float], None]

START = "trade"
STEPS = 500
RANK = 32
STRENGTH = 0.5
#: Fewer words than this prove nothing either way.
LEAST_WORDS = 200
#: The share of the words that is kept aside, as near as whole speakers or cases come.
_ASIDE = 0.2
#: What one window of the recogniser can hold.
_LONGEST_MIXED_S = 28
#: Points of word errors that ordinary speech may lose.
_MAY_LOSE = 2.0


@dataclass(frozen=True)
class Parted:
    """Cases to learn from, cases to judge with, and in words how they were parted."""

    learning: tuple[Case, ...]
    aside: tuple[Case, ...]
    how: str


@dataclass(frozen=True)
class Outcome:
    """What came out: word errors before and after on the cases kept aside and on ordinary speech, and the faults.

    ``installed`` is None where there are faults; ``refused`` tells of cases that were not used.
    """

    how: str
    own: tuple[WordErrors, WordErrors]
    ordinary: tuple[WordErrors, WordErrors]
    faults: tuple[str, ...]
    refused: tuple[str, ...]
    installed: ResolvedModel | None

    def lines(self) -> tuple[str, ...]:
        """What a person is told, a line each."""
        figures = [f"{name.capitalize()}: {figure}." for name, figure in _figures(self.own, self.ordinary).items()]
        last = "Installed as own, the default from now on; extractor model untune takes it away again."
        return (*self.refused, f"Judged with {self.how}.", *figures, *([last] if self.installed else []))


def tune(
    folders: Sequence[Path],
    *,
    ordinary: Path | None,
    sounds: Sequence[Path] = (),
    judges: Sequence[str] = (),
    out: Path | None = None,
    steps: int = STEPS,
    progress: Progress | None = None,
) -> Outcome:
    """Signed cases and a folder of ordinary speech -> a model of the site's own, judged; installed if it may be.

    ``judges``: the speakers to keep aside; ``out``: a new folder for the adapter, kept whatever the judgement. Raises
    an ExtractorError where it cannot be done.
    """

    def tell(stage: str) -> Callable[[float, float], None]:
        return lambda done, total: progress(stage, done, total) if progress else None

    _require_torch()
    if ordinary is None:
        raise InputError(
            "nothing would tell what the model forgets: name a folder of ordinary speech with --ordinary, recordings "
            "of real people reading aloud or talking, each beside its text (a.wav, a.txt)"
        )
    if out and out.exists():
        raise InputError(f"{out}: is there already; name a new folder with --out")
    cases, refused = read_cases(folders, sounds)
    if not cases:
        raise InputError("no case can be used: " + "; ".join(refused))
    parted = part(cases, judges)
    mixed, judged = _halves(judging.read_ordinary(ordinary), ordinary)
    bias = lexicon.load().bias()
    start = speech_models.resolve(START)
    aside = [clip for case in parted.aside for clip in case.clips]
    learning = [clip for case in parted.learning for clip in case.clips]

    def errors(model: ResolvedModel, when: str) -> tuple[WordErrors, WordErrors]:
        return (
            judging.judge(aside, model, bias, tell(f"Judging {when}, cases")),
            judging.judge(judged, model, bias, tell(f"Judging {when}, ordinary speech")),
        )

    before = errors(start, "before")
    learned = train(
        learning,
        start.folder,
        steps=steps,
        rank=RANK,
        keep=mixed,
        terms=bias,
        progress=lambda step, *_: tell("Training")(step, steps),
    )
    with tempfile.TemporaryDirectory(prefix="extractor-") as place:
        adapter = _over_start(learned, parted)
        speech_models.write_tuned(adapter, Path(place) / "candidate")
        candidate = speech_models.resolve(Path(place) / "candidate")
        after = errors(candidate, "after")
        own, common = (before[0], after[0]), (before[1], after[1])
        faults = find_faults(own, common)
        final = out or Path(place) / "final"
        card = adapter.card.model_copy(update={"figures": _figures(own, common)})
        speech_models.write_tuned(Adapter(card, adapter.layers), final)
        installed = None if faults else speech_models.install(final)
        if faults:
            shutil.rmtree(candidate.folder, ignore_errors=True)  # from the cache: nobody needs it
    return Outcome(parted.how, own, common, faults, refused, installed)


def part(cases: Sequence[Case], judges: Sequence[str] = ()) -> Parted:
    """Cases -> those to learn from and those to judge with: whole speakers, or whole cases where there is but one."""
    words: dict[str, int] = {}
    for case in cases:
        words[case.speaker] = words.get(case.speaker, 0) + case.words
    unknown = sorted(set(judges) - words.keys())
    if unknown:
        raise InputError(f"no case is spoken by {', '.join(unknown)}; there are {', '.join(sorted(words))}")
    wanted = _ASIDE * sum(words.values())
    if judges or len(words) > 1:
        enough = [speaker for speaker in sorted(words) if words[speaker] >= LEAST_WORDS] or sorted(words)
        kept = set(judges) or {min(enough, key=lambda speaker: abs(words[speaker] - wanted))}
        aside = tuple(case for case in cases if case.speaker in kept)
        how = f"{len(kept)} of {len(words)} speakers kept aside, {len(aside)} of {len(cases)} cases"
    else:
        aside = tuple[Case, ...]()
        for case in reversed(cases):
            if sum(known.words for known in aside) >= max(wanted, LEAST_WORDS):
                break
            aside = (case, *aside)
        how = f"{len(aside)} of {len(cases)} cases kept aside, of the one speaker: nothing is known of other voices"
    learning = tuple(case for case in cases if case not in aside)
    if not learning:
        raise InputError(f"no case is left to learn from beside those that judge ({how}); give more cases")
    said = sum(case.words for case in aside)
    if said < LEAST_WORDS:
        raise InputError(f"too little to judge with: {said} words are kept aside, {LEAST_WORDS} are needed; give more")
    return Parted(learning, aside, how)


def find_faults(own: tuple[WordErrors, WordErrors], ordinary: tuple[WordErrors, WordErrors]) -> tuple[str, ...]:
    """Word errors before and after, on the cases kept aside and on ordinary speech -> why it may not be installed."""
    faults = []
    if own[1].errors >= own[0].errors:
        faults.append(f"no better on the cases kept aside: {own[0]} before, {own[1]} after")
    lost = ordinary[1].percent - ordinary[0].percent
    if lost > _MAY_LOSE:
        faults.append(f"worse on ordinary speech by {lost:.1f} points: {ordinary[0]} before, {ordinary[1]} after")
    return tuple(faults)


def _require_torch() -> None:
    if find_spec("torch") is None:
        raise ModelError(
            "tuning needs PyTorch, which is not installed; pip install 'spoken-procedure-timeline[tuning]' "
            "(a GPU is wanted too: on a processor alone it takes most of a day)"
        )


def _halves(clips: tuple[Clip, ...], folder: Path) -> tuple[tuple[Clip, ...], tuple[Clip, ...]]:
    """Ordinary speech -> what goes into the mix, and what judges: every other recording."""
    mixed, judged = clips[::2], clips[1::2]
    words = len(plain(" ".join(text for clip in judged for _, _, text in clip.lines)))
    if words < LEAST_WORDS:
        raise InputError(
            f"{folder}: too little ordinary speech: half of it judges, which is {words} words, "
            f"and {LEAST_WORDS} are needed; put more recordings there"
        )
    mixed = tuple(clip for clip in mixed if len(clip.samples) < _LONGEST_MIXED_S * RATE)
    if not mixed:
        raise InputError(
            f"{folder}: its recordings are too long to learn with; cut them to less than {_LONGEST_MIXED_S} s"
        )
    return mixed, judged


def _over_start(learned: Mapping[str, Any], parted: Parted) -> Adapter:
    """What was learned on top of ``trade``, and ``trade``'s own adapter, as one adapter for the base."""
    base = speech_models.resolve(packaged_models.BASE)
    lower = speech_models.adapter(speech_models.resolve(START))
    hours = sum(len(clip.samples) for case in parted.learning for clip in case.clips) / RATE / 3600
    speakers = len({case.speaker for case in parted.learning})
    known = f"{len(parted.learning)} signed cases of {speakers} speakers, {hours:.1f} h, consent recorded for each"
    card = Card(
        name=packaged_models.OWN,
        base_sha256=base.sha256,
        strength=1.0,
        rank=RANK,
        trained_on=f"{known}; on top of {START}, see its card",
        command=f"extractor model tune, version {__version__}",
        licence="This site's own: what the speakers agreed to holds for it as it does for their recordings.",
        limits=(
            f"Judged with {parted.how}.",
            "It knows these speakers, rooms and microphones: tune again when they change.",
        ),
    )
    upper = Adapter(card.model_copy(update={"strength": STRENGTH}), dict(learned))
    return stack(lower, upper, card) if lower else upper


def _figures(own: tuple[WordErrors, WordErrors], ordinary: tuple[WordErrors, WordErrors]) -> dict[str, str]:
    return {
        "word errors, cases kept aside": f"{own[0]} with {START}, {own[1]} with this",
        "word errors, ordinary speech": f"{ordinary[0]} with {START}, {ordinary[1]} with this",
    }
