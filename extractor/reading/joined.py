"""Which pieces are of one device: "seven French, forty-five, sheath" is one, "a sheath, oh three five wire" two."""

from collections.abc import Sequence

from extractor.lexicon import Device
from extractor.model import SIDES
from extractor.reading.apposed import is_exchanged
from extractor.reading.parts import AROUND, COURTEOUS, LIGHT, OF, SAID_AS, Part, before_words, is_one
from extractor.reading.quantities import CROSS, Figure
from extractor.reading.tokens import Token
from extractor.reading.which_size import is_bare_thickness, key_of, keys_of, said_as
from extractor.sizes import (
    is_thickness,
)

#: Before a stent: another thing is used on it.
_DILATE = frozenset(
    """
    dilate dilates dilated dilating postdilate postdilated postdilating redilate redilated balloon ballooned ballooning
    iron ironed mould moulded mold flare flared inflate treat treated
    """.split()
)
#: Units no size of a device has.
_NO_SIZE = {
    "mL", "mL/s", "atm", "bar", "kPa", "[psi]", "s", "min", "%", "[iU]", "mg", "g", "/s", "mm[Hg]",
}  # fmt: skip


def begins_another(tokens: Sequence[Token], group: list[Part], part: Part, following: Part | None) -> bool:
    """ "under ultrasound, eight French sheath": a size right before a noun is of that noun, not of the one before. So
    is the word before a wire's size: "a needle, floppy oh one eight".
    """
    if not (part.qualifier or part.figure):
        return False
    noun = next((piece.device for piece in group if piece.device), None)
    wire = following is not None and following.figure is not None and is_thickness(following.figure.parts[0])
    if wire and part.qualifier and following is not None and following.first == part.last:
        return tokens[group[-1].last].text == "," and noun is not None and not noun.name.endswith("wire")
    if part.figure is None or following is None or following.device is None or following.first != part.last:
        return False
    kind = following.device.kind
    other = kind != "insert" and noun is not None and noun.kind != kind  # "no stent, six by forty balloon"
    own = kind == "insert" if part.figure.shape == "one" else other and part.figure.shape == "size"
    return own and noun is not None and tokens[group[-1].last].text in {",", *COURTEOUS}


def joins(tokens: Sequence[Token], group: list[Part], part: Part) -> bool:
    """Whether a piece belongs to the device before it: nothing but light words (and, for sizes, a comma) between."""
    before = group[-1]
    if not (part.device or part.qualifier or part.figure) or not (before.device or before.qualifier or before.figure):
        return False
    between = [token.text for token in tokens[before.last : part.first]]
    if part.figure and COURTEOUS & {*between}:  # "micro, please, the two point seven"
        between = [",", *(text for text in between if text not in {",", *COURTEOUS})]
    if part.device:
        between = [text for text in between if text not in SIDES]
    if part.figure and between == ["and"] and before.figure and _is_also_of(before.figure, part.figure):
        between = []  # "eighteen French and thirty centimetres", "oh three five and one eighty"
    comma = "," in between
    rest = [text for text in between if text != ","]
    if part.qualifier and rest and rest[0] == "with" and not comma:
        rest = rest[1:]
    if (
        part.figure
        and len(rest) == 1
        and rest[0] in CROSS
        and before.figure
        and keys_of(before.figure, None, group, tokens) == ("gauge",)
    ):
        return part.figure.shape == "one"
    gauge = part.figure is not None and part.figure.parts[0].unit == "[Ch]"
    of = rest[:1] == ["from"] if gauge else False  # "the sheath from seven French"
    if part.figure and rest and (rest[0] in OF or of) and any(piece.device for piece in group):
        if rest[0] == "with" and (_is_dilated(tokens, group) or is_exchanged(tokens, group[0].first)):
            return False  # "we dilate the stent with a five by forty"
        rest = rest[1:]
    if part.figure and said_as(tokens, part.figure, next((piece.device for piece in group if piece.device), None)):
        rest = [text for text in rest if text not in SAID_AS and text != "and"]
    if any(text not in LIGHT for text in rest) or between.count(",") > 1:
        return False
    if part.figure and part.figure.parts[0].unit == "[Ch]" and comma and "it" in rest and len(group) == 1:
        return not before.figure or before.figure.parts[0].unit is not None  # "scrap the ten, it's the eight French"
    noun = next((piece.device for piece in group if piece.device), None)
    if part.device:
        if noun or comma:
            return False
        return size_fits(part.device, group)
    if part.figure:
        key = key_of(part.figure, noun, group, tokens)
        if key is None:
            return False
        keys = {other for piece in group if piece.figure for other in keys_of(piece.figure, noun, group, tokens)}
        if keys & set(keys_of(part.figure, noun, group, tokens)):
            return False
        if comma and not noun and not any(piece.figure for piece in group):
            return part.figure.shape == "size" and _stands_for_sized(group)
        if comma and noun and _is_place(tokens, group, part.figure, noun):
            return False
        return not (comma and key == "diameter" and noun and noun.kind == "insert")
    if any(piece.figure and piece.figure.parts[0].unit in _NO_SIZE for piece in group):
        return False
    named = part.qualifier is not None and part.qualifier.stands_for == "wire"
    size = group[0].figure if len(group) == 1 else None
    if comma and named and size is not None and is_thickness(size.parts[0]):
        return True  # "oh three five, hydrophilic, a hundred and fifty"
    if comma and named and size is not None and size.first and tokens[size.first - 1].text in {"a", "an", "the"}:
        return size.shape == "one" and is_bare_thickness(size.parts[0], "wire")  # "a thirty-five, hydrophilic"
    return not comma or noun is not None


