"""What only a device that is in place does: "ten French pigtail, please… locked in the pelvis", "it coils well",
"hooked the left renal", "it went". What was asked for is in then, though nobody says so.
"""

from collections.abc import Sequence

from extractor.model import Item, Sentence, Status
from extractor.reconciling.kinds.brought import add_verb
from extractor.reconciling.kinds.no_move import NOT_YET
from extractor.reconciling.marks import MARKS
from extractor.reconciling.story import POINTERS, Story, Thing

_PLACED = frozenset({"placed"})
#: What drains, wires and catheters do once they are there. Common practice, no source.
_DRAIN = frozenset("locked curled coiled draining".split())
_WIRE = frozenset("coils coiled curls curled".split())
_CATHETER = frozenset("hooked hooks catches caught engaged engages wedged seated".split())
#: What else is caught by it, or catches it: "it's caught on the drape".
_OTHERS_CATCH = frozenset("my on light sleeve glove gown drape table lead apron eye attention breath".split())
#: Where a wire coils that is not in yet.
_OUTSIDE = frozenset("its hoop table drape bowl packet pack floor hand".split())
_DRAINS = {"drain", "nephrostomy", "gastrostomy"}
#: A drain holds by its loop, which is then so.
_LOOP, _FORMED = {"loop", "curl"}, {"closed", "formed", "made", "in", "inside", "locked"}
#: All that may tell it.
_TELLING = _DRAIN | _WIRE | _CATHETER | _LOOP | {"went", "there"}
#: Before such a word in its clause: nothing that is another subject.
_LIGHT = frozenset(
    """
    it it's 's is are she that that's this and now so then okay nicely well good there string the loop tip pigtail has
    been already also yes aye lovely right
    """.split()
)
_PLACE_ENDS = MARKS - {"-"}
#: Not so yet, or not at all.
_NOT = NOT_YET | {"can"}
#: For so many sentences something that was asked for is waited for; set by hand, no source.
_AWAITED = 6
#: … and for so many "it went" is of it.
_SAID_AT_ONCE = 1


def name_states(story: Story, sentence: Sentence, focus: Sequence[Thing]) -> None:
    """Makes actions, in place, of words that tell that what was asked for last, or is named here, is there."""
    if sentence.question or "?" in sentence.texts or not sentence.texts & _TELLING:
        return
    if sentence.cues & {Status.PLANNED, Status.CONSIDERED, Status.NEGATED, Status.PAST}:
        return
    waiting = focus[-1] if focus and focus[-1].where == "asked" else None
    if waiting is not None and (story.number - waiting.seen > _AWAITED or story.topic != "device"):
        waiting = None
    named = [item for item in sentence.items if item.kind == "device"]
    for item in named if waiting is not None and _is_drain(waiting.name, waiting.nickname) else ():
        if item.text in _LOOP and item.name == "snare":
            item.kind, item.name, item.role = "pronoun", "it", ""  # "loop's in the duodenum"
            named = [other for other in named if other is not item]
    for at, text in enumerate(sentence.tokens):
        if text not in _TELLING:
            continue
        begin = _clause(sentence.tokens, at)
        if _NOT & {*sentence.tokens[begin:at]}:
            continue
        before = [item for item in named if begin <= item.span[0] and item.span[1] <= at]
        meant = _meant(story, before[-1], at) if before else None
        if meant is not None and _is_there(sentence, at, *meant):
            _tell(sentence, at)
            return
        if (named and named[0].span[0] < at) or waiting is None or not {*sentence.tokens[begin:at]} <= _LIGHT:
            continue
        if _is_there(sentence, at, waiting.name, waiting.nickname) or _says_only(story, sentence, at, waiting):
            verb = _tell(sentence, at)
            pointed = any(
                one.kind == "pronoun" and one.name in POINTERS and begin <= one.span[0] for one in sentence.items
            )
            if not pointed:
                place = sentence.items.index(verb)
                sentence.items.insert(place, Item("pronoun", verb.words, "it", name="it", span=(at, at)))
            return


def _tell(sentence: Sentence, at: int) -> Item:
    """The word becomes an action that tells of a place."""
    items = sentence.items
    said = next((item for item in items if item.span[0] <= at < item.span[1] and item.kind == "action"), None)
    if said is None:
        sentence.items = [item for item in items if item.span != (at, at + 1)]  # "it coils" speaks of no coils
        return add_verb(sentence, at, _PLACED)
    said.meanings = _PLACED
    return said


def _clause(tokens: Sequence[str], at: int) -> int:
    """The first token of the clause around one."""
    return next((n + 1 for n in range(at - 1, -1, -1) if tokens[n] in _PLACE_ENDS), 0)


def _is_there(sentence: Sentence, at: int, name: str, nickname: str | None) -> bool:
    """Whether a word tells that a device of this name is in place."""
    tokens = sentence.tokens
    if _is_drain(name, nickname):
        past = at + 1 + (tokens[at + 1 : at + 2] in {("'s",), ("is",)})
        return tokens[at] in _DRAIN or (tokens[at] in _LOOP and bool(_FORMED & {*tokens[past : past + 1]}))
    if name.endswith("wire"):
        return tokens[at] in _WIRE and not _OUTSIDE & {*tokens[at + 1 :]}
    return name.endswith("catheter") and tokens[at] in _CATHETER and not _OTHERS_CATCH & {*tokens[at + 1 :]}


def _is_drain(name: str, nickname: str | None) -> bool:
    return name in _DRAINS or nickname == "pigtail"


def _meant(story: Story, item: Item, at: int) -> tuple[str, str | None] | None:
    """ "Drain locked", "ten's locked": what a mention names, where that was asked for or is told with its size here."""
    if item.where:
        return None
    bare = item.figures.get("bare")
    for thing in story.things:
        gauge = thing.values.get("gauge")
        called = bare is not None and gauge is not None and gauge.value == bare.value
        if thing.role == "insert" and thing.where == "asked" and (called or (item.name and thing.name == item.name)):
            return thing.name, thing.nickname
    sized = bare is None and bool(item.figures) and at - item.span[1] <= 1
    return (item.name, item.nickname) if sized else None


def _says_only(story: Story, sentence: Sentence, at: int, waiting: Thing) -> bool:
    """ "It went, loop closed.", "Micro, two four. There." """
    tokens = sentence.tokens
    if tokens[at] == "there":
        return len(sentence.texts) <= 2 and story.number - waiting.seen == 1
    if story.number - waiting.seen > _SAID_AT_ONCE:
        return False  # the fax went, or the pain
    return tokens[max(0, at - 1) : at + 1] == ("it", "went") and {*tokens[at + 1 : at + 2]} <= _PLACE_ENDS
