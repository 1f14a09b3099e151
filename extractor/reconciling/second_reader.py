"""The second reader: a language model that reads a case beside the rules, sure of nothing, asked about everything.

Rules know the wordings somebody thought of. The second reader has seen thousands of scenes by other speakers (invented,
tests/speakers/scenes) and says of each figure what it could be a value of, and of each sentence what is told to happen
in it, each with a probability. Here stands what it sees, the words, what the lexicons know of them and what the rules
made of them, and what it says. The network itself is in ``extractor/network.py``; what becomes of its opinion is
``second_opinion``'s affair.
"""

import re
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Container, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple, Protocol

from extractor.model import Item, Kind, Quantity, Sentence, Status, Word, WordRange
from extractor.reconciling.story import Draft
from extractor.reconciling.unplaced import SIZES, label_of

#: Events of one sentence that are shown to the network, at most.
MOST_EVENTS = 8
#: Where a figure has no place: no rule knew it, or one took it and made no value of it.
_NOWHERE = {"loose", "used"}
#: What goes in and out, as far as the answers tell it apart. In this order: a microcatheter is no catheter here.
_THINGS = ("microcatheter", "catheter", "wire", "sheath")
#: Who is spoken to, or of.
PERSON = "<person>"
_TITLES = {"doctor", "mister", "missus", "miss", "sister", "nurse", "professor", "dr", "mr", "mrs", "ms"}
#: A pause from which on a word begins anew.
_BREATH_MS = 400
#: A figure told again so many sentences away may be the same one.
AGAIN = 6


class Token(NamedTuple):
    """One token as the network sees it: names of what stands there, empty where nothing does.

    ``size`` is the number of the interval a figure lies in, plus one. ``events`` are those the rules tell of a
    sentence, at its first token. ``figure`` is the figure itself, ``sentence`` the number of its sentence.
    """

    word: str
    sentence: int
    thing: str = ""
    status: str = ""
    unit: str = ""
    form: str = ""
    after: str = ""
    placed: str = ""
    again: str = ""
    size: int = 0
    events: tuple[str, ...] = ()
    figure: Quantity | None = None
    begins: bool = False  # a sentence


class Reading(NamedTuple):
    """What a figure is most likely: a value of what ("stent diameter"; empty: of nothing), of which status."""

    place: str
    likely: float
    status: Status
    status_likely: float


class Opinion(NamedTuple):
    """What the network says. ``figures``: of each figure, by its words. ``events``: of each sentence how likely it
    tells each of ``labels``.
    """

    figures: Mapping[WordRange, Reading]
    events: Sequence[Sequence[float]]
    labels: Mapping[tuple[str, Status], int]


class SecondReader(Protocol):
    """Whoever reads a case beside the rules."""

    def read(self, sentences: Sequence[Sentence], drafts: Sequence[Draft], people: Container[str] = ()) -> Opinion:
        """A case as the rules read it, and what the people in it are called -> what it says of it."""


def happening(kind: Kind, named: str | None) -> str:
    """The kind of an event and its device or finding -> what the answers call it."""
    if kind in {Kind.INSERT, Kind.REMOVE}:
        return f"{kind} {next((thing for thing in _THINGS if thing in (named or '')), 'other')}"
    return f"finding {named}" if kind is Kind.FINDING else str(kind)


def of_the_trade(sentences: Sequence[Sentence]) -> list[Sentence]:
    """Sentences of a case -> those in which anything of the trade is said: small talk is not to change an opinion."""
    return [
        sentence
        for sentence in sentences
        if any(item.kind not in {"mark", "pronoun", "side"} for item in sentence.items)
    ]


def people_of(words: Sequence[Word]) -> frozenset[str]:
    """Words of a case -> what people in it are called, as far as capitals tell: who is spoken to is not to change an
    opinion. A name is written with a capital amid a breath, and never without.
    """
    plain = {_bare(word) for word in words if word.text[:1].islower()}
    found: set[str] = set()
    for before, word in pairwise(words):
        text = _bare(word)
        amid = before.text[-1:] not in ".!?:" and word.start_ms - before.end_ms < _BREATH_MS
        if amid and text[:1].isupper() and not text.isupper() and not text.startswith("I'"):
            lower = text.lower()
            if lower not in plain:
                found.update({lower, *re.findall(r"\w+", lower)})
    return frozenset(found)