def _is_place(tokens: Sequence[Token], group: list[Part], figure: Figure, noun: Device) -> bool:
    """ "inside the stent, six by forty", "a flap just past the stent, one centimetre": what is named is where something
    else goes or is, and so is no size behind a comma of it.
    """
    first = group[0].first
    while first and tokens[first - 1].text in SIDES:
        first -= 1
    where = before_words(tokens, first, None)[1]
    if figure.shape == "size":
        return where in AROUND
    long = figure.shape == "one" and figure.parts[0].unit in {"mm", "cm"} and noun.kind in {"stent", "inflation"}
    long = long and not any(piece.figure for piece in group)
    return long and where in AROUND | {"past", "at", "behind", "near"}


def _is_dilated(tokens: Sequence[Token], group: list[Part]) -> bool:
    """Whether what is named is what something is done to: "we post-dilate the stent"."""
    return any(token.text in _DILATE for token in tokens[max(0, group[0].first - 4) : group[0].first])


def _is_also_of(before: Figure, figure: Figure) -> bool:
    """Whether a figure after "and" may be another size of one device, "eleven centimetres and five French"; "six and
    seven French" are two of one kind.
    """
    unit = figure.parts[0].unit
    return unit in {"cm", None} or (unit == "[Ch]" and before.parts[0].unit == "cm")


def _stands_for_sized(group: list[Part]) -> bool:
    """ "self-expanding, ten by eighty": a word that stands for a stent or balloon, then its size."""
    return any(piece.qualifier and piece.qualifier.stands_for in {"stent", "balloon"} for piece in group)


def trails(tokens: Sequence[Token], group: list[Part], part: Part) -> bool:
    """ "the thirty centimetre one": the word that stands for the noun after a size."""
    return (
        is_one(tokens, part)
        and part.first == group[-1].last
        and any(piece.figure or piece.qualifier for piece in group)
    )


def is_light(tokens: Sequence[Token], group: list[Part], part: Part) -> bool:
    """Whether a piece changes nothing in the name of what goes in: "reverse curve, same five"."""
    named = any(piece.device and piece.device.kind == "insert" for piece in group)
    wall = not (part.device or part.qualifier or part.figure)
    return named and wall and all(token.text in LIGHT | COURTEOUS for token in tokens[part.first : part.last])


def size_fits(device: Device, group: list[Part]) -> bool:
    """Whether the sizes said before a noun can be its own."""
    for piece in group:
        if piece.figure and piece.figure.shape == "one":
            unit = piece.figure.parts[0].unit
            if unit in _NO_SIZE and not (unit == "mL" and device.kind == "embolise"):
                return False
            if device.known_only and device.kind == "stent":
                return False  # "sixteen millimetres of extension"
    return True
