"""The whole job, top to bottom: recordings of one case -> a draft timeline.

    recording(s) ─listening→ words ─reading→ sentences ─reconciling→ events, and what does not fit among them

Only this module knows the order of the rooms.
"""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from extractor import __version__
from extractor.collector import collector_paused
from extractor.lexicon import Lexicon, load
from extractor.model import Check, Correction, Event, MadeBy, Opinion, Timeline, Transcript, Word, WordRange

if TYPE_CHECKING:
    from extractor.reading.misheard import TradeWords as TradeWords
    from extractor.reading.statements import Reader
    from extractor.site_files import Site

Progress = Callable[[str, float, float], None]
Warn = Callable[[str], None]


def draft(
    inputs: Sequence[Path],
    *,
    model: str | None = None,
    lexicons: Path | None = None,
    site: "Site | None" = None,
    progress: Progress | None = None,
    warn: Warn | None = None,
) -> Timeline:
    """Sound files (or transcripts) of one case, in order -> draft timeline.

    ``model`` names a speech model (a folder, a packaged name, a hub name); ``lexicons`` a site's own folder; ``site``
    holds its rules and its devices, for the checks. ``progress`` is called with what is done now, seconds of sound done
    and seconds in all; ``warn`` with a line for each fault of the files, before the listening. Raises an ExtractorError
    that names file and cure.
    """
    lexicon = load(lexicons)
    return interpret(hear(inputs, lexicon, model, progress, warn), lexicon, site)


def hear(
    inputs: Sequence[Path],
    lexicon: Lexicon,
    model: str | None = None,
    progress: Progress | None = None,
    warn: Warn | None = None,
) -> Transcript:
    """The words of one case: read from a transcript, or heard by the speech model and those asked beside it."""
    from extractor.listening.transcripts import open_inputs

    sources = open_inputs(inputs)
    if warn:
        for fault in sources.faults:
            warn(fault)
    if sources.transcript is not None:
        return sources.transcript
    from extractor.listening.speech import listen
    from extractor.listening.speech_models import knows_the_trade, others_beside, resolve
    from extractor.reading.opinions import FIGURE_WORDS, worth_asking

    def tell(done_s: float, total_s: float) -> None:
        if progress:
            progress("Listening", done_s, total_s)

    chosen = resolve(model)
    bias = () if knows_the_trade(chosen) else lexicon.bias()
    heard = listen(sources.sounds, chosen, bias, tell, others_beside(chosen), worth_asking, FIGURE_WORDS)
    gaps = tuple(sorted((*heard.gaps, *sources.gaps), key=lambda gap: (gap.start_ms, gap.end_ms)))
    return Transcript(
        recording=sources.recording,
        words=heard.words,
        gaps=gaps,
        checks=sources.checks,
        speech_model=heard.speech_model,
        opinions=heard.opinions,
        faint=heard.faint,
    )


def interpret(transcript: Transcript, lexicon: Lexicon, site: "Site | None" = None) -> Timeline:
    """Words of one case -> draft timeline. Pure: no speech model, no clock, no disk."""
    from extractor.network import NAME, second_reader
    from extractor.reading.statements import reader_of
    from extractor.reconciling.faintly import mark_faint

    corrections, events, unplaced = understand(transcript.words, reader_of(lexicon), lexicon, transcript.opinions)
    events = mark_faint(events, transcript.faint)
    return Timeline(
        recording=transcript.recording,
        made_by=MadeBy(
            extractor=__version__,
            speech_model=transcript.speech_model,
            lexicons={**lexicon.files, NAME: second_reader().sha256},
            opinions=tuple(opinion.speech_model for opinion in transcript.opinions),
            site=dict(site.files) if site else {},
        ),
        words=transcript.words,
        corrections=tuple(corrections),
        events=events,
        checks=transcript.checks + check(events, transcript.words, site, unplaced),
        gaps=transcript.gaps,
    )


def check(
    events: Sequence[Event],
    words: Sequence[Word],
    site: "Site | None" = None,
    unplaced: Sequence[WordRange] = (),
) -> tuple[Check, ...]:
    """The events of a case, changed by people or not, and the words of figures that found no place -> its cautions.

    Their codes are in ``site_files.CODES``.
    """
    from extractor.reconciling.checks import check_case

    rules, catalogue = (site.rules, site.catalogue) if site else (None, None)
    return check_case(events, words, rules, catalogue, unplaced)


def trade_words(lexicon: Lexicon) -> "TradeWords":
    """What decides whether words can be a misheard form of a term, and where forms stand, as drafting finds them."""
    from extractor.reading.misheard import TradeWords

    return TradeWords(lexicon)


@collector_paused()  # around the call, so that the sentences are gone when it goes on
def understand(
    words: Sequence[Word], reader: "Reader", lexicon: Lexicon, opinions: Sequence[Opinion] = ()
) -> tuple[Sequence[Correction], tuple[Event, ...], Sequence[WordRange]]:
    """Reading and reconciling, in time linear in the number of words: words of one case -> repairs, events, and the
    words of the figures that should stand in an event and do not.
    """
    from extractor.network import second_reader
    from extractor.reading.opinions import compare
    from extractor.reconciling.timeline import reconcile
    from extractor.reconciling.unplaced import unplaced

    sentences, corrections = reader.read(words)
    hearings = compare(words, opinions) if opinions else None
    events = reconcile(sentences, words, corrections, lexicon, hearings, second_reader())
    return corrections, events, unplaced(sentences, events, lexicon)
