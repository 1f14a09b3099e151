"""What the words beside a balloon that goes up tell: which one it is, and what its figures are of."""

from dataclasses import dataclass
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.along_vessel import spots_before
from extractor.reconciling.bare_figures import RANGE, then_down
from extractor.reconciling.hold_times import Rise
from extractor.reconciling.kinds.brought import add_verb
from extractor.reconciling.story import NOT_DONE, Draft, Story, Thing, carried
from extractor.reconciling.things import values_of
from extractor.reconciling.unsaid_pressures import lets_down
from extractor.units import TIMES

BALLOONS = {"inflation", "stent"}
#: How long a balloon is held, seconds, where no unit is said, and how far a word to hold may still raise it, atm: set
#: by hand, no source.
SHORTEST_HOLD, LONGEST_HOLD, MAY_STEP = 15, 300, 6
#: Said of balloons and of other things as well.
_OF_OTHERS = {
    "down", "and down", "close", "close it", "come off", "off we come", "drop it", "negative", "straight down",
    "coming down", "comes down", "come down", "vacuum", "to zero", "pressure off",
}  # fmt: skip
#: Before and behind "empty", where it is said of a balloon that is let down.
_BEFORE_EMPTY = frozenset(", . ... ; ! - and then now together both".split())
_BEHIND_EMPTY = frozenset(", . ... ; ! - and both them again now please".split())
#: The one that went up last.
SAME_ONE = {"same balloon", "same one"}
#: Before "the same balloon": it is to be used.
_WANTED = {"with", "use", "take", "using", "want", "need"}
#: Before a verb: it is yet to be done.
_INTENDING = frozenset("will 'll shall going would 'd should could might may want wants to if ready before".split())


@dataclass(slots=True, eq=False)
class Order:
    """A balloon or stent said to go up, though not yet how far."""

    thing: Thing
    item: Item
    breath: int
    up: bool  # in so many words: coming down then ends an inflation, even where no pressure was told
    same: bool  # to the last one's pressure
    at_once: bool = False  # with the words that first name it


def told_how_far(story: Story) -> bool:
    """Whether a figure of this sentence is something other than a time."""
    return any(
        other.kind == "pair" or other.figures["value"].unit not in TIMES for other in story.mentions("quantity", "pair")
    )


def is_hold(quantity: Quantity) -> bool:
    """Whether a bare number is rather a time, in seconds."""
    return not quantity.value % 5 and SHORTEST_HOLD <= quantity.value <= LONGEST_HOLD


def told_ahead(story: Story, item: Item) -> bool:
    """ "for two minutes I hold the six by eighty at eight bar", "the five by forty, three minutes, six atmospheres"."""
    before = story.before("mark")
    named = before is not None and before.role in BALLOONS and bool(before.figures)
    following = story.after()  # "thirty seconds at ten atmospheres with the six by forty"
    at_once = following is not None and "raise" in following.meanings and item.after == "at"
    return item.before in {"for", "during"} or named or at_once


def names_same(story: Story, item: Item) -> bool:
    """Whether a word means the balloon that went up last: "same balloon", "the same" before "balloon"."""
    following = story.after()
    named = following is not None and following.role == "inflation" and not following.figures
    return item.text in SAME_ONE or bool(
        item.text in {"the same", "same"} and named and following and following.span[0] == item.span[1]
    )


def of_injector(story: Story, quantity: Quantity) -> bool:
    """ "fifteen for thirty, nine hundred psi": the most the pump may press with, no balloon's pressure."""
    injected = story.says("run", "go", "by pump") or bool(story.mentions("pair"))
    return quantity.unit == "[psi]" and quantity.value > RANGE["[psi]"][1] and injected and not story.says("inflate")


def named_after(story: Story) -> Order | None:
    """ "Predilate, three by twenty, ten", "post-dilate with a six by forty, one minute": then with what."""
    active = story.active
    if active is None or active.role != "inflation" or active.where != "asked" or active.seen != story.number:
        return None
    named = Status.PLANNED in story.sentence.cues
    for other in story.behind():
        named = named or (other.kind == "device" and other.figures.keys() >= {"diameter", "length"})
        if other.kind == "action" and "inflate" in other.meanings:
            before = {*story.sentence.tokens[max(0, other.span[0] - 3) : other.span[0]]}
            done = named and other.status not in NOT_DONE and Status.PLANNED not in story.sentence.cues
            done = done and not before & _INTENDING
            return Order(active, other, story.sentence.breath, up=True, same=False) if done else None
    return None


def by_stent_balloon(story: Story, item: Item) -> bool:
    """ "with the stent balloon again, fourteen": the stent is open, and this is another inflation."""
    before = story.before("mark")
    return "again" in item.meanings and before is not None and before.nickname == "stent balloon"


def last_but(story: Story, draft: Draft) -> Draft | None:
    """The inflation before this one."""
    for other in reversed(story.lately()):
        if other.kind is Kind.INFLATION and other.status is Status.DONE and other is not draft:
            return other
    return None


