"""What sounds as if a device went in or came out, and tells where it is, that it moved, or what is to happen: "is there
any thrombus", "withdraw the sheath a little", "once the sheath is out", "we keep the six French in".
"""

from itertools import takewhile

from extractor.model import Item
from extractor.reconciling.marks import CLAUSE_ENDS, OUT_ENDS
from extractor.reconciling.story import STORES, Story

#: At the head of a sentence these ask or tell of something else.
_ASKS = {"is there", "are there", "'s there"}
#: After "out" or "away": it went on, not out of the patient.
_DRAWN = {"withdrawn", "withdraw", "retracted", "pulled", "drawn"}
_ONWARD = {"through", "up", "down", "into", "across", "along", "below", "beyond", "distally", "past", "towards"}
#: After "off": it went astray, or leaves a wall.
_ASIDE = {"to", "into", "towards", "toward", "the", "course", "down", "piste", "target", "line"}
#: "Out of" or "out for" one of these: nothing came out of the patient.
_AWAY = frozenset(
    "date school stock order service town hours office work sight reach range ten lunch coffee dinner".split()
)
#: Of people and pictures too; behind them ends what is told of a device; what may stand before them.
_LOOSELY = {"outside", "exits", "leaving", "retired"}
_NO_MORE = OUT_ENDS - {"?"} | {"again", "also", "then"}
_STILL = {"is", "'s", "now", "again", "all", "are", "completely", "fully"}
#: How far out it is; and behind that, where else than outside.
_ALL_THE_WAY = {"back", "straight", "right", "all"}
_SOMEWHERE = {("in",), ("of",), ("to",), ("into",), ("at",), ("from",)}
#: Before "outside": where something or somebody is from, or stands.
_FROM = {"from", "the", "an", "on"}
#: With one of these so many words behind, a device that is drawn moves, no more; set by hand, no source.
_SLIGHTLY = frozenset(
    "little bit touch slightly fraction tad hair millimetre millimetres centimetre centimetres".split()
)
_SOON = 6
#: Where a filter is that was caught; and before that.
_RETRIEVERS, _INTO = {"sheath", "catheter", "sleeve", "cone"}, {"in", "inside", "into"}
#: Right before what happens, these tell that it is to happen; a clause that begins with one of the others tells when
#: something else does. A clause of more words has parts of its own; set by hand, no source.
MODAL = {"will", "shall", "should", "would", "must", "'ll"}
#: In the same clause as what only a thing that is there does: it is not so yet, or not at all.
NOT_YET = MODAL | frozenset("to let let's not n't never if when once until till before want".split())
#: With one of these a device that is named is not there now: it is to be, was, or is told of for something else.
NOT_NOW = (MODAL - {"'ll"}) | frozenset(
    """
    not n't never no nope if when until before plan plans planned going needs need next tomorrow week weeks month months
    year years ago last yesterday hole holes old chart letter says said label box or
    """.split()
)
#: Before "exchange" these only wish for it.
WISHING = MODAL | {"to", "let", "let's", "lets", "can", "could", "'d", "want", "may", "might", "us"}
_SPEAKERS = {"we", "i", "you"}  # "we will withdraw the wire": done at once
_NOT_UNTIL = {"until", "till", "once", "before", "whenever"}
PAST_TENSE = {"was", "were", "had", "went", "came"}
_CLAUSE = 9
_KEPT = {"keep", "leave", "hold", "keeping", "leaving", "holding"}
#: With one of these before it, what is in was in before.
STAYS = frozenset("leave leaving keep keeping stay stays staying remain remains remaining still".split())


def asks(story: Story, item: Item) -> bool:
    """ "Is there any thrombus?", "there is clot in it": no word of a device, though one stands before it."""
    following = story.after()
    named = following is not None and following.kind in {"finding", "device", "drug"}
    return item.text in _ASKS and (item.span[0] == 0 or named)


def to_happen(story: Story, action: Item) -> bool:
    """ "the wire will come through here", "the drain is to be removed"; "we will withdraw the wire" is done at once."""
    tokens, first = story.sentence.tokens, action.span[0]
    modal = next((at for at in (first - 1, first - 2) if at > 0 and tokens[at] in MODAL), 0)
    return bool(modal and tokens[modal - 1] not in _SPEAKERS) or tokens[max(0, first - 2) : first] == ("to", "be")


