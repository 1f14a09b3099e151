"""A wire or sheath called by its number alone, where the words around it leave no doubt that one is meant: "micro up
over a sixteen", "pull the eighteen", "take the thirty-five away".

Numbers are said of beds, minutes and gloves too: what is taken away is something of that size that is in; what a tube
goes along is as thick as wires are, and no balloon or sheath of the case is called so.
"""

from collections.abc import Sequence
from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.marks import OUT_ENDS
from extractor.reconciling.story import NOT_DONE, Story, Thing
from extractor.sizes import in_thousandths

#: A tube goes along a wire; what stands before the number is one.
_ALONG = {"on", "over"}
_BESIDE = {"with"}
_NO_TUBES = {"", "wire", "needle", "snare", "filter"}
#: Whoever has a microcatheter in the patient speaks of wires, at most so many sentences behind; set by hand, no source.
_LATELY = 40
#: Before the number, what is done with it.
_TAKE = frozenset(
    """
    take takes took taking pull pulls pulled pulling remove removes removed removing withdraw withdraws withdrew
    withdrawing lose losing
    """.split()
)
#: These take it out without another word, where the clause ends.
_OUT_ALONE = _TAKE - frozenset("take takes took taking".split())
_THE = frozenset("the my our that this".split())
_AWAY = frozenset("out off away".split())
#: Before the verb it is for later, or not at all.
LATER_OR_NOT = frozenset("when if once until till after before unless not n't don't never to will would should".split())


def name_taken(story: Story, sentence: Sentence) -> None:
    """ "Pull the eighteen.", "I take the thirty-five away": a number that is taken away becomes what is in by it."""
    if not sentence.texts & _TAKE or sentence.texts & LATER_OR_NOT or sentence.question:
        return
    tokens = sentence.tokens
    for item in sentence.items:
        bare = item.figures.get("value" if item.kind == "quantity" else "bare")
        first, last = item.span
        if bare is None or bare.unit is not None or not first or tokens[first - 1] not in _THE:
            continue
        if not (first > 1 and _is_taken(tokens[first - 2], tokens[last : last + 2])) and not _by_us(tokens, last):
            continue
        found = [(thing, key) for thing in story.things if (key := _called(thing, bare)) and thing.where == "in"]
        if len(found) == 1:
            thing, key = found[0]
            item.kind, item.role, item.name, item.nickname = "device", "insert", thing.name, thing.nickname
            item.figures = {key: replace(thing.values[key], words=bare.words, heard=bare.heard)}
            item.definite = item.headless = True
            item.where = ""


def _is_taken(verb: str, behind: Sequence[str]) -> bool:
    """Whether a verb takes away what stands behind it, before these words."""
    away = {*behind[:1]} <= _AWAY and {*behind[1:]} <= OUT_ENDS  # not "off the shelf"
    return verb in _TAKE and (away or (verb in _OUT_ALONE and {*behind[:1]} <= OUT_ENDS))


def _by_us(tokens: Sequence[str], at: int) -> bool:
    """ "The fourteen, I pull.", "the eighteen I take out": who takes it away stands behind what is taken."""
    at += tokens[at : at + 1] == (",",)
    verb, behind = tokens[at + 1 : at + 2], tokens[at + 2 : at + 4]
    return {*tokens[at : at + 1]} <= {"i", "we"} and bool(verb) and _is_taken(verb[0], behind)


def is_wire_along(story: Story, item: Item, bare: Quantity) -> bool:
    """ "Micro two point four over a sixteen", "a four French catheter on an eighteen": whether a number is a wire that
    what was named before it goes along.
    """
    if item.where not in _ALONG | _BESIDE or item.status in NOT_DONE or not in_thousandths(bare):
        return False
    tubes = [other for other in story.behind() if other.kind == "device" and other.role == "insert"]
    if not tubes or tubes[0].name in _NO_TUBES or (item.where in _BESIDE and tubes[0].name != "microcatheter"):
        return False
    return not other_is_called(story, bare)


def is_wire_gone(story: Story, item: Item, bare: Quantity, *, leaving: bool) -> bool:
    """ "Sixteen out.", where nobody said that one went in: a wire's thickness, and a microcatheter is spoken of, or a
    wire of that thickness was asked for.
    """
    if not (leaving and item.definite) or item.status in NOT_DONE or not in_thousandths(bare):
        return False
    gone, tokens = story.after(), story.sentence.tokens
    if story.sentence.question or gone is None or {*tokens[gone.span[1] : gone.span[1] + 1]} - OUT_ENDS:
        return False  # "eighteen out of twenty", "the sixteen is off today"
    if gone.after == "," and "from" in story.sentence.texts:
        return False
    lately = [one for one in story.things if story.number - one.seen <= _LATELY and one.where != "refused"]
    meant = any(one.name == "microcatheter" or _called(one, bare) == "wire_diameter" for one in lately)
    return meant and story.topic == "device" and not other_is_called(story, bare)


def is_wire_back(story: Story, item: Item, bare: Quantity, following: Item | None) -> bool:
    """ "The eighteen in again": a wire of that thickness, which came out before."""
    entering = following is not None and bool(following.meanings & {"particle", "placed"})
    if not (entering and item.definite) or item.status in NOT_DONE or not in_thousandths(bare):
        return False
    return any(one.where == "out" and _called(one, bare) == "wire_diameter" for one in story.things)


def is_wire_next(story: Story, item: Item, bare: Quantity, following: Item | None) -> bool:
    """ "Thin wire out, thirty-five in.", "Fourteen out, eighteen in": what goes in where a wire just came out."""
    if following is None or following.span[0] != item.span[1] or not following.meanings & {"particle", "placed"}:
        return False
    ends = {*story.sentence.tokens[following.span[1] : following.span[1] + 1]} <= OUT_ENDS
    if not (ends and item.definite) or item.status in NOT_DONE or not in_thousandths(bare):
        return False  # "eighteen in the waiting room"
    last = story.drafts[-1] if story.drafts else None
    gone = last is not None and last.kind is Kind.REMOVE and last.device == "wire" and last.status is Status.DONE
    return gone and last is not None and story.number - last.number <= 1 and not other_is_called(story, bare)


def as_wire(item: Item, bare: Quantity) -> None:
    """The number becomes a wire of so many thousandths of an inch."""
    thick = bare.flagged("unit-assumed", value=bare.value / 1000, unit="[in_i]")
    item.role, item.name, item.figures, item.headless = "insert", "wire", {"wire_diameter": thick}, True


def _called(thing: Thing, bare: Quantity) -> str:
    """The size that something is called by so, where it is one of what goes in and comes out."""
    if thing.role != "insert":
        return ""
    for key, times in (("wire_diameter", 1000), ("gauge", 1)):
        known = thing.values.get(key)
        if known is not None and abs(known.value * times - bare.value) < 1e-6:
            return key
    return ""


def other_is_called(story: Story, bare: Quantity) -> bool:
    """Whether a balloon, stent, sheath or the like of the case is as wide as the number says."""
    return any(
        known.value == bare.value
        for thing in story.things
        for key, known in thing.values.items()
        if key in {"gauge", "diameter"}
    )
