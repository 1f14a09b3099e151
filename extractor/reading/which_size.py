"""Which size of a device a figure is: in "stiff thirty-five, two-sixty" how thick a wire is, then how long."""

from collections.abc import Sequence
from dataclasses import replace

from extractor.lexicon import Device
from extractor.model import Quantity
from extractor.reading.parts import DEFINITE, LIGHT, OF, SAID_AS, Part, before_words
from extractor.reading.quantities import Figure, is_beside_noun
from extractor.reading.tokens import PUNCTUATION, Token
from extractor.sizes import (
    DRAINING,
    LENGTHS,
    LONG_MM,
    OPENED,
    PLAIN_MILS,
    TENFOLD,
    THICKEST,
    WIDEST_MICRO,
    in_thousandths,
    is_thickness,
    lengths,
)

#: No balloon or stent said in digits ("two seven five") is wider, mm: common practice, no source.
_SMALL = 6
#: Embolics told by the mil, and the most a figure of them without a unit can be, mL: common practice, no source.
_LIQUIDS, _MOST_LIQUID = {"glue", "foam", "gelatin", "liquid embolic"}, 12
#: Catheters called by their gauge alone, "five cobra", are no wider, Fr: common practice, no source.
_WIDEST_CALLED = 8
#: After a number right behind a noun, these let it be the size of that device.
_AFTER_SIZE = frozenset(
    """
    , . ... ! ? please and with is 's it out in over through up across down goes comes came went has this now again for
    also passed removed withdrawn placed inserted
    """.split()
)
#: Sizes of particles in micron, said without the unit: common practice, no source.
_GRAINS = range(100, 1501, 50)
#: A bare number as short, cm, after "the" is rather a gauge: "the six, six French". Common practice, no source.
_SHORTEST_BARE = 10
#: What is injected goes this way; a number after it is of that.
_PASSED = {"through", "via", "down", "from", "by"}
#: Before a bare number right before "balloon": it is how wide that is.
_A = {"a", "an", "another", "no"}
_THIS = DEFINITE - {"both", "these", "those"}
_ONCE_MORE = frozenset("again now then and with by".split())
#: … with no such word before it, where one of these follows.
_GOES = PUNCTUATION | set("again inside in into through across goes back up to at now over there once please".split())
#: Devices told by their gauge.
_GAUGED = {"sheath", "dilator", "drain"}

#: Wires that are told by how thick they are.
_PLAIN_WIRES = frozenset({"wire", "microwire", "safety wire"})


def keys_of(figure: Figure, noun: Device | None, group: list[Part], tokens: Sequence[Token]) -> tuple[str, ...]:
    """Which values of a device a figure of one or two parts is; empty where it can be none."""
    if figure.shape == "size" and _is_wire_by_length(figure):
        return ("wire_diameter", "length")
    if figure.shape == "size":
        return ("gauge", "length") if _is_gauge_by_length(figure, noun) else ("diameter", "length")
    key = key_of(figure, noun, group, tokens)
    return (key,) if key else ()