def awaited(story: Story, action: Item) -> bool:
    """ "until I've a sheath in", "once the sheath is out", "there is a sheath in the drawer": not so yet."""
    tokens, first = story.sentence.tokens, action.span[0]
    where = takewhile(lambda text: text not in CLAUSE_ENDS, tokens[action.span[1] : action.span[1] + 3])
    if action.text.split()[-1] in {"in", "on"} and STORES & {*where}:
        return True  # "in the waiting room"
    if story.dictated or PAST_TENSE & {*action.text.split(), action.before}:
        return False
    while first and tokens[first - 1] not in CLAUSE_ENDS and action.span[0] - first < _CLAUSE:
        first -= 1
        if tokens[first] in _NOT_UNTIL or tokens[first : first + 3] == ("as", "soon", "as"):
            return True
    return False


def elsewhere(story: Story, action: Item) -> bool:
    """ "out of the sheath", "pulled the catheter back", "withdraw it a little": it moved, and is in still."""
    behind = story.sentence.tokens[action.span[1] : action.span[1] + 2]
    if action.text == "outside" and (action.before in _FROM or behind[:1] in {("the",), ("of",)}):
        return True  # "a drain from outside", "outside the vessel"
    if _LOOSELY & {*action.text.split()} and not _told_of_device(story, action):
        return True  # "it is raining outside", "it exits through the foramen", "she is leaving"
    if action.text.endswith(("on the table", "on the trolley")) and not _was_in(story):
        return True  # "the sheath is lying on the table, flushed"
    further = {*story.sentence.tokens[action.span[1] : action.span[1] + 4]}
    far = {*action.text.split()} & _ALL_THE_WAY and action.text.endswith("out") and behind[:1] in _SOMEWHERE
    if far and not further & {"patient", "body", "him", "her", "it", "there"}:
        return True  # "the guide's back out in the aorta"
    if action.text.split()[-1] == "out" and behind[:1] in {("of",), ("for",)} and _AWAY & {*behind}:
        return True  # "the six is out of date", "both are out for lunch"
    if _is_captured(story, action):
        return True
    following = story.after()
    if following is not None and following.kind == "device" and following.definite and "out" in action.text:
        apart = following.span[0] - action.span[1] > 1  # "out of the sheath"
        return apart and action.after not in {"with", "comes", "goes", "came", "went"}
    if action.after in _ONWARD and action.text.split()[-1] in {"out", "away"}:
        return True  # "it's away through it", "the tip goes out below"
    if action.text.split()[-1] in _DRAWN and action.after in {"to", "into", "until", "as"}:
        return True  # "was withdrawn to the trunk"
    soon = {*story.sentence.tokens[action.span[1] : action.span[1] + _SOON]}
    if action.text.split()[-1] in _DRAWN and soon & _SLIGHTLY and "out" not in soon:
        return True
    if action.text.split()[-1] == "off" and action.after in _ASIDE:
        return True  # "that's going off to the side"
    return "pull" in action.text and bool(story.sentence.texts & {"back", "down", "up", "until"})


def _is_captured(story: Story, action: Item) -> bool:
    """ "That's the filter in the sheath": it was caught, and none that was asked for waits to go in."""
    named, behind = story.before(), story.sentence.tokens[action.span[1] : action.span[1] + 3]
    if named is None or named.name != "filter" or action.text.split()[-1] not in _INTO or not _RETRIEVERS & {*behind}:
        return False
    return not any(thing.name == "filter" and thing.where == "asked" for thing in story.things)


def _was_in(story: Story) -> bool:
    """Whether something that the sentence names, or anything where it names nothing, was in."""
    names = {item.name for item in story.mentions("device")}
    return any(thing.where == "in" and (not names or thing.name in names) for thing in story.things)


def _told_of_device(story: Story, action: Item) -> bool:
    """Whether nothing stands between what goes in and comes out and such words, and nothing right behind them."""
    tokens, (first, last) = story.sentence.tokens, action.span
    if {*tokens[last : last + 1]} - _NO_MORE:
        return False
    while first and tokens[first - 1] in _STILL:
        first -= 1
    before = story.before()
    at_head = not first or tokens[first - 1] in CLAUSE_ENDS | {"it", "that", "and"}
    return at_head or (before is not None and before.kind == "device" and before.span[1] >= first)


def is_kept(story: Story, item: Item) -> bool:
    """ "Keep the wire there, the catheter I take off": nothing comes of it."""
    return item.definite and bool(_KEPT & {*story.sentence.tokens[max(0, item.span[0] - 2) : item.span[0]]})


def stays(story: Story, action: Item) -> bool:
    """ "We keep the six French in", "the wire is still in the renal": it was in before."""
    tokens, first = story.sentence.tokens, action.span[0]
    if STAYS & {*action.text.split()}:
        return True
    while first and tokens[first - 1] not in CLAUSE_ENDS and action.span[0] - first < _CLAUSE:
        first -= 1
        if tokens[first] in STAYS:
            return True
    return False
