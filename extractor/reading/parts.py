"""The pieces of a device's name, nouns, qualifiers and sizes, and what stands before them."""

from collections.abc import Sequence
from dataclasses import dataclass

from extractor.lexicon import Device, Qualifier
from extractor.reading.quantities import FILLERS, Figure
from extractor.reading.terms import Term
from extractor.reading.tokens import PUNCTUATION, Token

#: Words inside the name of a device that change nothing.
LIGHT = FILLERS | set(
    """
    a an the of our one that this those also same really plain proper little wee nice good ordinary usual first
    second third piece ones type gauge is it 's s these his her my your
    """.split()
)
DEFINITE = {"the", "that", "this", "our", "my", "both", "these", "those", "same", "his", "her", "your"}
#: Before a mention, these tell nothing of where it is.
_SKIPPED = LIGHT | DEFINITE | {"its", "used", "previously", "aforementioned", "mentioned", "identical"}
#: The size of a balloon, stent or coil by the word said before it.
SAID_AS = {"diameter": "diameter", "width": "diameter", "length": "length"}
#: "The upper part of the stent": what is spoken of is a place in it.
_PARTS_OF = frozenset(
    "part parts end ends edge edges half third top bottom middle portion segment margin mouth inside ostium rim".split()
)
#: A device named after one of these is where something else goes.
WHERE = frozenset(
    """
    with instead over through on down along behind across from into via onto beyond past inside around above below
    within beside off of for up round to before after
    """.split()
)
#: Before "for": what comes after is asked for.
_ASKING = frozenset("time ask asks asked asking call calling wait waiting trade trading reach reaching".split())
#: What is called so was there before: "in the old graft" is a place as well.
_EARLIER = {"old", "existing", "previous", "earlier"}
#: A stent or balloon named after one of these is where something else goes: "inside the stent, six by forty".
AROUND = {"before", "after", "in", "into", "inside", "through", "within", "beyond", "beside", "below", "above"}
#: Said of a device that is asked for; its size may follow.
COURTEOUS = {"please", "kindly"}
#: Between a device and its size.
OF = {"of", "with"}


@dataclass(slots=True, eq=False)
class Part:
    """A piece of a device's name: a noun, a qualifier or a size."""

    first: int
    last: int
    device: Device | None = None
    qualifier: Qualifier | None = None
    figure: Figure | None = None


def part_of(tokens: Sequence[Token], entry: Term | Figure) -> Part:
    """A piece from where it begins: a figure put right begins with the slip ("forty-five… sorry, fifty-five")."""
    if isinstance(entry, Term):
        for table, found in entry.found:
            if table == "device" and isinstance(found, Device):
                return Part(entry.first, entry.last, device=found)
            if table == "qualifier" and isinstance(found, Qualifier):
                return Part(entry.first, entry.last, qualifier=found)
        return Part(entry.first, entry.last)  # any other term: a wall between devices
    first = entry.first
    while first and tokens[first - 1].word >= entry.parts[0].words[0]:
        first -= 1
    return Part(first, entry.last, figure=entry)


def is_one(tokens: Sequence[Token], part: Part) -> bool:
    """Whether a piece is the word "one", which stands for a noun: "the long one"."""
    return part.figure is not None and part.last - part.first == 1 and tokens[part.first].text == "one"


def before_words(tokens: Sequence[Token], first: int, words: frozenset[str] | None = WHERE) -> tuple[bool, str]:
    """What stands before a mention: whether it is a known one ("the", "that"), and the word that makes it a place
    ("over"): one of ``words``, or with None any word.
    """
    definite = named = False
    old = first < len(tokens) and tokens[first].text in _EARLIER
    index = first - 1
    while index >= 0 and first - index <= 5:
        text = tokens[index].text
        if text in PUNCTUATION:
            break
        named = named or text in {"a", "an"}  # "that's an occlusion" tells of a new one
        if named and text in {"that", "this"}:
            return definite, ""  # "for that a catheter"
        if text == "for" and index and tokens[index - 1].text in _ASKING:
            return definite, ""  # "I ask for a wire"
        if text == "the" and index and tokens[index - 1].text in {"that", "this"}:
            return True, ""  # "for that the catheter"
        if text == "of" and index and tokens[index - 1].text in _PARTS_OF and words is not None:
            return definite, "of"
        definite = definite or (text in DEFINITE and not named)
        if text in _SKIPPED or text in _EARLIER:
            old = old or text in _EARLIER
            index -= 1
            continue
        text = "inside" if old and text == "in" else text
        return definite, text if words is None or text in words else ""
    return definite, ""