def key_of(figure: Figure, noun: Device | None, group: list[Part], tokens: Sequence[Token]) -> str | None:
    """Which value of a device a figure is, or None where it can be none."""
    if figure.shape == "pair":
        return None
    if figure.shape == "size":
        if _is_wire_by_length(figure):
            return "wire_diameter" if noun is None or noun.name in _PLAIN_WIRES else None
        if _is_gauge_by_length(figure, noun):
            return "gauge"
        return "diameter" if noun is None or noun.kind in {"inflation", "stent", "embolise"} else None
    if (said := said_as(tokens, figure, noun)) is not None:
        return said
    quantity = figure.parts[0]
    name, kind = (noun.name, noun.kind) if noun else ("", "")
    if quantity.unit == "[Ch]":
        closes = kind != "embolise" or name == "plug"  # one told by its gauge closes the puncture
        return "gauge" if kind != "inflation" and closes and name not in {"wire", "needle"} else None
    if quantity.unit == "[in_i]" and name in _PLAIN_WIRES and quantity.value in PLAIN_MILS:
        return "wire_diameter"  # "a thirty-five inch wire"
    if quantity.unit == "[in_i]" and quantity.value >= 3:
        return "gauge" if name in {"sheath", "catheter", "dilator", "guide catheter", "microcatheter"} else None
    wires = name == "wire" or (not name and any(p.qualifier and p.qualifier.stands_for == "wire" for p in group))
    if quantity.value in TENFOLD and quantity.unit is None and not wires:
        return None
    if is_thickness(figure.parts[0]):
        return "wire_diameter" if name in {"", *_PLAIN_WIRES, "pressure wire", "guide catheter"} else None
    if quantity.unit == "cm":
        return "length" if kind in {"", "insert", "stent", "inflation", "embolise"} else None
    if quantity.unit == "mm":
        if kind in {"inflation", "stent", "embolise"}:
            return "length" if followed_by_long(tokens, figure) else "diameter"
        if kind == "insert" and quantity.value >= LONG_MM and name not in OPENED:
            return "length"  # "nine hundred millimetres"
        return "diameter" if name in {"filter", "snare"} else None
    if quantity.unit == "mL":
        held = figure.last < len(tokens) and tokens[figure.last].text in {"syringe", "syringes", "a", "per"}
        return "volume" if kind == "embolise" and not held else None
    if quantity.unit is None and name in _LIQUIDS and 0 < quantity.value <= _MOST_LIQUID:  # "point three of glue"
        return "volume" if figure.last < len(tokens) and tokens[figure.last].text == "of" else None
    of = quantity.unit is None and figure.first and tokens[figure.first - 1].text in OF
    beside = tokens[figure.last].text if figure.last < len(tokens) else ""
    beside = beside if beside.endswith(("wire", "guide")) else ""
    wire = name or ("wire" if any(p.qualifier and p.qualifier.stands_for == "wire" for p in group) else "")
    called = any(p.qualifier and p.qualifier.stands_for == "wire" and p.first > figure.first for p in group)
    if (
        quantity.unit is None
        and (of or beside or called or _right_after(tokens, figure, group))
        and is_bare_thickness(quantity, wire)
    ):
        return "wire_diameter"  # "the guide of eighteen", "the eighteen wire", "a wire eighteen", "a stiff thirty-five"
    if of and name in OPENED:
        return "diameter"  # "a filter of six"
    before = tokens[figure.first - 1].text if figure.first else ""
    next_to = name == "balloon" and figure.last < len(tokens) and tokens[figure.last].text == "balloon"
    if next_to and quantity.unit is None and 2 <= quantity.value <= 40:
        behind = tokens[figure.last + 1].text if figure.last + 1 < len(tokens) else "."
        if before in _A | _THIS or (
            before in PUNCTUATION | _ONCE_MORE | {""} and quantity.value >= 3 and behind in _GOES
        ):
            return "diameter"  # "a twelve balloon", "that five balloon again", "Eight balloon through it"
    in_digits = quantity.form in {"digits", "spelled"} and quantity.value <= _SMALL
    if name in {"balloon", "stent"} and quantity.unit is None and in_digits and is_beside_noun(tokens, figure.last):
        return "diameter"  # "two oh balloon, please"
    if name == "particles" and quantity.unit is None and quantity.value in _GRAINS:
        return "diameter"  # "particles, five hundred"
    if quantity.unit is None and quantity.form in {"cardinal", "spelled", "digits", "decimal", "fraction"}:
        return _bare(figure, noun, group, tokens)
    return None


def said_as(tokens: Sequence[Token], figure: Figure, noun: Device | None) -> str | None:
    """ "the stent graft, diameter twenty-eight, length one hundred forty": which size is told in so many words."""
    sized = noun is not None and noun.kind in {"inflation", "stent", "embolise"} and figure.shape == "one"
    if not sized or figure.parts[0].unit not in {None, "mm", "cm"} or not figure.first:
        return None
    return SAID_AS.get(tokens[figure.first - 1 - (tokens[figure.first - 1].text == "of")].text)


def _is_wire_by_length(figure: Figure) -> bool:
    """ "oh three five by one eighty": a wire's thickness in inches by its length in centimetres."""
    thick, length = figure.parts[0], figure.parts[1]
    plain = thick.form == "leading-zero" or (thick.form == "decimal" and 0.008 <= thick.value <= 0.052)
    low, high = LENGTHS["wire"]
    return plain and thick.value <= THICKEST and length.unit in {None, "cm"} and low <= length.value <= high


def _is_gauge_by_length(figure: Figure, noun: Device | None) -> bool:
    """ "ureteric stent, six by twenty-six", "sheath, six by forty-five": French by centimetres."""
    if noun is None or not (noun.kind == "insert" or noun.nickname in DRAINING):
        return False
    gauge, length = figure.parts
    low, high = lengths(noun.name, True)
    told = gauge.unit in {None, "[Ch]"} and length.unit in {None, "cm"}
    return told and 1.5 <= gauge.value <= 30 and max(low, 5) <= length.value <= high


def followed_by_long(tokens: Sequence[Token], figure: Figure) -> bool:
    """ "forty long", "forty of length"."""
    after = [token.text for token in tokens[figure.last : figure.last + 2]]
    return after[:1] == ["long"] or after in (["of", "length"], ["in", "length"])


