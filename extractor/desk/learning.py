"""What people put right by hand, over many cases -> misheard forms that the lexicon could know, for a person to accept.

A form that is read as a term in every case to come must not change what people simply say. So each proposal is tried
on all words of all cases with the very code that drafts: where it would be read and nobody put it right, the form alone
is no proposal. Then, and where it is made of words of the language alone, it is proposed with the words of the trade
that stand beside it where it was misheard and nowhere else; where there are none, it is told why not.

An accepted form becomes an entry of ``learned.toml``, in the grammar of misheard.toml, in a folder that drafting takes
like any site's lexicons. What the words around it were stays with the case: they may tell of a person.
"""

import hashlib
import json
import threading
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extractor import lexicon as lexicons
from extractor import pipeline
from extractor.draft_folder import replace_file
from extractor.errors import InputError, OutputError
from extractor.lexicon import Lexicon, Misheard
from extractor.model import Timeline, WordRange

if TYPE_CHECKING:
    from extractor.desk.store import Store

#: The file of learned forms in its folder.
LEARNED = "learned.toml"

#: Words of the language alone must have been put right so often: once may be a slip of the hand. Set by hand.
_OFTEN_ENOUGH = 2
#: So many words of the trade beside a form at most: the more there are, the less they tell.
_MOST_NEAR = 8
_DRAFTED = frozenset({"draft", "signed", "amending"})
_WRITING = threading.Lock()
_NAMES = ("device", "drug", "finding")

_HEAD = """\
# Forms that people at the desk put right by hand, accepted one by one (extractor lexicon suggest, or the page).
#
# [[misheard]]
# read    the term
# heard   what was written for it; matched whole, across word borders
# near    (optional) only where one of these words stands beside it, for forms that are ordinary words elsewhere
# source  how often it was put right, in how many cases, by whom
"""


@dataclass(frozen=True)
class Clip:
    """Where the sound of one correction lies: ``words`` of a case, milliseconds on its clock, and who put it right."""

    case: int
    revision: int
    by: str
    words: WordRange
    start_ms: int
    end_ms: int


@dataclass(frozen=True)
class Suggestion:
    """A misheard form and the term people read for it. ``refused`` says why it is no proposal; empty where it is one.

    ``near``: it would be read only beside one of these words; empty: wherever it stands.
    """

    heard: str
    read: str
    clips: tuple[Clip, ...]
    near: tuple[str, ...] = ()
    refused: str = ""

    @property
    def id(self) -> str:
        """A name for it that stays, whatever is proposed beside it."""
        return _id(self.heard, self.read)

    @property
    def cases(self) -> tuple[int, ...]:
        """The cases it was put right in, in order."""
        return tuple(sorted({clip.case for clip in self.clips}))

    @property
    def by(self) -> tuple[str, ...]:
        """Who put it right, in order of their names."""
        return tuple(sorted({clip.by for clip in self.clips}))

    @property
    def entry(self) -> Misheard:
        """The lexicon entry it would be."""
        times = f"{len(self.clips)} times" if len(self.clips) > 1 else "once"
        where = f"{len(self.cases)} cases" if len(self.cases) > 1 else "one case"
        source = f"put right by hand {times} in {where}, by {', '.join(self.by)}"
        return Misheard(read=self.read, heard=(self.heard,), near=self.near, source=source)


def suggestions(cases: Iterable[tuple[int, Timeline]], lexicon: Lexicon) -> tuple[Suggestion, ...]:
    """The newest timelines of cases by their numbers, and the lexicon they are drafted with -> what it could learn.

    Those most often put right first, what is refused last; what the lexicon reads right already is left out. Pure.
    """
    timelines = dict(sorted(cases))
    trade = pipeline.trade_words(lexicon)
    put_right: dict[tuple[str, str], list[Clip]] = {}
    for case, timeline in timelines.items():
        known = {(place, entry.read) for place, entry in trade.known.places(timeline.words)}
        for read, clip in _put_right(case, timeline):
            if (clip.words, read) not in known and (heard := trade.heard(timeline.words, clip.words)):
                put_right.setdefault((heard, read), []).append(clip)
    terms: dict[str, set[str]] = {}
    for heard, read in put_right:
        terms.setdefault(heard, set()).add(read)
    found = []
    for (heard, read), clips in put_right.items():
        rivals = sorted(terms[heard] - {read})
        why = f"it was also read as {', '.join(rivals)}" if rivals else trade.why_never(heard, read)
        found.append(Suggestion(heard, read, tuple(clips), refused=why))
    elsewhere = _elsewhere(found, timelines, trade)
    tried = [each if each.refused else _tried(each, elsewhere.get(each.id), timelines, trade) for each in found]
    return tuple(sorted(tried, key=lambda each: (bool(each.refused), -len(each.clips), each.read, each.heard)))


def of_store(store: "Store", *site: Path | None) -> tuple[Suggestion, ...]:
    """What the cases of a store could teach its lexicon. ``site``: folders of lexicon files; those that hold none, as
    before the first was accepted, are passed over.
    """
    folders = dict.fromkeys((*site, learned_folder(store.folder)))
    known = lexicons.load(*(folder for folder in folders if folder and any(folder.glob("*.toml"))))
    # What nobody changed has words too, in which a form may stand and be right.
    drafted = [(row.id, store.timeline(row.id)[1]) for row in store.cases() if row.state in _DRAFTED]
    return suggestions(drafted, known)


def learned_folder(store_folder: Path) -> Path | None:
    """The folder of lexicon files in a store's folder, to draft with; None where nothing was accepted yet."""
    folder = store_folder / "lexicons"
    return folder if (folder / LEARNED).is_file() else None