def last_balloon(story: Story) -> Thing | None:
    for thing in reversed(story.things):
        if thing.role == "inflation" and thing.where in {"asked", "used", "up"}:
            return thing
    return None


def of_another_device(story: Story) -> bool:
    """ "the sheath's up": said of what stands right before it."""
    before = story.before()
    return before is not None and before.kind == "device" and before.role not in BALLOONS


def self_expanding(thing: Thing) -> bool:
    return thing.role == "embolise" or (thing.role == "stent" and thing.mount == "self" and thing.where != "used")


def both_times(sentence: Sentence) -> bool:
    """ "five seconds both times", "ten seconds both": of this one and the one before."""
    said = {*pairwise(sentence.tokens)}
    return bool(said & {("both", "times"), ("seconds", "both"), ("minutes", "both"), ("minute", "both")})


def alike_units(one: Item, other: Item) -> bool:
    """Whether two figures tell the same: both a time, or neither."""
    return (one.figures["value"].unit in TIMES) is (other.figures["value"].unit in TIMES)


def wanted(story: Story, item: Item, thing: Thing) -> None:
    """ "we help it with the same balloon": asked for once more, where nothing tells that it goes up now."""
    told = any(other.kind in {"quantity", "pair"} for other in story.sentence.items)
    goes = told or story.says("inflate", "deflate", "hold", "placed", "particle") or story.sentence.question
    before = {*story.sentence.tokens[max(0, item.span[0] - 2) : item.span[0]]}
    meant = before & _WANTED or {"please", "next"} & story.sentence.texts
    if goes or not meant or item.status in NOT_DONE or story.dictated or thing.where != "used":
        return
    thing.asked = story.add(
        Kind.INFLATION, Status.PLANNED, item, "inflation/asked-for-again", device="balloon", values=values_of(thing)
    )


def same_to(story: Story, item: Item) -> bool:
    """ "same balloon, eighteen this time": named, and then at once how far, whatever was spoken of meanwhile."""
    following = next((other for other in story.ahead() if other.text != "," and other.meanings != {"again"}), None)
    return item.text in SAME_ONE and following is not None and following.kind == "quantity"


def was_up(story: Story, item: Item) -> bool:
    """ "the soft balloon to the neck… gently, full… and close the balloon": what comes down was up."""
    active = story.active
    said = "particle" not in item.meanings and item.text not in _OF_OTHERS
    asked = active.asked if active is not None else None
    if asked is not None and "pressure" in asked.values and story.sentence.breath == asked.breath:
        said = True  # "six by forty, ten atmospheres, please… and down"
    return said and active is not None and active.role == story.topic == "inflation" and active.where == "asked"


def let_down_next(story: Story) -> bool:
    """ "Three atmospheres. Hold five. Down.": nothing but its coming down follows."""
    last = all(other.kind == "mark" or "deflate" in other.meanings for other in story.ahead())
    return last and (then_down(story) or lets_down(story.following))


def meant_here(story: Story) -> Thing | None:
    """The balloon or stent that is spoken of: the active one, or the one for the place named right before."""
    active = story.active
    spots = spots_before(story)
    again = any("again" in other.meanings for other in story.behind())  # "same at the top"
    if spots and not again and active is not None and active.spots and not active.spots & spots:
        for thing in reversed(story.things):
            if thing.role in BALLOONS and thing.where in {"asked", "used", "up"} and thing.spots & spots:
                return thing
    return active


def as_high(story: Story, draft: Draft) -> None:
    last = last_but(story, draft)
    if last is not None and "pressure" in last.values and "pressure" not in draft.values:
        draft.values["pressure"] = carried(last.values["pressure"])


def reached_counting(rise: Rise, quantity: Quantity) -> None:
    known = rise.draft.values.get("duration")
    if known is None or (known.unit == "s" and rise.ticking and known.value < quantity.value):
        rise.draft.values["duration"] = quantity.flagged(unit="s")
        rise.ticking = True


def usual_unit(story: Story, rise: Rise) -> str:
    last = last_but(story, rise.draft)
    known = last.values.get("duration") if last is not None else None
    return (known.unit if known is not None else None) or "s"


def name_emptied(sentence: Sentence) -> None:
    """ "Thirty seconds. Empty.", "... and empty both": the word for a balloon that is let down becomes an action."""
    for at, token in enumerate(sentence.tokens if "empty" in sentence.texts else ()):
        begins = not at or sentence.tokens[at - 1] in _BEFORE_EMPTY
        ends = not {*sentence.tokens[at + 1 : at + 2]} - _BEHIND_EMPTY
        told = any(item.span[0] <= at < item.span[1] for item in sentence.items)
        if token == "empty" and begins and ends and not told and not sentence.question:
            add_verb(sentence, at, frozenset({"deflate"}))
