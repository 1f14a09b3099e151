"""What became of a drug, told beside it: "protamine, no", "put the nitro away", "she took it at home"."""

from collections.abc import Sequence

from extractor.model import Item, Sentence
from extractor.reconciling.kinds.drug_words import LOCALS
from extractor.reconciling.marks import TOLD_MARKS
from extractor.reconciling.story import Story

#: What numbs, where it is not called by its name.
_LOCAL = {"local", "locals", "freezing", "numbing"}
#: Right behind a drug, and nothing but a pause behind it: it was not given.
_NONE = frozenset("no none not neither never nope nah nowt zero skip skipped nil".split())
_SURELY = frozenset("evidently obviously clearly certainly definitely surely naturally absolutely logically".split())
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
#: … before or elsewhere, …
_BEFORE = {
    ("at", "home"), ("this", "morning"), ("for", "years"), ("for", "months"), ("for", "weeks"), ("for", "days"),
    ("since", "yesterday"), ("before", "transfer"), ("before", "coming"), ("an", "outpatient"), ("last", "night"),
}  # fmt: skip
_AT = frozenset("in on at from by during".split())
_PLACES = frozenset("ward floor ambulance emergency casualty resus roadside scene breakfast lunch clinic".split())
_ELSEWHERE = {(at, place) for at in _AT for place in _PLACES} | {
    (the, place) for the in ("the", "his", "her", "a") for place in _PLACES
}
#: … or before what begins a case.
_BEGINS = frozenset("started start began begin came come got get arrived even".split())
#: So near the place it is of that. Set by hand, no source.
_NEAR = 6
#: With one of these it is for later, or asked for now.
_HERE = frozenset("now just table here".split())
_NOT_BEFORE = frozenset(
    """
    tonight tomorrow please want like give will 'll should needs need let's let later again continue continues
    start starts from shall to evening
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


def refused_beside(story: Story, item: Item) -> bool:
    """ "Protamine, no.", "midazolam none", "put the nitro away": whether a word beside a drug says that it was not
    given; no figure follows, which would be the dose of another mind.
    """
    tokens = story.sentence.tokens
    if story.sentence.question:
        return False
    before, behind = tokens[max(0, item.span[0] - 3) : item.span[0]], tokens[item.span[1] :]
    if _STOWS & {*before} and (_AWAY & {*before, *behind[:1]}):
        away = behind[1:] if behind[:1] and behind[0] in _AWAY else behind
        return (not away or away[0] in TOLD_MARKS) and not story.says("give")
    if any(other.kind in {"quantity", "pair"} for other in story.ahead()):
        return False
    said = [token for token in behind if token != "," and token not in _SURELY]
    if not said or said[0] not in _NONE or len(behind) < 2:
        return False
    after = behind[behind.index(said[0]) + 1 :]
    return not after or after[0] in TOLD_MARKS or after[0] in _GOES_ON


def had_before(story: Story) -> bool:
    """ "Ticagrelor, one eighty, was loaded on the ward", "aspirin he takes at home": whether the sentence tells that
    somebody had a drug before or elsewhere, and asks for nothing.
    """
    sentence = story.sentence
    if sentence.question or sentence.texts & (_NOT_BEFORE | _HERE):
        return False
    first = next((other.span[1] for other in story.behind() if other.kind == "drug"), 0)
    last = next((other.span[0] for other in story.ahead() if other.kind == "drug"), len(sentence.tokens))
    said = sentence.tokens[first:last]
    had = [at for at, token in enumerate(said) if token in _HAD]
    return any(
        _is_before(said, at)
        and any((0 < at - one <= _NEAR and "," not in said[one:at]) or -3 <= at - one < 0 for one in had)
        for at in range(len(said) - 1)
    )


def _is_before(said: Sequence[str], at: int) -> bool:
    """Whether an earlier time or another place is told at a token."""
    pair = said[at : at + 2]
    if pair in _BEFORE:
        return said[at + 2 : at + 3] not in {("of",), ("'s",)}
    if pair in _ELSEWHERE and (pair[0] in _AT or said[at - 1] in _AT):
        return said[at + 2 : at + 3] not in {("of",), ("'s",)}
    return (
        pair[0] == "before"
        and said[at + 1] in {"we", "she", "he"}
        and said[at + 2 : at + 3] != ()
        and said[at + 2] in _BEGINS
    )