def accept(store_folder: Path, suggestion: Suggestion) -> Path:
    """A proposal -> an entry of ``lexicons/learned.toml`` in a store's folder, from the next draft on; the file.

    InputError where it was refused; OutputError where the file cannot be written.
    """
    if suggestion.refused:
        raise InputError(f"“{suggestion.heard}” cannot be read as {suggestion.read}: {suggestion.refused}")
    path = store_folder / "lexicons" / LEARNED
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{path.parent}: cannot be made ({error.strerror or error}); see to its rights") from error
    with _WRITING:
        known = [entry for _, entry in lexicons.entries(path)] if path.is_file() else []
        if suggestion.entry not in known:  # put behind: the rest may be somebody's own
            text = path.read_text(encoding="utf-8").rstrip("\n") + "\n" if known else _HEAD
            replace_file(path, f"{text}\n{_toml(suggestion.entry)}")
    return path


# --- what was put right


def _put_right(case: int, timeline: Timeline) -> Iterator[tuple[str, Clip]]:
    """Terms that somebody read for words, as they stand now; and those of events whose words were read as another."""
    changed: dict[str, tuple[Any, int, str]] = {}  # a path -> what it was as drafted, and who changed it last
    for revision in timeline.revisions:
        for change in revision.changes:
            drafted = changed.get(change.at, (change.before,))[0]
            changed[change.at] = drafted, revision.number, revision.by

    def clip(words: WordRange, number: int, by: str) -> Clip:
        first, past = words
        return Clip(case, number, by, words, timeline.words[first].start_ms, timeline.words[past - 1].end_ms)

    for repair in timeline.corrections:
        if repair.why == "by-hand":
            _, number, by = changed[f"corrections.{repair.words[0]}"]
            yield _term(repair.read), clip(repair.words, number, by)
    for event in timeline.events:
        for name in _NAMES:
            term, (drafted, number, by) = getattr(event, name), changed.get(f"events.{event.id}.{name}", (None, 0, ""))
            for repair in timeline.corrections if term and drafted and term != drafted else ():
                inside = event.words[0] <= repair.words[0] and repair.words[1] <= event.words[1]
                if inside and repair.why != "by-hand" and repair.read == drafted:
                    yield _term(term), clip(repair.words, number, by)


def _term(text: str) -> str:
    return " ".join(text.lower().strip(",.?!;:").split())


# --- what else it would change


def _elsewhere(
    found: Iterable[Suggestion], timelines: Mapping[int, Timeline], trade: "pipeline.TradeWords"
) -> dict[str, list[tuple[int, WordRange]]]:
    """By its id, where each would be read though nobody, and no repair, read it so.

    Not there: those that would not even be read where they were put right, as a form with a clitic in it.
    """
    forms = trade.forms(each.entry for each in found if not each.refused)
    places: dict[str, list[tuple[int, WordRange]]] = {}
    right = {(each.id, clip.case, clip.words) for each in found for clip in each.clips}
    for case, timeline in timelines.items():
        repaired = {(repair.words, _term(repair.read)) for repair in timeline.corrections}
        for words, entry in forms.places(timeline.words):
            name = _id(entry.heard[0], entry.read)
            others = places.setdefault(name, [])
            if (name, case, words) not in right and (words, entry.read) not in repaired:
                others.append((case, words))
    return places


def _tried(
    suggestion: Suggestion,
    elsewhere: Sequence[tuple[int, WordRange]] | None,
    timelines: Mapping[int, Timeline],
    trade: "pipeline.TradeWords",
) -> Suggestion:
    """The proposal alone where it can change nothing else; beside words of the trade; or refused."""
    if elsewhere is None:
        return replace(suggestion, refused="it would not be found again: its words are no plain words")
    is_ordinary = trade.is_ordinary(suggestion.heard)
    if not elsewhere and not is_ordinary:
        return suggestion
    stands = f"it also stands in {len(elsewhere)} places where nobody put it right" if elsewhere else ""
    ordinary = "it is made of words of the language alone" if is_ordinary else ""
    why = " and ".join(filter(None, (ordinary, stands)))
    if is_ordinary and len(suggestion.clips) < _OFTEN_ENOUGH:
        return replace(suggestion, refused=f"{why}, and was put right only once")
    taken = set().union(*(trade.telling_beside(timelines[case].words, words) for case, words in elsewhere))
    beside = [trade.telling_beside(timelines[clip.case].words, clip.words) - taken for clip in suggestion.clips]
    counts = Counter(word for words in beside for word in words)
    near = sorted(sorted(counts), key=lambda word: -counts[word])[:_MOST_NEAR]
    if any(words.isdisjoint(near) for words in beside):
        return replace(suggestion, refused=f"{why}, and no word of the trade beside it tells where it is meant")
    return replace(suggestion, near=tuple(near))


def _toml(entry: Misheard) -> str:
    lines = ["[[misheard]]", f"read = {_quoted(entry.read)}", f"heard = [{', '.join(map(_quoted, entry.heard))}]"]
    lines += [f"near = [{', '.join(map(_quoted, entry.near))}]"] if entry.near else []
    return "\n".join([*lines, f"source = {_quoted(entry.source)}", ""])


def _quoted(text: str) -> str:
    """A text as TOML's basic string: what JSON escapes TOML does too, but for the one control character it does not."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _id(heard: str, read: str) -> str:
    return hashlib.sha256(f"{heard}\n{read}".encode()).hexdigest()[:12]
