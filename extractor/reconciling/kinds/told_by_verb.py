""" "We've placed a seven by forty stent", "closed with two coils, five by ten", "two coils were then deposited": stents
and embolics that the verb tells to be in.
"""

from collections.abc import Sequence

from extractor.model import Sentence, Status
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import STORES, Hearing, Story

#: What was done to a stent or an embolic that is in.
_DONE = frozenset(
    """
    placed deployed implanted inserted positioned released detached delivered deposited laid left popped parked dropped
    packed put used pushed given injected instilled administered infused gave poured needed took
    """.split()
)
#: What was done to a vessel with one.
_TREATED = frozenset(
    """
    stented relined lined covered excluded coiled plugged embolised embolized occluded closed filled packed sealed
    stenting coiling embolisation embolization occlusion
    """.split()
)
_WITH = {"with", "using", "by"}
#: These are written like the present or like a side: told as done only with a helping verb.
_ALIKE = {"put", "left"}
_HELPING = {"have", "has", "'ve", "was", "were", "had", "been", "'s", "are", "is"}
_WHO = {"i", "we", "he", "she", "they", "it", "you"}
_PASSIVE = {"was", "were", "been"}
#: What may stand between the helping verb or who did it and the verb, so many words at most.
_BETWEEN = 3
#: With one of these it is not in yet.
_NOT_IN = STORES | {
    "opened",
    "want",
    "need",
    "ready",
    "waiting",
    "please",
    "next",
    "will",
    "'ll",
    "would",
    "if",
    "when",
}


class ToldByVerb(Hearing):
    """Hears, after all the others, what the verb tells to be in that stands before it or far behind."""

    def end(self, story: Story, sentence: Sentence) -> None:
        thing = story.active
        asked = thing.asked if thing is not None else None
        if thing is None or asked is None or thing.role not in {"stent", "embolise"}:
            return
        if thing.name in POURED and "volume" not in asked.values:
            return
        if asked.number != story.number or asked.status is not Status.PLANNED or thing.where != "asked":
            return
        named = (item for item in sentence.items if item.kind == "device" and item.role == thing.role)
        item = next((item for item in named if asked.words[0] <= item.words[0] < asked.words[1]), None)
        if item is None or item.status is not None:
            return
        if not (told_before(sentence, item.span[0]) or _told_after(sentence, item.span[1])):
            return
        story.settle(asked, Status.DONE, item, f"{thing.role}/told-before")
        thing.asked, thing.done, thing.where, thing.left = None, asked, "used", 0


def told_before(sentence: Sentence, at: int) -> bool:
    """Whether the words before this token tell that what is named there has gone in."""
    if sentence.question or sentence.texts & _NOT_IN or Status.NEGATED in sentence.cues:
        return False
    said = sentence.tokens[:at]
    performed = any("performed" in item.meanings and item.status is None for item in sentence.items)
    return any(
        _is_told(said, place) or (word in _TREATED and _with_it(said, place) and (performed or _helped(said, place)))
        for place, word in enumerate(said)
    )


def _is_told(said: Sequence[str], place: int) -> bool:
    """Whether the verb at a place is told of somebody, or heads its sentence, and what follows it is its object."""
    word = said[place]
    if word not in _DONE or any(between in {".", "...", "but"} for between in said[place + 1 :]):
        return False
    led = {*said[max(0, place - _BETWEEN) : place]}
    if led & {"to", "not", "be", "'ll", "will"}:
        return False
    return bool(led & _HELPING) or (word not in _ALIKE and (bool(led & _WHO) or not place))


def _told_after(sentence: Sentence, past: int) -> bool:
    """ "two coils of two by six were then deposited": the verb behind it, in the passive."""
    said = sentence.tokens[past:]
    if sentence.question or sentence.texts & _NOT_IN or Status.NEGATED in sentence.cues:
        return False
    return any(
        word in _DONE and _PASSIVE & {*said[max(0, at - _BETWEEN) : at]} and not {*said[:at]} & {"and", "but", "..."}
        for at, word in enumerate(said)
    )


def _helped(said: Sequence[str], place: int) -> bool:
    return not place or bool({*said[max(0, place - _BETWEEN) : place]} & _HELPING)


def _with_it(said: Sequence[str], place: int) -> bool:
    return bool({*said[place + 1 :]} & _WITH)