def _bare(word: Word) -> str:
    """A word without what is written beside it, and whose something is."""
    return word.text.strip(" .,;:!?").removesuffix("'s")


def tokens(sentences: Sequence[Sentence], drafts: Sequence[Draft], people: Container[str] = ()) -> list[Token]:
    """Sentences of a case, what the rules made of them, what people are called -> what the network sees, in order."""
    placed = _placed(drafts)
    told: dict[int, set[str]] = defaultdict(set)
    starts = [sentence.words[0] for sentence in sentences]
    for draft in drafts:
        if draft.kind is not Kind.REMARK:
            label = f"{happening(draft.kind, draft.device or draft.finding)} {draft.status}"
            for word in (draft.words[0], max(draft.words[0], draft.words[1] - 1)):
                told[max(0, bisect_right(starts, word) - 1)].add(label)
    seen: list[Token] = []
    for number, sentence in enumerate(sentences):
        begin = Token(
            "<question>" if sentence.question else "<sentence>",
            number,
            status=" ".join(sorted(sentence.cues)),
            events=tuple(sorted(told[number]))[:MOST_EVENTS] if number in told else (),
            begins=True,
        )
        seen.append(begin)
        seen += _within(sentence, number, placed, people)
    return _told_again(seen)


def _told_again(seen: list[Token]) -> list[Token]:
    """Marks, in place, figures whose number is said or placed before or behind them, a few sentences away."""
    said: dict[float, list[int]] = defaultdict(list)
    for at, token in enumerate(seen):
        if token.figure is not None:
            said[token.figure.value].append(at)
    for places in said.values():
        for at in places if len(places) > 1 else ():
            near = [(other, seen[other]) for other in places if abs(seen[other].sentence - seen[at].sentence) <= AGAIN]
            marks = {
                f"{'before' if other < at else 'behind'} {'said' if token.placed in _NOWHERE else 'placed'}"
                for other, token in near
                if other != at
            }
            seen[at] = seen[at]._replace(again=", ".join(sorted(marks)))
    return seen


def _placed(drafts: Sequence[Draft]) -> dict[int, str]:
    """Words -> what the value that rests on them is a value of: said there before carried there, done before others."""
    found: dict[int, tuple[bool, bool, str]] = {}
    for draft in drafts:
        for key, value in draft.values.items():
            told = (
                "carried-over" in value.flags,
                draft.status is not Status.DONE,
                f"{draft.kind} {key} {draft.status}",
            )
            for word in range(*value.words):
                found[word] = min(found.get(word, told), told)
    return {word: told for word, (_, _, told) in found.items()}


def _within(sentence: Sentence, number: int, placed: Mapping[int, str], people: Container[str]) -> list[Token]:
    """A sentence -> its tokens; figures stand before the words of the thing they belong to, a person is one token."""
    things: dict[int, Item] = {}
    figures: dict[int, list[Token]] = {}
    done: set[WordRange] = set()
    for item in sentence.items:
        for place in range(*item.span):
            things.setdefault(place, item)
        if item.figures and item.kind != "denied":
            told = [
                _figure(item, key, figure, number, placed)
                for key, figure in sorted(item.figures.items(), key=lambda pair: pair[1].words)
                if not (figure.words in done or done.add(figure.words))  # type: ignore[func-returns-value]
            ]
            figures.setdefault(item.span[0], []).extend(told)
    seen: list[Token] = []
    for place, token in enumerate(sentence.tokens):
        if place in figures:
            seen += figures[place]
        thing = things.get(place)
        if thing is None and token in people:
            if seen and seen[-1].word in _TITLES:
                seen.pop()
            if not seen or seen[-1].word != PERSON:
                seen.append(Token(PERSON, number))
        elif thing is None:
            seen.append(Token(token, number))
        elif thing.kind not in {"quantity", "pair"}:
            seen.append(
                Token(token, number, "DENIED" if thing.kind == "denied" else label_of(thing), thing.status or "")
            )
    return seen


def _figure(item: Item, key: str, figure: Quantity, number: int, placed: Mapping[int, str]) -> Token:
    return Token(
        "<figure>",
        number,
        thing=f"{item.kind} {item.role} {item.name} {key}",
        status=item.status or "",
        unit=figure.unit or "none",
        form=figure.form,
        after=item.after,
        placed=next(
            (placed[word] for word in range(*figure.words) if word in placed), "used" if item.used else "loose"
        ),
        size=bisect_right(SIZES, figure.value) + 1,
        figure=figure,
    )
