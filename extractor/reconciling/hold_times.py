"""How long a balloon was up: which times are a hold, and how a later time changes one told before."""

from dataclasses import dataclass

from extractor.model import Item, Kind, Quantity, Status
from extractor.reconciling.story import Draft, Story, Thing
from extractor.reconciling.things import equal

_FINAL = frozenset(
    "write call only settle honest enough get got managed use wrote put log record note document".split()
)
_ELAPSED = {"that's", "there's", "gone", "done", "up", "over", "passed", "time", "thats", "after"}
#: In a time: so much longer.
_MORE = frozenset({"more", "another", "further"})
#: Times that are not how long a balloon was up, by what follows.
_NO_HOLD = {"from", "ago", "to", "left", "late", "early", "between", "of", "past", "apart", "remaining", "old", "away"}
#: "Three minutes of nothing", "two minutes of that": it is all the same how long.
_OF_A_HOLD = {"nothing", "that", "silence", "peace", "patience"}


@dataclass(slots=True, eq=False)
class Rise:
    """A balloon or stent while it is up."""

    draft: Draft
    thing: Thing
    spots: set[str]  # the sides and places named when it went up
    part: str = ""  # the part of the vessel its pressure was told with
    stays: bool = False  # while another goes up beside it
    ticking: bool = False  # its time is called out as it passes
    called: Quantity | None = None  # a shorter time told since it was said how long, and that one not again


def may_be_hold(story: Story, item: Item) -> bool:
    """Whether a time can be how long a balloon was up: not since when, not how fast a drug went in."""
    following = story.after()
    from_now = item.after == "from" and following is not None and following.text == "now"
    drug = any(other.kind == "drug" for other in story.clause())
    of_it = item.after == "of" and not more_of(item) and _behind(story, item, 1) in _OF_A_HOLD
    return (item.after not in _NO_HOLD or from_now or of_it) and not drug


def _behind(story: Story, item: Item, apart: int) -> str:
    tokens = story.sentence.tokens
    return tokens[item.span[1] + apart] if item.span[1] + apart < len(tokens) else ""


def hold(story: Story, rise: Rise, item: Item, quantity: Quantity, *, asked: bool) -> None:
    """A time said of a balloon: how long it is held, or has been up."""
    draft = rise.draft
    draft.reach(item.words)
    known = draft.values.get("duration")
    alone = all(other.kind in {"mark", "quantity"} for other in story.sentence.items)  # "ten seconds… twenty…"
    if known is None:
        draft.values["duration"], rise.ticking = quantity, alone
        return
    if more_of(item):
        total = (seconds(known) + seconds(quantity)) / (60 if known.unit == "min" else 1)
        draft.values["duration"] = quantity.flagged("conflict", value=total, unit=known.unit)
        return
    if equal(known, quantity) or ("corrected" not in quantity.flags and seconds(quantity) == seconds(known)):
        rise.called = None
        return
    longer = seconds(quantity) > seconds(known)
    texts = story.sentence.texts
    if "corrected" in quantity.flags or (rise.ticking and longer):
        draft.values["duration"] = quantity
    elif (longer and (texts & _ELAPSED or story.says("deflate"))) or (
        asked or texts & _FINAL or (texts & {"that's", "'s", "was"} and story.says("deflate"))
    ):
        draft.values["duration"] = quantity.flagged("conflict", alternatives=(known.value,))
    elif not longer:
        rise.called = quantity
        if rise.thing.where == "used":  # "Down. What did we get? / Fifty seconds."
            let_down(rise)
    elif quantity.unit == known.unit:
        draft.values["duration"] = known.flagged("conflict", alternatives=(*known.alternatives, quantity.value))


def let_down(rise: Rise) -> None:
    """Marks the time of a balloon that came down when a shorter one had been called: "hold two minutes … one, down"."""
    if rise.called is not None and (known := rise.draft.values.get("duration")) is not None:
        shown = (*known.alternatives, rise.called.value)
        rise.draft.values["duration"] = known.flagged("conflict", alternatives=shown)


def more_of(item: Item) -> bool:
    """ "another thirty", "thirty more", "one more minute": so much longer."""
    return item.before in _MORE or item.after == "more" or bool(_MORE & {*item.text.split()})


def seconds(quantity: Quantity) -> float:
    return quantity.value * (60 if quantity.unit == "min" else 1)


def as_time(counted: Quantity, known: Quantity | None) -> Quantity:
    """A bare number as a time: of minutes where minutes were told, or where so few seconds would be fewer than told."""
    minutes = known is not None and counted.value <= 10 and (known.unit == "min" or seconds(known) > counted.value >= 1)
    return counted.flagged(unit="min" if minutes else "s")


def tell_time(story: Story, item: Item, quantity: Quantity) -> bool:
    """A time that was not held now: of the inflation spoken of, or a rule."""
    last = told_here(story, item.status)
    if last is not None and "duration" not in last.values:
        last.values["duration"] = quantity
        return True
    of_balloon = story.active is not None and story.active.role == "inflation"
    of_balloon = of_balloon or any(other.role == "inflation" for other in story.mentions("device"))
    if item.status is Status.QUOTED and (of_balloon or story.says("inflate")):
        story.add(Kind.INFLATION, Status.QUOTED, item, "inflation/time-quoted", values={"duration": quantity})
        return True
    return False


def told_here(story: Story, status: Status | None) -> Draft | None:
    """The last inflation or stent of this sentence and status, or of the talk that this sentence goes on with."""
    begins = story.frames.begins if story.frames.begins is not None else story.sentence.words[0]
    for draft in reversed(story.lately()):
        here = draft.words[0] >= begins
        if draft.kind in {Kind.INFLATION, Kind.STENT} and here and draft.status is status:
            return draft
    return None