def _bare(figure: Figure, noun: Device | None, group: list[Part], tokens: Sequence[Token]) -> str | None:
    """ "three hundred long", "the forty-five", "stiff oh three five, two-sixty": a length in cm nobody said."""
    value = figure.parts[0].value
    wired = any(piece.figure and is_thickness(piece.figure.parts[0]) for piece in group) or any(
        piece.qualifier and piece.qualifier.stands_for == "wire" for piece in group
    )
    gauged = any(piece.figure and piece.figure.parts[0].unit == "[Ch]" for piece in group) or (
        noun is not None and noun.name == "microcatheter" and _gauge_before(figure, group)
    )
    name = noun.name if noun else "wire" if wired else "sheath" if gauged else ""
    if wired and name == "guide catheter":
        name = "wire"  # "the guide, zero thirty-five, of two hundred sixty"
    if name == "stent" and not gauged:
        return None
    if name in {"filter", "snare"} and 3 <= value <= 45 and figure.first and tokens[figure.first - 1].text == "of":
        return "diameter"  # "a filter of six"
    if name == "plug" and 4 <= value <= 30 and figure.last < len(tokens) and tokens[figure.last].text != "plugs":
        return "diameter"  # "a twelve plug"
    if (
        "same" in {token.text for token in tokens[max(0, figure.first - 2) : figure.first]}
        and name.endswith(("catheter", "sheath"))
        and 2 <= value <= 14
    ):
        return "gauge"
    if name.endswith("catheter") and figure.first and tokens[figure.first - 1].text == "of" and 1.5 <= value <= 9:
        return "gauge"  # "the micro of two point eight"
    if not gauged and name in _GAUGED and figure.first and tokens[figure.first - 1].text == "of" and 3 <= value <= 26:
        return "gauge"  # "the sheath of eight"
    if not gauged and name in _GAUGED and figure.first and tokens[figure.first - 1].text == "a" and 3 <= value <= 26:
        return "gauge"  # "your own sheath, a six"
    passed = before_words(tokens, group[0].first)[1] in _PASSED  # "hand run through the micro, three"
    if not gauged and not passed and _said_as_gauge(figure, name, tokens, _right_after(tokens, figure, group)):
        return "gauge"
    if name == "catheter" and 3 <= value <= _WIDEST_CALLED and not value % 1 and _leads_name(figure, group, tokens):
        return "gauge"  # "five cobra"
    small = min(figure.parts[0].alternatives, default=0)
    if (
        name == "microcatheter"
        and figure.parts[0].form in {"digits", "spelled"}
        and 1.5 <= small <= WIDEST_MICRO < value
    ):
        return "gauge"  # "two four micro"
    low, high = lengths("" if name == "sheath" and not noun else name, gauged)
    if name and low <= value <= high:
        before = tokens[figure.first - 1].text if figure.first else ""
        if (
            followed_by_long(tokens, figure)
            or before in {"by", "length"}
            or (before in {"the", "a"} and value >= _SHORTEST_BARE)
            or (before == "of" and value >= low)
            or (wired and value >= 100)
            or (gauged and value >= 20)
            or (
                gauged and value >= _SHORTEST_BARE and _before_noun(tokens, figure.last, name)
            )  # "French, eleven sheath"
        ):
            return "length"
    return None


def _leads_name(figure: Figure, group: list[Part], tokens: Sequence[Token]) -> bool:
    """Whether a number stands right before the name of one device, and begins what is said of it."""
    named = any(
        piece.device and piece.first == figure.last and tokens[piece.last - 1].text[-1] != "s" for piece in group
    )
    before = tokens[figure.first - 1].text if figure.first else "."
    return named and before in PUNCTUATION | {"a", "the", "with", "give", "and", "my"}


def _gauge_before(figure: Figure, group: list[Part]) -> bool:
    """ "microcatheter two point seven, one hundred thirty": a bare number before this one is its gauge."""
    return any(
        piece.figure is not None
        and piece.figure.first < figure.first
        and piece.figure.parts[0].unit is None
        and 1.5 <= piece.figure.parts[0].value <= 3.5
        for piece in group
    )


def _said_as_gauge(figure: Figure, name: str, tokens: Sequence[Token], beside: bool) -> bool:
    """ "angled catheter, five, and a wire"; "micro, two point four": right after the device, with nothing after it."""
    thin = name == "microcatheter" or (name == "catheter" and beside and figure.parts[0].value % 1 > 0)
    low, high = (1.5, WIDEST_MICRO) if thin else (3, 26)  # "support catheter two point six"
    sized = name.endswith("catheter") or name in _GAUGED
    if sized and _before_noun(tokens, figure.last, name):
        return low <= figure.parts[0].value <= high
    after = tokens[figure.last].text if figure.last < len(tokens) else "."
    first = figure.first - 1
    while first > 0 and tokens[first].text in LIGHT:
        first -= 1
    ends = after in {",", ".", "and", "with", "please", "..."}
    if sized and low <= figure.parts[0].value <= high and beside:
        return True
    return sized and low <= figure.parts[0].value <= high and tokens[first].text == "," and ends


