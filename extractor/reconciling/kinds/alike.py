"""Sizes that a device has from another one: "in the same thickness", "a second stiff one"."""

from extractor.model import Item, Sentence
from extractor.reconciling.story import Story, Thing, carried
from extractor.reconciling.things import equal, fit

#: These tell one device from another of its kind.
_ORDINALS = {"first", "second", "third"}
#: After "same": in all it is like the one before it, or as thick.
_WHOLLY = {"length", "long", "type", "kind", "sort", "model", "flavor", "flavour", "make", "lengths"}
_ALIKE = {
    "thickness", "size", "gauge", "diameter", "again", "french", "width", "calibre", "caliber", "bore", "thick", "wide",
} | _WHOLLY  # fmt: skip
_SAME = {"same", "equal", "identical"}


def make_alike(story: Story, thing: Thing, unnamed: str) -> None:
    """ "in the same thickness", "a second stiff one": as thick as the one before it.
    ``unnamed``: what a gauge with no noun is of.
    """
    texts = story.sentence.texts
    named = {"new"} | _ORDINALS
    told = thing.qualifiers - named
    another = not thing.values and (bool(thing.qualifiers & named) or bool(_SAME & texts))
    if not another and not (_SAME & texts and texts & _ALIKE):
        return
    wholly = another or texts & _WHOLLY or ("size" in texts and not thing.values)
    numbers = {item.figures["value"].value for item in story.mentions("quantity") if item.before == "same"}
    for key in ("wire_diameter", "gauge", "length") if wholly else ("wire_diameter", "gauge"):
        alike = [
            other
            for other in story.things
            if other is not thing
            and (other.role, other.name or unnamed) == (thing.role, thing.name or unnamed)
            and key in other.values
            and (not another or other.qualifiers - named >= told)
            and (not numbers or numbers & {value.value for value in other.values.values()})  # "pigtail, same five"
        ]
        if not alike or key in thing.values:
            continue
        size = max(alike, key=lambda other: other.seen).values[key]
        if told or _SAME & texts:
            thing.values[key] = carried(size)
        elif all(equal(size, other.values[key]) for other in alike):
            thing.values[key] = carried(size).flagged("which-device")


def says_alike(sentence: Sentence) -> bool:
    """ "Same gauge, two sixty.": whether a sentence that names nothing says that a size is like another's."""
    named = any(item.kind in {"device", "drug", "finding", "pair"} for item in sentence.items)
    return not named and not sentence.question and bool(_SAME & sentence.texts and sentence.texts & _ALIKE)


def doubtful_sizes(story: Story, thing: Thing, item: Item | None) -> set[str]:
    """What comes out is told by a name that two in the patient bear: their sizes that differ, where neither was
    spoken of lately more than the other.
    """
    if item is None or item.figures or item.qualifiers & thing.qualifiers:
        return set()
    keys: set[str] = set()
    for other in story.things:
        if other is thing or other.where != "in" or fit(item, other) is None or other.name != thing.name:
            continue
        if thing.spots and other.spots and not thing.spots & other.spots:
            continue
        keys |= {
            key
            for key in thing.values.keys() & other.values.keys() & {"gauge", "wire_diameter"}
            if not equal(thing.values[key], other.values[key])
        }
    return keys
