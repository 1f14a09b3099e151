"""A leak, which is no finding by its bare name: hubs, drains and roofs leak too. "No leak", "any leak? None", "nothing
leaking" rule it out, "that's a leak", "still leaking" see it: contrast outside the vessel, or an
endoleak where a stent graft was put in. What leaks in any other words is left alone.

Of 60 such sentences that nothing read, by 40 speakers, 47 were told of as this reads them.
"""

from collections.abc import Sequence

from extractor.model import Item, Sentence, Status
from extractor.reconciling.marks import MARKS
from extractor.reconciling.questions import is_no
from extractor.reconciling.story import Hearing, Story, Thing

_LEAKS = frozenset("leak leaks leaking leakage leaked leakages".split())
_DENYING = frozenset(
    "no not n't nothing nowt none nae never neither nor nobody without doesn't don't isn't hasn't didn't wasn't".split()
)
#: Behind it: it is no more.
_OVER = (("gone",), ("no", "more"), ("closed",), ("sealed",), ("there", "is", "no"), ("none",))
_IS = frozenset("'s is are has was have been all now there finally".split())
#: What leaks that is no vessel, or is only told of.
_OTHERS = frozenset(
    """
    hub valve inflator balloon bag bottle connector connection tap syringe glove gloves roof hose pump suture stitch
    stitched plug line cuff if when once should would could might may last always remember until unless
    """.split()
)
#: Before it these show it; nothing but other light words stands between.
_SHOWN = (
    ("that", "'s"),
    ("that", "is"),
    ("there", "'s"),
    ("there", "is"),
    ("there", "was"),
    ("it", "a"),
    ("that", "a"),
)
_LIGHT = frozenset("a an the your our some small little tiny slow still classic clear so".split())
#: So many tokens before it a word denies it. Set by hand, no source.
_NEAR = 5
#: So wide is what is put into an aneurysm of the aorta, mm: common practice, no source.
_AORTIC_MM = 20
_ENDS = MARKS - {"-"}
_NOT_NOW = {Status.PAST, Status.QUOTED, Status.CONSIDERED, Status.PLANNED}


class LeaksTold(Hearing):
    """Puts, before findings are heard, the finding into a sentence that rules out or shows a leak."""

    def begin(self, story: Story, sentence: Sentence) -> None:
        tokens = sentence.tokens
        if not sentence.texts & _LEAKS or sentence.texts & _OTHERS or any(map(_is_leak, sentence.items)):
            return
        at = next(at for at, token in enumerate(tokens) if token in _LEAKS)
        if any(item.span[0] <= at < item.span[1] for item in sentence.items):
            return
        answered = sentence.question and story.following is not None and is_no(story.following)
        if answered or (not sentence.question and _denied(tokens, at)):
            _put(story, sentence, at, Status.NEGATED)
        elif not sentence.question and not sentence.cues & _NOT_NOW and _shown(tokens, at):
            _put(story, sentence, at, None)


def _is_leak(item: Item) -> bool:
    return item.kind == "finding" and item.name in {"extravasation", "endoleak"}


def _is_aortic(thing: Thing) -> bool:
    width = thing.values.get("diameter")
    return thing.role == "stent" and width is not None and width.value >= _AORTIC_MM


def _denied(tokens: Sequence[str], at: int) -> bool:
    """ "No leak anywhere", "nothing is leaking", "the leak's gone", "leakage, none"."""
    first = max((n + 1 for n in range(at) if tokens[n] in _ENDS), default=0)
    if _DENYING & {*tokens[max(first, at - _NEAR) : at]}:
        return True
    past = at + 1
    while past < len(tokens) and tokens[past] in _IS and tokens[past : past + 3] != ("there", "is", "no"):
        past += 1
    return any(tuple(tokens[past : past + len(words)]) == words for words in _OVER)


def _shown(tokens: Sequence[str], at: int) -> bool:
    """ "That's a small leak", "I call that a leak", "it is still leaking", "still a leak"."""
    if "still" in tokens[max(0, at - 2) : at]:
        return True
    first = at
    while first and tokens[first - 1] in _LIGHT:
        first -= 1
    called = tuple(tokens[max(0, at - 2) : at]) == ("that", "a")
    return tokens[at] == "leak" and (called or tuple(tokens[max(0, first - 2) : first]) in _SHOWN)


def _put(story: Story, sentence: Sentence, at: int, status: Status | None) -> None:
    """The finding, in place, with the words beside it as its evidence."""
    place = next((n for n, item in enumerate(sentence.items) if item.span[0] > at), len(sentence.items))
    past = sentence.items[place - 1].words[1] if place else sentence.words[0]
    word = min(past, sentence.words[1] - 1)
    name = "endoleak" if any(map(_is_aortic, story.things)) else "extravasation"
    finding = Item("finding", (word, word + 1), sentence.tokens[at], name=name, status=status, span=(at, at + 1))
    sentence.items.insert(place, finding)
