"""What became of a drug, told beside it: "protamine, no", "put the nitro away", "she took it at home"."""

from itertools import pairwise

from extractor.model import Item, Sentence, Status
from extractor.reconciling.kinds.drug_words import LOCALS
from extractor.reconciling.story import Story

#: Right behind a drug, and nothing but a pause behind it: it was not given.
_NONE = frozenset("no none not neither never nope nah nowt zero skip skipped nil".split())
_PAUSES = frozenset(", . ... ! ; - :".split())
#: What may stand between such a word and the end, or behind it for a reason.
_GOES_ON = frozenset("today here now thanks thank doctor sir boss because as since for with in at never".split())
#: Whoever does this with it does not give it …
_STOWS = frozenset("put take throw chuck bin keep send carry bring leave took".split())
#: … where it goes there.
_AWAY = frozenset("away back aside".split())
#: Tells that somebody had it …
_HAD = frozenset(
    """
    had has have been took takes taken taking got gets loaded swallowed swallows chewed drank drunk received receives
    ran gave given infused
    """.split()
)
#: … before or elsewhere.
_BEFORE = {
    ("at", "home"), ("this", "morning"), ("the", "morning"), ("for", "years"), ("before", "we"), ("before", "she"),
    ("before", "he"), ("in", "emergency"), ("in", "casualty"), ("the", "ambulance"), ("the", "ward"), ("for", "months"),
    ("for", "weeks"), ("since", "yesterday"), ("before", "transfer"), ("before", "coming"), ("an", "outpatient"),
    ("the", "roadside"), ("at", "lunch"), ("the", "floor"), ("at", "breakfast"), ("last", "night"), ("for", "days"),
}  # fmt: skip
#: With one of these it is for later, or asked for now.
_NOT_BEFORE = frozenset(
    """
    tonight tomorrow please want like give will 'll should needs need let's let later again continue continues
    start starts from
    """.split()
)


def named_twice(sentence: Sentence) -> None:
    """ "Local anaesthesia is in, mepivacaine fifteen mils": what numbs and its name are one thing; the name stays."""
    drugs = [item for item in sentence.items if item.kind == "drug" and item.name in LOCALS]
    if len(drugs) != 2:
        return
    loose = next((item for item in drugs if item.name not in item.text and item.text.split()[0] in _LOCAL), None)
    other = next((item for item in drugs if item is not loose), None)
    if loose is None or other is None or other.name == loose.name or (loose.figures and other.figures):
        return
    other.figures = other.figures or loose.figures
    if any(item.kind == "action" and loose.span < item.span < other.span for item in sentence.items):
        loose.name = other.name  # "Local is in, mepivacaine fifteen": given as the first is
        loose.figures = other.figures
        sentence.items.remove(other)
    else:
        sentence.items.remove(loose)


_LOCAL = {"local", "locals", "freezing", "numbing"}


def refused_beside(story: Story, item: Item) -> bool:
    """ "Protamine, no.", "midazolam none", "put the nitro away": whether a word beside a drug says that it was not
    given; no figure follows, which would be the dose of another mind.
    """
    tokens = story.sentence.tokens
    if story.sentence.question:
        return False
    before, behind = tokens[max(0, item.span[0] - 3) : item.span[0]], tokens[item.span[1] :]
    if _STOWS & {*before} and (_AWAY & {*before, *behind[:1]}):
        return True
    if any(other.kind in {"quantity", "pair"} for other in story.ahead()):
        return False
    said = [token for token in behind if token != ","]
    if not said or said[0] not in _NONE or len(behind) < 2:
        return False
    after = behind[behind.index(said[0]) + 1 :]
    return not after or after[0] in _PAUSES or after[0] in _GOES_ON


def had_before(story: Story, item: Item) -> bool:
    """ "Ticagrelor, one eighty, was loaded on the ward", "aspirin he takes at home": whether the sentence tells that
    somebody had a drug before or elsewhere, and asks for nothing.
    """
    sentence = story.sentence
    if sentence.question or sentence.texts & _NOT_BEFORE or item.status not in {None, Status.PLANNED}:
        return False
    first = next((other.span[1] for other in story.behind() if other.kind == "drug"), 0)
    last = next((other.span[0] for other in story.ahead() if other.kind == "drug"), len(sentence.tokens))
    said = sentence.tokens[first:last]
    return not _HAD.isdisjoint(said) and any(pair in _BEFORE for pair in pairwise(said))
