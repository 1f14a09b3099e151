"""Figures that found no place in their sentence: a value told right before that they may be meant for is marked.

Heard last of all, when every kind of event has taken what it can. What is still loose when the case is told is looked
at once more (``rivalled.py``).
"""

from itertools import zip_longest

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.marks import TOLD_MARKS
from extractor.reconciling.rivalled import counts_something_else, echoes, rivals
from extractor.reconciling.story import NO, NOT_DONE, Draft, Hearing, Story

#: Values that are said in steps ("eight, another four, twelve in all") or put right in passing.
_IN_STEPS = {"dose", "pressure", "stenosis", "duration"}
#: After a figure: it is the one that stands.
_STANDS = (
    ("it", "is"), ("it", "was"), ("then",), (",", "then"), ("'s", "enough"), ("is", "enough"), ("'s", "plenty"),
    ("is", "plenty"), ("'s", "fine"), ("is", "fine"), ("will", "do"), ("'ll", "do"), ("went", "in"),
)  # fmt: skip
_CLOSING = TOLD_MARKS - {":", "-"}


class LooseFigures(Hearing):
    """Marks, after each sentence, what its loose figures leave in doubt."""

    def end(self, story: Story, sentence: Sentence) -> None:
        _doubt(story, sentence)
        _contradict(story, sentence)


def _doubt(story: Story, sentence: Sentence) -> None:
    """A figure that found no place: a value of this breath it may be meant for is marked. After a word that puts
    right any value, else one that is often said in steps or put right in passing.
    """
    if not any(item.kind == "quantity" and not item.used for item in sentence.items):
        return
    fixing = False
    said = [item for item in sentence.items if item.kind != "mark"]
    for item, following in zip_longest(said, said[1:]):
        fixing = fixing or item.corrects
        if item.kind != "quantity" or item.used or item.status in NOT_DONE or counts_something_else(item):
            continue
        if _is_told(story, item):
            continue
        settles = _settles(sentence, item, following)
        for draft in reversed(story.drafts[-3:]):
            near = fixing or settles or story.number - draft.number <= 1
            if draft.breath != sentence.breath or not near:
                continue
            if key := _rivalled(draft, item.figures["value"], fixing or settles):
                value, other = draft.values[key], item.figures["value"]
                told = settles or (other.unit is not None and "unit-assumed" in value.flags)
                if told and other.words > value.words:
                    value, other = other.flagged("corrected", unit=value.unit, words=other.words), value
                doubted = value.flagged("conflict", alternatives=(*value.alternatives, other.value))
                draft.values[key] = doubted
                story.keep(key, value, doubted)
                break


def _is_told(story: Story, item: Item) -> bool:
    """Whether a loose figure is one that was just told: it puts nothing right."""
    lately = (draft for draft in story.drafts[-3:] if draft.breath == story.sentence.breath)
    values = (value for draft in lately for value in draft.values.values() if "carried-over" not in value.flags)
    return any(echoes(value, item) for value in values)


def _contradict(story: Story, sentence: Sentence) -> None:
    """ "Six French sheath is in. No, seven French.": a sentence that begins by putting right and goes on with a
    figure, and what was told right before it still stands: the value the figure may be meant for is marked.
    """
    if not (sentence.first in NO or any(item.corrects for item in sentence.items[:1])):
        return
    said = next((item for item in sentence.items if item.kind not in {"mark", "phrase", "pronoun"}), None)
    if said is None or said.kind not in {"quantity", "device"} or said.status in NOT_DONE or len(said.figures) != 1:
        return
    (figure,) = said.figures.values()
    for draft in reversed(story.drafts[-3:]):
        told = draft.number < story.number <= draft.number + 2 and sentence.breath <= draft.breath + 1
        if not told or draft.status in NOT_DONE or "carried-over" in figure.flags:
            continue
        for key, value in draft.values.items():
            if (
                figure.unit == value.unit
                and rivals(value, figure)
                and not {"conflict", "carried-over"} & {*value.flags}
            ):
                draft.values[key] = value.flagged("conflict", alternatives=(*value.alternatives, figure.value))
                return


def _rivalled(draft: Draft, figure: Quantity, fixing: bool) -> str | None:
    """The value of an event that a loose figure could be meant for: of several, the one said last."""
    said_last = sorted(draft.values, key=lambda key: draft.values[key].words, reverse=True)
    if fixing:
        return next((key for key in said_last if rivals(draft.values[key], figure)), None)
    told = draft.status is Status.DONE or (draft.status is Status.PLANNED and draft.kind is Kind.DRUG)
    steps = [key for key in said_last if key in _IN_STEPS]
    for key in (draft.values if draft.kind is Kind.TOTAL else steps) if told else ():  # a sum is told once
        value = draft.values[key]
        if rivals(value, figure) and value.value / 3 <= figure.value <= value.value * 3:
            return key if "carried-over" not in value.flags else None
    return None


def _settles(sentence: Sentence, item: Item, following: Item | None) -> bool:
    """Whether a figure is said as the one that stands: "so four it is", "eight will do", "so seventy-six", "one, I'm
    corrected".
    """
    if following is not None and following.corrects and following.text.endswith(("corrected", "corrects me")):
        return True
    after = (*sentence.tokens[item.span[1] :], ".")
    if any(after[: len(words)] == words and not after[len(words)].isalpha() for words in _STANDS):
        return True
    return item.before == "so" and after[0] in _CLOSING
