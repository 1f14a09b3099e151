"""What is to come out after this case: "drain out on Friday", "when it's dry the ten comes out", "removal of the drain
after five days". A drain, a filter or a port stays; only when it is to go is told.
"""

from dataclasses import replace

from extractor.model import Item, Quantity, Sentence, Status
from extractor.reconciling.kinds.said_of import ALONG
from extractor.reconciling.marks import CLAUSE_ENDS
from extractor.reconciling.story import POINTERS, Story, Thing
from extractor.reconciling.things import find

#: What stays behind when a case is over: "it comes out in a week" is of it.
_STAYING = {"drain", "nephrostomy", "gastrostomy", "filter", "port"}
#: These take something out; "out" and "off" with a verb before them do.
_TAKES = frozenset("pull pulls remove removes removed removal retrieve retrieves retrieved".split())
_OFF_AFTER = frozenset("take taken takes come comes".split())
#: "out" right behind one of these is of no device.
_NOT_OUT = frozenset("find found run runs ran work check wash rule ruled watch look time flow".split())
#: Times no case lasts; before them stands one of the second, or behind them one of the third.
_LONG_TIMES = frozenset("day days week weeks month months fortnight year years hours".split())
_IN_A_TIME, _FAR = frozenset("in after within next at".split()), 5
_LATER = frozenset("later hence afterwards".split())
#: Days, and what stands before one that is over.
_DAYS = frozenset("monday tuesday wednesday thursday friday saturday sunday tomorrow".split())
_OVER = frozenset("last since from ago".split())
#: Words that tell what is over or was meant.
_PAST = frozenset(
    """
    was were had came went did didn't pulled took ago yesterday wanted already never since put placed inserted fell
    slipped dropped popped lost now today
    """.split()
)
#: A clause that begins with one of these only tells when; one behind the second goes on with what the one before told.
_TELLS_WHEN = frozenset("in after within at on next by if when once maybe perhaps the a another".split())
_GOES_ON = frozenset("and then".split())
_COUNTS = frozenset("two three four five six seven eight nine ten".split())
_THE = frozenset("the this that his her".split())
_MOVED = frozenset({"placed", "removed", "particle", "particle out"})
#: After "when" or "if": what a drain stays for.
_WHEN, _NEAR = frozenset("when once if".split()), 8
_UNTIL = frozenset(
    "dry clean clear clears under below fever settles settled stops stopped heals healed well better runs".split()
)
#: With one of these it is only thought of.
_MAYBE = frozenset("could might may maybe perhaps probably possibly should would if unless".split())
#: Behind a time these do something else then: "out, and in two days she goes home".
_WHO = frozenset("i we you she he they".split())


def leaves_later(story: Story, sentence: Sentence) -> tuple[Item, Item | None, Thing | None] | None:
    """What this sentence tells to come out after this case: the word for it with its status, the mention, the thing."""
    tokens = sentence.tokens
    if not _PAST.isdisjoint(sentence.texts) or sentence.question:
        return None
    verbs = [at for at, token in enumerate(tokens) if _takes_out(tokens, at)]
    if not verbs or (when := _when(tokens)) is None:
        return None
    at = min(verbs, key=lambda verb: abs(verb - when))
    if not _belongs(sentence, at, when):
        return None
    named = _subject(sentence, at)
    bare = (named.figures.get("value") or named.figures.get("bare")) if named is not None else None
    if named is None:
        thing = _staying(story, sentence)
    else:
        thing = _called(story, bare) if bare is not None else find(story, named, _is_in)
        thing = thing or find(story, named, lambda one: one.where == "asked" and one.name in _STAYING)
    stays = thing.name if thing is not None else named.name if named is not None else ""
    if stays not in _STAYING and (thing is None or tokens[when] in _WHEN):
        return None  # "when it's clear, sheath out": now
    if named is not None and named.name.endswith("wire"):
        return None
    if named is not None and thing is not None and bare is not None:
        named.kind, named.name = "device", thing.name
        named.figures = {"gauge": replace(thing.values["gauge"], words=bare.words, heard=bare.heard)}
    status = Status.PLANNED if _MAYBE.isdisjoint(sentence.texts) else Status.CONSIDERED
    first = sentence.words[0]
    word = next((item.words for item in sentence.items if item.span[0] <= at < item.span[1]), (first, first + 1))
    return Item("action", word, tokens[at], status=status, span=(at, at + 1)), named, thing


