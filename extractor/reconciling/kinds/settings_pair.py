"""Two figures that are volume and rate of an injection though they are said as a size or a list: "twelve by six, two
frames", "injector, ten and twenty, three a second". The smaller of the two is how fast it goes in.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

from extractor.model import Item, Quantity, Sentence, Status
from extractor.reconciling.kinds.run_words import is_picture
from extractor.reconciling.story import Story

#: What is in hand may be told by two figures as well.
TREATING = frozenset("inflation stent embolise".split())
#: Between the two figures, in any number; a comma too, where an injection had the two before.
_JOINS = {"by", "and", "over", "with", "x"}
_JOINS_KNOWN = _JOINS | {",", "for", "at", "on"}
#: With one of these beside them the two figures of an earlier injection are of one more; …
_ONE_MORE = frozenset("final completion control check closing".split())
#: … with one of these they may also be what a balloon was blown up to.
_AGAIN = frozenset("same like as again last repeat repeated before once".split())
#: How much contrast and how fast, at most and at least, mL and mL/s; common practice, no source.
_MOST_ML, _FASTEST, _LEAST = 60, 30, 1
#: So many seconds an injection lasts at most. Set by hand, no source.
_LONGEST = 8
#: These name what injects, besides the names of pictures; an inflator is also a pump.
_INJECTORS = frozenset("injector machine pump injection injections contrast series".split())
#: Before a bare figure: so many pictures a second.
_FRAMES = {"frame", "frames", "pictures", "images"}
#: Between such a word and the figures.
_LIGHT = frozenset(", : ; ... - again the a on my your our right left side is at of with now please then".split())
#: Behind the second figure, where it is one of settings.
_GOES_ON = frozenset(
    """
    please go now again run for with at on in into and then over right left frames frame pictures images here through
    via from like same as by before
    """.split()
)
#: So many tokens at most as far as what injects. Set by hand, no source.
_FEW = 6
#: With one of these in the sentence the figures may be a balloon's, or a time.
_OTHERS = frozenset(
    """
    balloon balloons stent stents coil coils inflate inflated atmospheres atm bar millimetre millimetres millimeter
    millimeters minutes seconds percent french
    """.split()
)


def pair_settings(story: Story, injected: Callable[[], Collection[tuple[float, float]]]) -> None:
    """Joins the two figures of an injection to a pair, where how often pictures are taken is told right behind them, a
    word for what injects stands right before them, or they are the rate and the volume (mL/s, mL) of one ``injected``
    before: "final, ten and twenty", "the same six and three". Those are looked up only where two figures stand.
    """
    sentence = story.sentence
    if sentence.question or sentence.texts & _OTHERS or sum(map(_figures, sentence.items)) < 2:
        return
    if any(item.kind in {"drug", "pair"} or (item.kind == "device" and item.figures and item.name) or item.corrects
           for item in sentence.items):  # fmt: skip
        return
    earlier = injected()
    treating = story.topic in TREATING
    pictured = any(is_picture(item) for item in sentence.items)
    one_more = pictured or sentence.texts & (_ONE_MORE if treating else _ONE_MORE | _AGAIN)
    for position, item in enumerate(sentence.items):
        sized = item.kind == "device" and not pictured  # "last one, seven by fourteen" may be a coil
        known = earlier if one_more and not sized else ()
        found = _two(sentence.tokens, sentence.items, position, _JOINS_KNOWN if known else _JOINS)
        if found is None:
            continue
        first, second, last = found
        past = sentence.items[sentence.items.index(last) + 1 :]
        told = _pictures(past, sentence.tokens, last) or _headed(sentence, item, first, second)
        told = told and (last is item or sentence.tokens[item.span[1]] in _JOINS)
        told = told or (min(first.value, second.value), max(first.value, second.value)) in known
        wide = item.kind == "device" and (second.value, first.value) in earlier
        told = told or (wide and not treating and not _waits(story))
        if not told or not _fit(first, second):
            continue
        sentence.items[position] = replace(
            item,
            kind="pair",
            name="for",
            text=" ".join(sentence.tokens[item.span[0] : last.span[1]]),
            words=(item.words[0], last.words[1]),
            span=(item.span[0], last.span[1]),
            figures={"a": first, "b": second},
            role="",
            headless=False,
            after=last.after,
        )
        if last is not item:
            sentence.items.remove(last)
        return


def _figures(item: Item) -> int:
    """How many of the two figures an item may tell."""
    if item.kind == "device":
        return 2 if not item.name and len(item.figures) == 2 else 0
    return 1 if item.kind == "quantity" else 0


def _waits(story: Story) -> bool:
    """Whether a balloon, a stent or a coil is asked for or up: two figures alone, wider than long, may be its size."""
    return any(thing.where in {"asked", "up"} and thing.role != "insert" for thing in story.things)


def _two(
    tokens: Sequence[str], items: Sequence[Item], position: int, joins: set[str]
) -> tuple[Quantity, Quantity, Item] | None:
    """The two figures that begin with an item, and the item the second is of."""
    item = items[position]
    if item.status is Status.NEGATED:
        return None
    if item.kind == "device" and not item.name and {*item.figures} == {"diameter", "length"}:
        return item.figures["diameter"], item.figures["length"], item
    if item.kind != "quantity" or position + 1 == len(items):
        return None
    other = next((each for each in items[position + 1 :] if each.kind != "mark" and each.text not in joins), None)
    if other is None or other.kind != "quantity":
        return None
    between = tokens[item.span[1] : other.span[0]]
    if other.after[:1].isalpha() and other.after not in _GOES_ON:
        return None  # "six and four of us", "twelve and four patients", "ten and two o'clock"
    if len(between) != 1 or between[0] not in joins:
        return None
    following = [each.kind for each in items[items.index(other) + 1 :][:2]]
    if between[0] == "," and following == ["mark", "quantity"]:
        return None  # "twenty, fifteen, three": a row
    return item.figures["value"], other.figures["value"], other


def _fit(first: Quantity, second: Quantity) -> bool:
    """Whether a volume and a rate: bare, the larger perhaps in millilitres."""
    volume, rate = (first, second) if first.value >= second.value else (second, first)
    plain = rate.unit is None and volume.unit in {None, "mL"} and "leading-zero" not in {rate.form, volume.form}
    seconds = volume.value / rate.value if rate.value else 0
    return plain and _LEAST <= rate.value <= _FASTEST and volume.value <= _MOST_ML and 1 <= seconds <= _LONGEST


def _pictures(past: Sequence[Item], tokens: Sequence[str], last: Item) -> bool:
    """ "…, two frames", "…, three a second", "…, frames two": how often pictures are taken, right behind."""
    behind = next((item for item in past if item.kind != "mark" and "settings" not in item.meanings), None)
    if behind is None or behind.kind != "quantity":
        return False
    if behind.figures["value"].unit is None and behind.before in _FRAMES:
        return True
    if behind.figures["value"].unit != "/s":
        return False
    return {*tokens[last.span[1] : behind.span[0]]} <= {",", "...", "and", "with", "at"}


def _headed(sentence: Sentence, item: Item, first: Quantity, second: Quantity) -> bool:
    """ "Injection, twenty by ten", "twenty by ten on the pump": what injects. A size names the width
    first, which is the smaller.
    """
    if item.kind == "device" and first.value <= second.value:
        return False
    if item.kind == "device" and any("by pump" in each.meanings for each in sentence.items):
        return True
    end = item.span[0]
    while end and sentence.tokens[end - 1] in _LIGHT:
        end -= 1
    if end and sentence.tokens[end - 1] in _INJECTORS:
        return end <= _FEW
    return end <= _FEW and any(each.span[1] == end and is_picture(each) for each in sentence.items)
