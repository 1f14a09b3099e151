"""Inflations that are not made now: refused, thought of, told as a rule, or made before this case."""

from extractor.model import Item, Kind, Quantity, Status
from extractor.reconciling.bare_figures import pressure_unit, told_by
from extractor.reconciling.hold_times import told_here
from extractor.reconciling.story import Story
from extractor.reconciling.things import values_of
from extractor.units import TIMES

_BALLOONS = {"inflation", "stent"}
#: Inflating, as what somebody does; who does it stands so many tokens before it at most.
_INFLATING = frozenset(
    "dilated ballooned inflated inflate dilate balloon redilate reinflate predilate postdilate ballooning inflating "
    "dilating".split()
)
_NEAR_WHO = 6
_WHO, _IT = {"i", "we", "not", "no", "don't", "never", "nothing"}, {"it", "balloon", "did", "didn't"}
_BEYOND = {"above", "beyond", "exceed", "over", "than"}
#: Forms of figures that are no pressure.
_NO_PRESSURE = {"year", "leading-zero", "article"}


def refuses_to(story: Story, item: Item) -> bool:
    """ "we are not going to inflate that again", "no more ballooning": who refuses to, and no balloon that fails to."""
    if item.status is not Status.NEGATED or "inflate" not in item.meanings or not {*item.text.split()} & _INFLATING:
        return False
    before = {*story.sentence.tokens[max(0, item.span[0] - _NEAR_WHO) : item.span[0]]}
    who = before & _WHO and not before & _IT
    return bool(who) and item.after not in {"yet", "until"} and not story.mentions("device")


def rule_out(story: Story, item: Item) -> None:
    story.add(Kind.INFLATION, Status.NEGATED, item, "inflation/ruled-out")


def as_a_rule(story: Story, quantity: Quantity) -> bool:
    """ "The rep says go to twelve", "never above fourteen with these": how far one goes in general."""
    before = story.sentence.tokens[: story.sentence.items[story.index].span[0]]
    timed = any(item.kind == "quantity" and item.figures["value"].unit in TIMES for item in story.sentence.items)
    if before[-1:] == ("at",) and timed:
        return bool(pressure_unit(story, quantity))  # "they say two minutes at eight"
    goes = before[-1:] in {("above",), ("beyond",), ("exceed",), ("over",), ("than",)} or before[-2:] in {
        ("go", "to"),
        ("it", "to"),
    }
    return goes and bool(pressure_unit(story, quantity)) and quantity.form not in _NO_PRESSURE


def took_it_to(story: Story, item: Item, quantity: Quantity) -> bool:
    """ "two years ago they did it with an eight by forty, up to ten", "I'd take a six by forty and go to ten": how far
    one that does not go up now went, or would go.
    """
    last, unit = told_here(story, item.status), pressure_unit(story, quantity)
    if last is None or "pressure" in last.values or not unit or quantity.form in _NO_PRESSURE:
        return False
    raised = told_by(story) & {"raise", "inflate"} or story.frames.high == story.number - 1
    if not raised or quantity.value % 0.5:
        return False
    last.values["pressure"] = quantity.in_unit(unit)
    last.reach(item.words)
    return True


def tell(story: Story, item: Item, quantity: Quantity, status: Status) -> None:
    """A pressure that was not reached now: it joins the device of the same sentence and status, or stands alone."""
    last = told_here(story, status)
    if last is not None and "pressure" not in last.values:
        last.values["pressure"] = quantity
        last.reach(item.words)
        return
    thing = story.active
    known = thing is not None and thing.role in _BALLOONS and status in {Status.NEGATED, Status.CONSIDERED}
    values = values_of(thing) if thing is not None and known else {}
    kind = Kind.STENT if thing is not None and thing.role == "stent" and thing.where == "asked" else Kind.INFLATION
    story.add(kind, status, item, f"{kind}/pressure-{status}", values={**values, "pressure": quantity})
