"""How long a wire, sheath or catheter is, in a clause of its own behind what is told of it: "stiff wire beside, one
eighty", "nine goes up the left, twenty-five centimetres".
"""

from extractor.model import Item, Quantity
from extractor.reconciling.marks import FIGURE_ENDS
from extractor.reconciling.story import Story, Thing
from extractor.sizes import size_of

#: No wire of a case is shorter, cm, nor told to a finer step: common practice, no source. So high and with nothing
#: else to belong to, a bare number is of nothing but a wire.
_SHORTEST, _STEP = 110, 5
_COUNTED = {"cardinal", "digits", "spelled"}
#: What is done with figures that are no sizes.
_USES = {"run", "inflate", "deflate", "by hand", "by pump", "measure", "act", "gradient", "press", "total", "hold"}
#: Right behind it: "one eighty over ninety" is a pressure.
_LENGTH_ENDS = FIGURE_ENDS | {"long", "and", "please"}
_OTHERS = {"drug", "finding", "pair", "place"}


def length_of_named(story: Story, item: Item, named: Item) -> dict[str, Quantity]:
    """The length that a figure tells of a device named before it in the sentence, with nothing told of that yet."""
    if named.role != "insert" or "length" in named.figures or not _stands_alone(story, item, named):
        return {}
    return _length(named.name, item.figures["value"], named.figures)


def length_of_told(story: Story, item: Item, thing: Thing) -> dict[str, Quantity]:
    """The length that a figure tells of a device that this sentence told to be in or out."""
    last = next((other for other in story.behind() if other.kind == "device"), None)
    if thing.role != "insert" or thing.seen != story.number or last is None or "length" in thing.values:
        return {}
    if last.name and thing.name and last.name != thing.name:
        return {}
    return (
        _length(thing.name or "sheath", item.figures["value"], thing.values) if _stands_alone(story, item, last) else {}
    )


def _length(name: str, figure: Quantity, known: dict[str, Quantity]) -> dict[str, Quantity]:
    wire = name.endswith("wire")
    if figure.unit is None:
        fits = figure.value >= _SHORTEST and not figure.value % _STEP and figure.form in _COUNTED
        if not wire or not fits:
            return {}
    elif figure.unit != "cm":
        return {}
    found = size_of(name, figure, known)
    return dict((found,)) if found is not None and found[0] == "length" else {}


def _stands_alone(story: Story, item: Item, last: Item) -> bool:
    """Whether a clause holds nothing but the figure, and the sentence nothing that figures are told of but devices."""
    items = story.sentence.items
    clause = [other for other in story.clause() if other is not item and other.kind != "pronoun"]
    if clause or item.after not in _LENGTH_ENDS or story.sentence.question or item.status is not None:
        return False
    between = items[items.index(last) + 1 : story.index] if last in items else []
    if any(other.kind in {"quantity", "device"} | _OTHERS for other in between):
        return False
    return not any(other.kind in _OTHERS - {"place"} or other.meanings & _USES for other in items)
