"""How many of one size are meant: "two eight by twenties", "five by ten, two pieces", "four by ten times two"."""

from dataclasses import replace

from extractor.model import Item, Quantity
from extractor.reconciling.story import Story

#: Before a coil's size: a figure behind it is its place in a row.
_IN_A_ROW = frozenset("a an first second third fourth last one two another number".split())
_NUMBERS = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6}
#: After a number: how many coils there are.
_OF_THEM = frozenset("more small short long big little tiny coils pieces together further extra identical".split())


def _times(story: Story, item: Item) -> Quantity | None:
    """ "four by ten times two": how many of that size."""
    figure = story.after()
    if figure is None or figure.kind != "quantity" or figure.before != "times" or not _is_number(figure):
        return None
    figure.used = True
    return replace(figure.figures["value"], unit="{count}")


def count_of(story: Story, item: Item) -> Quantity | None:
    """How many, where it is said: "one coil", "two eight by twenties", "two more of six by fifteen", "one of those"."""
    if "count" in item.figures:
        return item.figures["count"]
    said = item.text.split()
    if item.figures and (times := _times(story, item)) is not None:
        return times
    if said[0] in _NUMBERS and said[0] not in {"a", "one"} and "ones" in said[1:5]:  # "three small ones, three by five"
        return Quantity(float(_NUMBERS[said[0]]), "{count}", item.words, said[0])
    before = story.before()
    if before is not None and before.kind == "quantity" and not before.used:
        adjoining = before.span[1] == item.span[0] or before.after in {"more", "of", "further", "extra"}
        if adjoining and item.span[0] - before.span[1] <= 2 and _is_number(before):
            before.used = True
            return replace(before.figures["value"], unit="{count}")
    for other in story.behind():  # "two more coils up front, three by five"
        if other.kind == "quantity" and not other.used and _is_number(other) and other.after in _OF_THEM:
            other.used = True
            return replace(other.figures["value"], unit="{count}")
        if other.kind == "device":
            counted_coils = other.role == "embolise" and other.figures.keys() == {"count"}
            if counted_coils:
                return other.figures["count"]
            break
    for other in story.ahead():
        if other.kind == "quantity" and _is_number(other) and _says_how_many(story, item, other):
            other.used = True
            return replace(other.figures["value"], unit="{count}")
        if other.kind == "pronoun" and other.name == "one" and story.sentence.texts & {"those", "them", "these"}:
            return Quantity(1.0, "{count}", other.words, other.text)
        if other.kind not in {"mark", "place", "side", "part"} and other.text != "to":
            return None
    return None


def _says_how_many(story: Story, item: Item, figure: Item) -> bool:
    """ "five by ten, two pieces", "four by eight, three of these", "three by six, four in number", "six by twenty,
    two."; of "a six by ten, one" or "first six by ten, one" the figure is its place in the row.
    """
    if figure.after in {"of", "pieces", "piece"}:
        return True
    following = story.sentence.tokens[figure.span[1] : figure.span[1] + 2]
    if following == ("in", "number"):
        return True
    one_of_row = _IN_A_ROW & {*story.sentence.tokens[max(0, item.span[0] - 2) : item.span[0]], *item.text.split()}
    at_once = figure.before == "," and figure.span[0] - item.span[1] == 1 and figure.after in {",", ".", ";"}
    behind = [other for other in story.ahead() if other.span[0] > figure.span[0] and other.kind == "quantity"]
    return at_once and not one_of_row and not behind


def number_said(item: Item) -> int:
    return int(item.figures["count"].value) if "count" in item.figures else 1


def _is_number(item: Item) -> bool:
    """Whether a figure may say how many: a small whole number without a unit."""
    said = item.figures["value"]
    return said.unit is None and said.value in range(1, 21)


def counted(said: Quantity | None, item: Item) -> Quantity:
    """How many one letting-go is: one, as it was said or, where no number was, as one word of it tells."""
    if said is not None:
        return replace(said, value=1.0)
    return Quantity(1.0, "{count}", item.words, item.text, flags=("one-taken",))
