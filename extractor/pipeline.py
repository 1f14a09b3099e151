"""The whole job, top to bottom: recordings of one case -> a draft timeline.

    recording(s) ─listening→ words ─reading→ sentences ─reconciling→ events

Only this module knows the order of the rooms.
"""

from collections.abc import Callable, Sequence
from pathlib import Path

from extractor import __version__
from extractor.lexicon import Lexicon, load
from extractor.model import MadeBy, Timeline, Transcript

Progress = Callable[[str, float, float], None]


def draft(
    inputs: Sequence[Path],
    *,
    model: str | None = None,
    lexicons: Path | None = None,
    progress: Progress | None = None,
) -> Timeline:
    """Sound files (or transcripts) of one case, in order -> draft timeline.

    ``model`` names a speech model (a folder, a packaged name, a hub name); ``lexicons`` a site's own folder.
    ``progress`` is called with what is done now, seconds of sound done and seconds in all. Raises an ExtractorError
    that names file and cure.
    """
    lexicon = load(lexicons)
    return interpret(_heard(inputs, lexicon, model, progress), lexicon)


def _heard(inputs: Sequence[Path], lexicon: Lexicon, model: str | None, progress: Progress | None) -> Transcript:
    from extractor.listening.transcripts import open_inputs

    sources = open_inputs(inputs)
    if sources.transcript is not None:
        return sources.transcript
    from extractor.listening.speech import listen
    from extractor.listening.speech_models import resolve

    def tell(done_s: float, total_s: float) -> None:
        if progress:
            progress("Listening", done_s, total_s)

    heard = listen(sources.sounds, resolve(model), lexicon.bias(), tell)
    return Transcript(recording=sources.recording, words=heard.words, gaps=heard.gaps, speech_model=heard.speech_model)


def interpret(transcript: Transcript, lexicon: Lexicon) -> Timeline:
    """Words of one case -> draft timeline. Pure: no speech model, no clock, no disk."""
    from extractor.reading.statements import Reader
    from extractor.reconciling.timeline import reconcile

    sentences, corrections = Reader(lexicon).read(transcript.words)
    events = reconcile(sentences, transcript.words, corrections, lexicon)
    return Timeline(
        recording=transcript.recording,
        made_by=MadeBy(extractor=__version__, speech_model=transcript.speech_model, lexicons=lexicon.files),
        words=transcript.words,
        corrections=tuple(corrections),
        events=events,
        gaps=transcript.gaps,
    )