def _right_after(tokens: Sequence[Token], figure: Figure, group: list[Part]) -> bool:
    """ "wire thirty-five, please", "sheath six is out", "a wire, eighteen this time": a number right after the noun, as
    many say it, that ends there or goes on with what became of the device; not "over the wire, fourteen".
    """
    definite, where = before_words(tokens, group[0].first)
    named = [piece.last for piece in group if piece.device or piece.qualifier]
    after = tokens[figure.last].text if figure.last < len(tokens) else "."
    if figure.first in named:
        return after in _AFTER_SIZE and not (definite and where)
    comma = figure.first - 1 in named and tokens[figure.first - 1].text == ","
    wires = any(
        piece.device.name.endswith("wire") if piece.device else piece.qualifier and piece.qualifier.stands_for == "wire"
        for piece in group
    )
    ends = after in ({"please", "this", ",", ".", ""} if wires else {"please", "this"})
    return comma and ends and not (definite or where)


def _before_noun(tokens: Sequence[Token], last: int, name: str) -> bool:
    """ "five sheath": a number right before the noun, of one thing."""
    return last < len(tokens) and name in _GAUGED and tokens[last].text in _GAUGED | {"introducer"}


def is_bare_thickness(quantity: Quantity, name: str) -> bool:
    """Whether a bare number is the size of a wire in thousandths of an inch."""
    return name in {"wire", "microwire", "guide catheter"} and in_thousandths(quantity)


def figures_of(figure: Figure, noun: Device | None, group: list[Part], tokens: Sequence[Token]) -> dict[str, Quantity]:
    """A figure of a device -> its values in their units, marked where the unit was not said or cannot be meant."""
    if figure.shape == "size":
        a, b = figure.parts
        if _is_wire_by_length(figure):
            return {"wire_diameter": replace(a, unit="[in_i]"), "length": b.in_unit("cm")}
        if _is_gauge_by_length(figure, noun):
            return {"gauge": a.in_unit("[Ch]"), "length": b.in_unit("cm")}
        out = {"diameter": a, "length": b}
        if figure.count is not None:
            out["count"] = Quantity(figure.count, "{count}", a.words, a.heard)
        return out
    key = key_of(figure, noun, group, tokens)
    if key is None:
        return {}
    quantity = figure.parts[0]
    if key == "diameter" and quantity.unit is None and noun is not None and noun.name == "particles":
        others = tuple(other / 1000 for other in quantity.alternatives)
        return {key: quantity.flagged("unit-assumed", value=quantity.value / 1000, unit="mm", alternatives=others)}
    if said_as(tokens, figure, noun):
        return {key: quantity}
    if key == "wire_diameter" and quantity.unit == "[in_i]" and quantity.value >= 1:
        value = round(quantity.value / 1000, 4)
        return {key: quantity.flagged("unit-guessed", value=value, alternatives=(quantity.value,))}
    unit = {"wire_diameter": "[in_i]", "length": "cm"}.get(key)
    if key == "gauge" and quantity.unit == "[in_i]":  # "a six-inch sheath" was six French
        return {key: quantity.flagged("unit-guessed", unit="[Ch]")}
    if key == "wire_diameter" and quantity.value >= 1 and quantity.unit is None:
        return {key: quantity.flagged("unit-assumed", value=quantity.value / 1000, unit=unit, alternatives=())}
    if key == "diameter" and quantity.unit is None:
        return {key: quantity.in_unit("mm")}
    if key == "wire_diameter" and quantity.value in TENFOLD:
        value, other = round(quantity.value / 10, 4), quantity.value
        return {key: quantity.flagged("unit-guessed", value=value, unit=unit, alternatives=(other,))}
    if key == "gauge" and quantity.form == "decimal" and round(quantity.value * 100) % 10 == 1:
        value, other = (
            round(quantity.value - 0.01, 2),
            quantity.value,
        )  # "the two point seven one" is of two point seven
        return {key: quantity.flagged("two-readings", value=value, alternatives=(other,)).in_unit("[Ch]")}
    if key == "gauge" and noun is not None and noun.name == "microcatheter":
        small = next((other for other in quantity.alternatives if other <= WIDEST_MICRO < quantity.value), None)
        if small is not None:  # "two four French"
            flags = tuple(flag for flag in quantity.flags if flag != "two-readings")
            return {key: replace(quantity, value=small, flags=flags, alternatives=()).in_unit("[Ch]")}
    if key == "gauge":
        return {key: quantity.in_unit("[Ch]")}
    return {key: replace(quantity, unit=quantity.unit or unit)}
