"""What comes out, called by a word that it was called by when it went in: "the green one, fourteen, in … green's out",
"the polite wire is off". No list knows these words: each speaker has their own.
"""

from extractor.model import SIDES, Item, Kind, Sentence
from extractor.reconciling.kinds.brought import add_verb
from extractor.reconciling.kinds.by_number import LATER_OR_NOT
from extractor.reconciling.marks import CLAUSE_ENDS, TOLD_MARKS
from extractor.reconciling.story import Story, Thing, carried
from extractor.reconciling.things import find

#: "Back" is out of these.
_DRAWN_BACK = {"wire", "needle", "dilator"}
_LEAVES = {"particle out", "removed"}
#: Between what is called so and what became of it; these stand for the noun.
_BETWEEN = frozenset("'s is are was were has have had been can then now also just too finally first , comma".split())
_ONES = frozenset("one ones fella fellow fellas chap lad guy boy yin thing device".split())
_ARTICLES = frozenset("the my our that this his her your a".split())
#: At the head of a clause before what comes out.
_TAKES = frozenset("pull pulling lose losing remove removing withdraw".split())
_BEGINS = CLAUSE_ENDS | {"now", "okay", "right"}
_ENDS = TOLD_MARKS - {":", "-"} | {"and"}
#: So many words call it at most; set by hand, no source.
_MOST = 3
#: For so many sentences "the other one" is of what came out before; set by hand, no source.
_JUST_OUT = 3


def name_called(story: Story, sentence: Sentence) -> None:
    """Makes a device, in place, of the words that something in the patient goes by, where they leave."""
    if sentence.question or sentence.texts & LATER_OR_NOT:
        return
    for action in [item for item in sentence.items if item.kind == "action" and item.meanings & _LEAVES]:
        first, past = _before(sentence, action)
        if first == past and action.text.split()[-1] == "with":
            first, past = _behind(sentence, action.span[1])
        _name(story, sentence, first, past)
    for item in [item for item in sentence.items if item.name in _DRAWN_BACK and not item.where]:
        _drawn_back(story, sentence, item)
    for at, token in enumerate(sentence.tokens if sentence.texts & _TAKES else ()):
        if token in _TAKES and (not at or sentence.tokens[at - 1] in _BEGINS):
            _name(story, sentence, *_behind(sentence, at + 1))


def _before(sentence: Sentence, action: Item) -> tuple[int, int]:
    """The tokens right before what became of it, back to an article or the beginning of the clause."""
    tokens, past = sentence.tokens, action.span[0]
    while past and tokens[past - 1] in _BETWEEN:
        past -= 1
    first = past
    while first and past - first < _MOST and tokens[first - 1] not in _BEGINS | _ARTICLES:
        first -= 1
    begins = not first or tokens[first - 1] in _BEGINS | _ARTICLES
    return (first, past) if begins else (past, past)


def _behind(sentence: Sentence, at: int) -> tuple[int, int]:
    tokens = sentence.tokens
    at += tokens[at : at + 1] != () and tokens[at] in _ARTICLES
    past = at
    while past < len(tokens) and past - at < _MOST and tokens[past] not in _ENDS:
        past += 1
    return (at, past) if not {*tokens[past : past + 1]} - _ENDS else (at, at)


def _name(story: Story, sentence: Sentence, first: int, past: int) -> None:
    said = [item for item in sentence.items if item.span[0] < past and first < item.span[1]]
    words = {*sentence.tokens[first:past]} - _ONES
    if not words or any(_is_told(story, item) for item in said if {*item.text.split()} - _ONES):
        return
    meant = [thing for thing in story.things if words <= thing.words and thing.role == "insert"]
    here = [thing for thing in meant if thing.where == "in"] or [thing for thing in meant if thing.where == "asked"]
    if not meant and {*sentence.tokens[first:past]} & _ONES:
        here = _left_of_pair(story, said)
    if len(here) != 1:
        return
    thing = here[0]
    at = next((n for n, item in enumerate(sentence.items) if item.span[0] >= first), len(sentence.items))
    for item in said:
        sentence.items.remove(item)
    word = said[0].words[0] if said else sentence.items[at - 1].words[1] if at else sentence.words[0]
    word = min(word, sentence.words[1] - 1)
    device = Item("device", (word, word + 1), " ".join(sentence.tokens[first:past]), role="insert", name=thing.name)
    device.nickname, device.span, device.definite, device.headless = thing.nickname, (first, past), True, True
    device.figures = {key: carried(size) for key, size in thing.values.items() if key != "count"}
    device.qualifiers = frozenset(thing.qualifiers)
    sentence.items.insert(at, device)


def _is_told(story: Story, item: Item) -> bool:
    """Whether an item stands for something else than a word that tells what it is like, or is known by its name."""
    if item.kind != "device":
        return item.kind not in {"place", "part", "side"}
    if item.role != "insert" and item.known_only:
        return any(thing.role == item.role for thing in story.things)
    if item.name or item.figures:
        return True
    return find(story, item, lambda thing: thing.where == "in" and thing.role == "insert") is not None


def _left_of_pair(story: Story, said: list[Item]) -> list[Thing]:
    """ "Arm sheath out, press. Groin one out.": what is in still and has the noun of what came out just before."""
    last = next((draft for draft in reversed(story.lately()) if draft.kind is Kind.REMOVE), None)
    if last is None or last.of is None or story.number - last.number > _JUST_OUT:
        return []
    here = [thing for thing in story.things if thing.where == "in" and thing.name == last.of.name]
    sides = {item.name for item in said if item.kind == "side"}
    return [thing for thing in here if not sides or not thing.spots & SIDES or sides & thing.spots]


def _drawn_back(story: Story, sentence: Sentence, item: Item) -> None:
    """ "Wire back, connect the pump.": what was in is drawn back, and no farther told."""
    at = item.span[1] + (sentence.tokens[item.span[1] : item.span[1] + 1] == (",",))
    if sentence.tokens[at : at + 1] != ("back",) or {*sentence.tokens[at + 1 : at + 2]} - _ENDS:
        return
    begins = not item.span[0] or (item.span[0] == 1 and sentence.tokens[0] in _ARTICLES)
    sized = bool(item.figures) or any(other.kind == "quantity" and other.span[0] <= at + 2 for other in sentence.items)
    begins = begins and not sized  # "plain wire back, thirty-five": it goes in again
    told = any(other.span[0] <= at < other.span[1] for other in sentence.items)
    if begins and not told and find(story, item, lambda thing: thing.where == "in") is not None:
        add_verb(sentence, at, frozenset({"removed"}))
