"""One balloon inflated so many times, where only the number tells of the others: "six bar, twice, thirty seconds
each", "ten atmospheres, three places".
"""

from dataclasses import replace

from extractor.model import Kind, Sentence, Status
from extractor.reconciling.story import Draft, Hearing, Story, carried
from extractor.units import TIMES

_NUMBERS = {"two": 2, "three": 3, "four": 4}
#: What is counted: inflations, or the places they are for.
_COUNTED = frozenset(
    """
    times goes inflations dilatations dilations bites passes rounds stations places spots positions steps shots puffs
    """.split()
)
#: Before the number: there were more before, or it is of another thing.
_NOT_SO_MANY = frozenset("of every per these those last other first by about only".split())
#: After "twice": it is no number of inflations.
_AS_MUCH = frozenset("as a the that this daily per".split())
#: In such a sentence the number is of another thing, or the inflations are told one by one.
_OTHERWISE = frozenset(
    """
    measured checked looked asked counted told said read times' wire guidewire day days daily week first second third
    upper lower one then once not never would could might
    """.split()
)
#: The next sentence tells them one by one.
_ONE_BY_ONE = frozenset("first firstly one upper lower top bottom proximal proximally distal distally once".split())


class CountedTimes(Hearing):
    """At the end of a sentence: as many inflations as it counts. Claims nothing."""

    def end(self, story: Story, sentence: Sentence) -> None:
        times, at = _times(sentence)
        if not times or sentence.question or sentence.texts & _OTHERWISE:
            return
        behind = [item for item in story.mentions("quantity") if item.span[0] > at]
        if sum(item.figures["value"].unit not in TIMES for item in behind) > 1:
            return  # "twice, to eight and then to twelve"
        following = story.following
        if following is not None and (following.question or following.first in _ONE_BY_ONE):
            return
        told = [draft for draft in story.lately() if _told_here(draft, sentence)]
        if len(told) != 1:
            return
        for _ in range(times - 1):
            values = {key: carried(value) for key, value in told[0].values.items()}
            story.drafts.append(replace(told[0], rule="inflation/counted", values=values, flags=set(told[0].flags)))


def _times(sentence: Sentence) -> tuple[int, int]:
    """How many times a sentence tells, and where; 0 where it does not."""
    tokens = sentence.tokens
    for at, token in enumerate(tokens):
        if token == "twice" and not _AS_MUCH & {*tokens[at + 1 : at + 2]}:
            return 2, at
        if token in _COUNTED and at and tokens[at - 1] in _NUMBERS and not _is_cross(sentence, at):
            before = tokens[at - 2] if at > 1 else ""
            about = before in _NOT_SO_MANY or tokens[at + 1 : at + 2] == ("or",)  # "three places or so"
            return (0 if about else _NUMBERS[tokens[at - 1]]), at
    return 0, 0


def _is_cross(sentence: Sentence, at: int) -> bool:
    """ "a balloon, four times twenty": the word stands between the two figures of a size."""
    return any(item.kind in {"device", "pair"} and item.span[0] < at < item.span[1] for item in sentence.items)


def _told_here(draft: Draft, sentence: Sentence) -> bool:
    return draft.kind is Kind.INFLATION and draft.status is Status.DONE and draft.words[1] > sentence.words[0]
