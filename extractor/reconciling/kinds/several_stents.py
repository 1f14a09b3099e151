"""How many stents of one size a sentence names: "two overlapping seven by sixty stents", "a pair of them", "two stents,
both seven by sixty".
"""

from extractor.model import Item, Quantity
from extractor.reconciling.story import Story

NUMBERS = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "pair": 2, "couple": 2}
#: What may stand between the number and the size.
_SUCH = frozenset("overlapping identical similar such of further more kissing equal telescoping adjacent".split())
#: Behind the size and the number: "six by forty, two of them".
_OF_THEM = {("of", "them"), ("of", "these"), ("of", "those")}
#: Of all of those just named.
_ALL = {"both", "all", "each"}


def several(story: Story, item: Item) -> Quantity | None:
    """How many of a sized stent, where the words around it say so and its own do not."""
    if "count" in item.figures or not item.figures.keys() >= {"diameter", "length"}:
        return None
    tokens, first = story.sentence.tokens, item.span[0]
    each = tokens[item.span[1] : item.span[1] + 1] == ("each",)
    named = _plural_before(story, item)
    if named is not None and (each or (item.span[0] and {*tokens[named.span[1] : first]} & _ALL)):
        return _number(named, named.text.split()[0])
    said = item.text.split()
    alone = not any("diameter" in other.figures for other in story.ahead())  # not "two stents, a … and a …"
    if alone and said[0] in NUMBERS and any(word.rstrip(",").endswith("s") for word in said[1:3]):
        return _number(item, said[0])
    behind = [token for token in tokens[item.span[1] :][:5] if token != ","]
    if behind[:1] and behind[0] in NUMBERS and tuple(behind[1:3]) in _OF_THEM:
        return _said(story, item, tokens.index(behind[0], item.span[1]))
    at = first - 1
    while at >= 0 and tokens[at] in _SUCH:
        at -= 1
    plural = item.text.rstrip(" ,").endswith("s") or each
    if not plural or at < 0 or at == first - 1 or tokens[at] not in NUMBERS:
        return None
    return _said(story, item, at)


def _said(story: Story, item: Item, at: int) -> Quantity | None:
    """The number that stands at a token; as a figure it has found its place."""
    for other in story.sentence.items:
        if other.kind == "quantity" and other.span[0] <= at < other.span[1]:
            other.used = True
    return _number(item, story.sentence.tokens[at])


def _plural_before(story: Story, item: Item) -> Item | None:
    """ "two stents, …": named by their number alone right before the size."""
    before = next((other for other in story.behind() if other.kind in {"device", "quantity"}), None)
    if before is None or before.role != "stent" or before.figures or not item.headless:
        return None
    said = before.text.split()
    return before if said[0] in NUMBERS and said[-1].rstrip(",").endswith("s") else None


def _number(item: Item, said: str) -> Quantity | None:
    number = NUMBERS.get(said)
    return Quantity(float(number), "{count}", item.words, said) if number else None
