"""How long a puncture was pressed in all, where several times are told: more is added, what was planned gives way to
what it took, and a longer time with the bleeding stopped is how long it lasted.
"""

from dataclasses import replace

from extractor.model import Item, Quantity
from extractor.reconciling.story import Story

_MORE = frozenset("more another further additional extra again".split())
_STOPPED = frozenset("dry haemostasis hemostasis stopped stops stop".split())
#: Behind a time that somebody settles on, "twenty, then", "eight'll do"; before one that it took.
_SETTLED = {
    ("then",), (",", "then"), (",", "so"), ("'ll", "do"), ("will", "do"), ("it", "is"),
    ("is", "fine"),
}  # fmt: skip
_TOOK = frozenset("had took needed got".split())
_PLANNED = frozenset("planned meant wanted supposed intended".split())


def pressed_in_all(story: Story, item: Item, known: Quantity) -> Quantity | None:
    """A further time of one pressing -> what it lasted so far, to be looked at; None where that cannot be said."""
    said = item.figures["value"]
    if said.unit not in {None, known.unit}:
        return None
    tokens, (first, past) = story.sentence.tokens, item.span
    texts = story.sentence.texts
    if _MORE & {*tokens[max(0, first - 1) : first], *tokens[past : past + 1]}:
        both = replace(said, value=known.value + said.value, unit=known.unit)
        return both.flagged("conflict", alternatives=(known.value, said.value))
    planned = any(token in _PLANNED for token in tokens[:first])
    behind = tuple(tokens[past : past + 2])
    near = said.value != known.value and known.value / 3 <= said.value <= 3 * known.value
    settled = behind in _SETTLED or behind[:1] in _SETTLED or _TOOK & {*tokens[max(0, first - 2) : first]}
    timed = said.unit or tokens[max(0, first - 1)] in {"at", "after"}
    stopped = said.value > known.value and texts & _STOPPED and timed
    if planned or stopped or (settled and near and not story.sentence.question):
        return said.flagged("conflict", unit=known.unit, alternatives=(known.value,))
    return None


def presses_for(story: Story) -> bool:
    """ "Press on that for ten minutes.": the hole is closed by hand, and whatever was up is down."""
    timed = any(other.figures["value"].unit == "min" for other in story.mentions("quantity"))
    return timed and story.says("press") and not story.says("inflate", "hold", "deflate")