def _is_in(thing: Thing) -> bool:
    return thing.where == "in" and thing.role == "insert"


def _belongs(sentence: Sentence, at: int, when: int) -> bool:
    """Whether a time is that of what comes out: not "sheath out, we look again in three days"."""
    tokens, (first, last) = sentence.tokens, (min(at, when), max(at, when))
    for item in sentence.items:
        moves = item.meanings & _MOVED and item.text not in ALONG | {"in", "at", "up", "down", "across"}
        if moves and first < item.span[0] < last and not item.span[0] <= at < item.span[1]:
            return False
    ends = [index for index in range(first + 1, last) if tokens[index] in CLAUSE_ENDS]
    if not ends:
        return True
    if at < when:
        if tokens[when] not in _WHEN and tokens[when + 1 : when + 2] and tokens[when + 1] in _WHO:
            return False
        return tokens[ends[-1] + 1] in _TELLS_WHEN | _DAYS
    begins = next((index + 1 for index in range(first, 0, -1) if tokens[index - 1] in CLAUSE_ENDS), 0)
    return tokens[begins] in _TELLS_WHEN | _DAYS | _COUNTS or bool(_GOES_ON & {tokens[end] for end in ends})


def _takes_out(tokens: tuple[str, ...], at: int) -> bool:
    before = tokens[at - 1] if at else ""
    if tokens[at] == "out":
        return before not in _NOT_OUT and tokens[at + 1 : at + 2] != ("of",)
    return tokens[at] in _TAKES or (tokens[at] == "off" and before in _OFF_AFTER)


def _when(tokens: tuple[str, ...]) -> int | None:
    """Where a time after this case is told: "in three days", "a week later", "on Friday", "when it's dry"."""
    for at, token in enumerate(tokens):
        before, behind = tokens[max(0, at - _FAR) : at], tokens[at + 1 : at + 2]
        if _OVER & {*before[-2:], *behind}:
            continue
        if token in _LONG_TIMES and ((_IN_A_TIME & {*before} and "for" not in before) or _LATER & {*behind}):
            return at
        if token in _DAYS or (token == "day" and behind == ("after",)):
            return at
        if token in _WHEN and _UNTIL & {*tokens[at + 1 : at + _NEAR]}:
            return at
    return None


def _subject(sentence: Sentence, at: int) -> Item | None:
    """The device named in the clause before the word that takes it out, or else right behind that."""
    tokens, first, past = sentence.tokens, at, at
    while first and tokens[first - 1] not in CLAUSE_ENDS:
        first -= 1
    while past < len(tokens) and tokens[past] not in CLAUSE_ENDS:
        past += 1
    named = [item for item in sentence.items if _may_be(item)]
    before = [item for item in named if first <= item.span[0] < at]
    behind = [item for item in named if at < item.span[0] < past]
    if before or behind:
        return before[-1] if before else behind[0]
    apart = [item for item in named if item.name in _STAYING and not item.where]  # "it could come out, the drain"
    return apart[0] if len(apart) == 1 else None


def _may_be(item: Item) -> bool:
    """Whether a mention can be what comes out: a device, or "the twelve"."""
    return item.role in {"", "insert"} and (
        item.kind == "device" or (item.kind == "quantity" and item.before in _THE and not item.figures["value"].unit)
    )


def _called(story: Story, bare: Quantity) -> Thing | None:
    """What stays and is called by its gauge."""
    staying = [thing for thing in story.things if _is_in(thing) and thing.name in _STAYING]
    gauges = [(thing, thing.values["gauge"].value) for thing in staying if "gauge" in thing.values]
    return next((thing for thing, gauge in reversed(gauges) if gauge == bare.value), None)


def _staying(story: Story, sentence: Sentence) -> Thing | None:
    """What "it" is, where one thing alone stays."""
    if not sentence.texts & (POINTERS | {"removal"}):
        return None
    staying = [thing for thing in story.things if _is_in(thing) and thing.name in _STAYING]
    return staying[0] if len(staying) == 1 else None
