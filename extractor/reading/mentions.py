"""Terms and figures of a sentence -> items: devices with their sizes, drugs with their doses, findings with their
measures.

"the stiff oh three five, two-sixty" is one wire; "six by forty" is a device nobody named; "five thousand of heparin"
is one drug.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import Literal

from extractor.lexicon import Device, Qualifier
from extractor.model import SIDES, Item, Quantity, Status
from extractor.reading.apposed import call_more, is_exchanged, is_more_of, is_renamed, parts_exchange
from extractor.reading.quantities import CROSS, FILLERS, Figure, is_beside_noun
from extractor.reading.terms import Term
from extractor.reading.tokens import PUNCTUATION, Token
from extractor.sizes import (
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

#: Words inside the name of a device that change nothing.
_LIGHT = FILLERS | set(
    """
    a an the of our one that this those also same really plain proper little wee nice good ordinary usual first
    second third piece ones type gauge is it 's s these his her my your
    """.split()
)
DEFINITE = {"the", "that", "this", "our", "my", "both", "these", "those", "same", "his", "her", "your"}
#: Before a mention, these tell nothing of where it is.
_SKIPPED = _LIGHT | DEFINITE | {"its", "used", "previously", "aforementioned", "mentioned", "identical"}
#: The size of a balloon, stent or coil by the word said before it.
_SAID_AS = {"diameter": "diameter", "width": "diameter", "length": "length"}
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
#: No balloon or stent said in digits ("two seven five") is wider, mm: common practice, no source.
_SMALL = 6
_OF_THE_DAY = {"morning", "afternoon", "evening", "night"}
#: Sizes of particles in microns, said as "the five hundreds": common practice, no source.
_MICRONS = range(100, 1300, 100)
#: Embolics told by the mil, and the most a figure of them without a unit can be, mL: common practice, no source.
_LIQUIDS, _MOST_LIQUID = {"glue", "foam", "gelatin", "liquid embolic"}, 12
#: No device is called by a greater number: "five thousand in" is a dose. Common practice, no source.
_MOST = 400
#: Catheters called by their gauge alone, "five cobra", are no wider, Fr: common practice, no source.
_WIDEST_CALLED = 8
#: After "number" so few count devices: common practice, no source.
_FIRST_FEW = 3
#: These stand for what was named before: "the long one", "the stiff fellow".
_FELLOWS = {"one", "fellow", "chap", "lad", "guy", "bloke", "brother"}
#: Before "for": what comes after is asked for.
_ASKING = frozenset("time ask asks asked asking call calling wait waiting trade trading reach reaching".split())
#: Before a size these leave open whether it is used.
_WONDERED = {"maybe", "perhaps", "possibly"}
#: What is called so was there before: "in the old graft" is a place as well.
_EARLIER = {"old", "existing", "previous", "earlier"}
#: Of these, a name may have one in its middle: "six French left guide".
#: Before a device, these make it one more of its kind.
_FURTHER = {"another", "second", "third", "fourth", "fifth", "fresh"}
#: These tell one device from another of its kind, now and later.
_ORDINALS = {"first", "second", "third"}
#: After a bare number that names a device: what became of it.
_STATES = frozenset(
    """
    in out off across up down on through going coming sitting inside pushing following ready loaded gone seated
    lying over round at away there open not deployed sliding back removed withdrawn passed placed inserted pulled taken
    come introduced advanced positioned parked peeled brought put exchanged swapped changed retrieved mounted locked
    """.split()
)
#: Between a number and what became of the device it names.
_VERBS = {"'s", "is", "are", "has", "was", "were", "have", "been", "being"}
_MOVES = {"goes", "comes", "come", "came", "went", "slid", "slides", "slipped", "popped"}
_AFTER_NAME = {
    ",", ".", "", "...", "!", "?", "please", "now", "next", "first", "again", "instead", "then", "and", "kindly", "is",
    "'s", "out", "in", "off", "down", "going", "so", "balloon", "inside", "at", "into", "across", "over",
    "sits", "lies", "stands", "follows", "once", "one"
}  # fmt: skip
#: After a number right behind a noun, these let it be the size of that device.
_AFTER_SIZE = frozenset(
    """
    , . ... ! ? please and with is 's it out in over through up across down goes comes came went has this now again for
    also passed removed withdrawn placed inserted
    """.split()
)
#: Before what became of it these change nothing: "nine already in".
_BY_NOW = {"already", "now", "also", "again", "finally", "just", "then"}
#: A stent or balloon named after one of these is where something else goes: "inside the stent, six by forty".
_AROUND = {"before", "after", "in", "into", "inside", "through", "within", "beyond", "beside", "below", "above"}
#: Sizes of particles in micron, said without the unit: common practice, no source.
_GRAINS = range(100, 1501, 50)


#: What a thing is called by its look alone may follow.
_BEFORE_LOOK = frozenset(", . ! ? ... ; and then the now".split()) | {""}
#: How a stent opens, by what it is called.
_MOUNTS: dict[str, Literal["balloon", "self"]] = {"self expanding": "self", "balloon mounted": "balloon"}
#: Between a size and such a word these change nothing; after it the size's clause ends. Set by hand, no source.
_BEFORE_ADJECTIVE = frozenset("the a it it's 's is this that one please also on for you me him her us".split()) | {","}
_AFTER_ADJECTIVE = frozenset(", . ... - ? ! please one ones kind sort type again and".split()) | {""}
_NEAR_ADJECTIVE = 6
#: Between a device and a size: the size is of something else.
_PARTING = frozenset(
    "and but then with or not out off plus through over for against ballooned dilated angioplastied redilated".split()
)
#: Among so many different words after a device may stand how long it is; set by hand, no source.
_LENGTH_NEAR = 8
#: A bare number as short, cm, after "the" is rather a gauge: "the six, six French". Common practice, no source.
_SHORTEST_BARE = 10
#: What is injected goes this way; a number after it is of that.
_PASSED = {"through", "via", "down", "from", "by"}


#: Said of a device that is asked for; its size may follow.
_COURTEOUS = {"please", "kindly"}
#: Between a device and its size.
_OF = {"of", "with"}
#: Before a bare number right before "balloon": it is how wide that is.
_A = {"a", "an", "another", "no"}
_THIS = frozenset("the that this same our my your his her".split())
_ONCE_MORE = frozenset("again now then and with by".split())
#: … with no such word before it, where one of these follows.
_GOES = PUNCTUATION | set("again inside in into through across goes back up to at now over there once please".split())
#: What begins to put sizes right, and how many words the reason may have.
_NOS, _LONGEST_WHY = {"no", "nope", "wait", "sorry", "correction"}, 9
#: Before a stent: another thing is used on it.
_DILATE = frozenset(
    """
    dilate dilates dilated dilating postdilate postdilated postdilating redilate redilated balloon ballooned ballooning
    iron ironed mould moulded mold flare flared inflate treat treated
    """.split()
)
#: Devices told by their gauge.
_GAUGED = {"sheath", "dilator", "drain"}
#: Units no size of a device has.
_NO_SIZE = {
    "mL", "mL/s", "atm", "bar", "kPa", "[psi]", "s", "min", "%", "[iU]", "mg", "g", "/s", "mm[Hg]",
}  # fmt: skip


def device_items(
    tokens: Sequence[Token], terms: Sequence[Term], figures: Sequence[Figure]
) -> tuple[list[Item], set[int]]:
    """Terms and figures of one sentence -> items of devices with their sizes, and the start tokens of figures they
    took.
    """
    groups: list[list[_Part]] = []
    pieces: list[Term | Figure] = [*terms, *figures]
    parts = sorted((_part(tokens, piece) for piece in pieces), key=lambda part: part.first)
    for part, following in zip_longest(parts, parts[1:]):
        aside = part.last - part.first == 1 and tokens[part.first].text in SIDES
        if aside or (groups and part.last <= groups[-1][-1].last):
            continue
        if groups and _begins(tokens, groups[-1], part, following):
            groups.append([part])
        elif groups and (_joins(tokens, groups[-1], part) or _trails(tokens, groups[-1], part)):
            groups[-1].append(part)
        elif not (groups and _light(tokens, groups[-1], part)):
            groups.append([part])
    items: list[Item] = []
    taken: set[int] = set()
    dosed = {term.last for term in terms if any(table == "drug" for table, _ in term.found)}
    for group in groups:
        if not any(part.device or part.qualifier or part.figure for part in group):
            continue
        item = _device(tokens, group)
        if (described := _described(tokens, items, group)) and item is None:
            for sized in described:
                _call_by(sized, group)
            continue
        if item is not None and "bare" in item.figures and item.span[0] in dosed:
            continue  # "clopidogrel three hundred was taken": its dose
        if item is not None and item.role == "insert" and "new" in item.qualifiers:
            taken |= {figure.first for figure in figures if figure.last == item.span[0] and figure.parts[0].unit == "s"}
        if items and (width := _late_width(tokens, items[-1], group)) is not None:
            items[-1].figures["diameter"] = width
            taken |= {part.figure.first for part in group if part.figure}
            continue
        passed = items[-2:][::-1] if items and items[-1].where else items[-1:]  # "a wire down the catheter, the 300"
        longer = next(((one, length) for one in passed if (length := _late_length(tokens, one, group))), None)
        if longer is not None and (item is None or "bare" in item.figures):
            longer[0].figures["length"] = longer[1]
            taken |= {part.figure.first for part in group if part.figure}
            continue
        if item is None:
            continue
        taken |= {part.figure.first for part in group if part.figure}
        if items and _told_anew(tokens, items[-1], item):
            items[-1].figures |= {
                key: figure.flagged("corrected", "conflict", alternatives=(items[-1].figures[key].value,))
                for key, figure in item.figures.items()
            }
        elif items and is_renamed(tokens, items[-1], item):
            items[-1] = item
        elif items and is_more_of(tokens, items[-1], item):
            call_more(items[-1], item)
        elif items and (_late(tokens, items[-1], item, group) or _one_of(tokens, items[-1], item)):
            before = items[-1]
            if _says_what(before, item):
                before.name, before.role, before.mount = item.name, item.role, item.mount
            before.figures |= item.figures
            before.qualifiers |= item.qualifiers
            if {token.text for token in tokens[before.span[1] : item.span[1]]} & _WONDERED:
                before.status = Status.CONSIDERED  # "a cuff, maybe twenty-eight by thirty-nine"
        else:
            items.append(item)
    return items, taken


def _late(tokens: Sequence[Token], before: Item, item: Item, group: list["_Part"]) -> bool:
    """Sizes said after the device they are of: "pigtail's up from the right, the five French", "stiff wire please,
    oh three five".
    """
    between = {token.text for token in tokens[before.span[1] : item.span[0]]}
    if _says_what(before, item):
        return between <= {",", *FILLERS}
    if (
        any(part.device for part in group)
        or not before.name
        or "bare" in item.figures
        or set(item.figures) & set(before.figures)
    ):
        return False
    other = bool(item.role) and item.role != before.role
    if other or between & _PARTING or len(between) > 9 or parts_exchange(tokens, before, item.span[0]):
        return False
    after = [token.text for token in tokens[item.span[1] : item.span[1] + 2]] + [""]
    if after[0] in {"'s", "is", "in", "out", "off", "goes", "sheath"} or (after[0] == "has"):
        return False
    keys = set(item.figures)
    if "wire_diameter" in keys:
        return before.name in {"wire", "microwire"}
    if keys <= {"gauge", "length"} and keys:
        drains = before.role == "stent" and "gauge" in keys  # ureteric stents have a gauge, as catheters do
        return drains or (before.role == "insert" and before.name not in {"wire", "needle", *OPENED})
    if keys == {"diameter", "length"} and before.text.endswith("s") and before.name:
        return False  # "stents, three of them, six by one fifty, …"
    if keys == {"diameter", "length"}:
        sized = before.figures.keys() - {"count"}
        around = before.where in _AROUND
        return before.role in {"inflation", "stent", "embolise"} and not (sized or around or between & {"...", "."})
    return not keys and item.name == before.name


def _told_anew(tokens: Sequence[Token], before: Item, item: Item) -> bool:
    """ "seven French, ten centimetres… no, it's the other way round, ten French, seven centimetres": a no right after
    the sizes of a device, and all of them once more.
    """
    told = max((figure.words[1] for figure in before.figures.values()), default=0)
    between = (token for token in tokens[before.span[1] : item.span[0]] if token.word >= told)
    said = [token.text for token in between if token.text not in PUNCTUATION]
    anew = not item.name and len(item.figures) > 1 and item.figures.keys() == before.figures.keys()
    return anew and bool(said) and said[0] in _NOS and len(said) <= _LONGEST_WHY


def _says_what(before: Item, item: Item) -> bool:
    """ "twelve by thirty, detachable", "ten by sixty, self-expanding": a size, then what it is the size of."""
    size_alone = not before.name and before.headless and "diameter" in before.figures
    return size_alone and not item.figures and bool(item.qualifiers) and item.role in {"inflation", "stent", "embolise"}


def _described(tokens: Sequence[Token], items: Sequence[Item], group: list["_Part"]) -> Sequence[Item]:
    """ "eight by forty, covered, please", "nine by fifty-nine and eight by seventy-nine, both covered": the sizes said
    right before a word that stands for a stent.
    """
    sized = [item for item in items if item.headless and {"diameter", "length"} <= item.figures.keys()]
    if not sized or sized[-1] is not items[-1] or not all(part.qualifier for part in group):
        return ()
    qualifier = group[0].qualifier
    between = {token.text for token in tokens[sized[-1].span[1] : group[0].first]}
    after = tokens[group[-1].last].text if group[-1].last < len(tokens) else "."
    if qualifier is None or qualifier.stands_for != "stent" or after not in _AFTER_ADJECTIVE or "," not in between:
        return ()
    shared = between & {"both", "all"}
    if between - FILLERS - _BEFORE_ADJECTIVE and not (shared and len(between) <= _NEAR_ADJECTIVE):
        return ()
    return [item for item in sized if shared or item is sized[-1]]


def _call_by(sized: Item, group: list["_Part"]) -> None:
    """A size is told to be a stent's: "covered", "balloon mounted"."""
    names = [part.qualifier for part in group if part.qualifier]
    sized.role, sized.name = "stent", sized.name or "stent"
    sized.qualifiers |= {name.name for name in names}
    sized.mount = sized.mount or next((_MOUNTS[name.name] for name in names if name.name in _MOUNTS), None)


def _one_of(tokens: Sequence[Token], before: Item, item: Item) -> bool:
    """ "seven French, please, the longer one": more about the device just named."""
    between = {token.text for token in tokens[before.span[1] : item.span[0]]}
    return (
        item.text.endswith(" one")
        and not item.figures
        and not item.name
        and before.role in {"", "insert"}
        and not between & {"and", "but", "then", "out", "in", "so", "..."}
        and len(between) <= 6
    )


def _late_width(tokens: Sequence[Token], before: Item, group: list["_Part"]) -> Quantity | None:
    """ "the snare, of twenty millimetres": how wide it opens."""
    figure = group[0].figure
    if before.name not in {"filter", "snare"} or "diameter" in before.figures or len(group) > 1 or figure is None:
        return None
    between = {token.text for token in tokens[before.span[1] : figure.first]}
    near = between <= {",", "of", "a", "the", "then", "now", *_COURTEOUS} or (
        "for" in between and len(between) <= 4
    )  # "a snare for the neck, …"
    fits = figure.shape == "one" and figure.parts[0].unit == "mm" and near
    return figure.parts[0] if fits else None


def _late_length(tokens: Sequence[Token], before: Item, group: list["_Part"]) -> Quantity | None:
    """ "stiff oh three five now, the two-sixty"; "the longer one, the twenty-five centimetre"."""
    figures = [part.figure for part in group if part.figure and not _is_one(tokens, part)]
    if (
        len(figures) != 1
        or figures[0].shape != "one"
        or before.role not in {"", "insert"}
        or "length" in before.figures
    ):
        return None
    figure, quantity = figures[0], figures[0].parts[0]
    between = {token.text for token in tokens[before.span[1] : group[0].first]}
    if between & {"and", "but", "out", "off", "..."} or len(between) > _LENGTH_NEAR:
        return None
    low, high = lengths(before.name, bool({"gauge", "bare"} & set(before.figures)))
    if quantity.unit == "cm" and low <= quantity.value <= high:
        return quantity
    preceding = tokens[figure.first - 1].text if figure.first else ""
    if (
        quantity.unit is None
        and (preceding in {"the", "of"} or _followed_by_long(tokens, figure))
        and low <= quantity.value <= high
        and quantity.value >= 20
    ):
        return quantity.flagged("unit-assumed", unit="cm")
    return None


@dataclass(slots=True, eq=False)
class _Part:
    """A piece of a device's name: a noun, a qualifier or a size."""

    first: int
    last: int
    device: Device | None = None
    qualifier: Qualifier | None = None
    figure: Figure | None = None


def _part(tokens: Sequence[Token], entry: Term | Figure) -> _Part:
    """A piece from where it begins: a figure put right begins with the slip ("forty-five… sorry, fifty-five")."""
    if isinstance(entry, Term):
        for table, found in entry.found:
            if table == "device" and isinstance(found, Device):
                return _Part(entry.first, entry.last, device=found)
            if table == "qualifier" and isinstance(found, Qualifier):
                return _Part(entry.first, entry.last, qualifier=found)
        return _Part(entry.first, entry.last)  # any other term: a wall between devices
    first = entry.first
    while first and tokens[first - 1].word >= entry.parts[0].words[0]:
        first -= 1
    return _Part(first, entry.last, figure=entry)


def _begins(tokens: Sequence[Token], group: list["_Part"], part: "_Part", following: "_Part | None") -> bool:
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
    return own and noun is not None and tokens[group[-1].last].text in {",", *_COURTEOUS}


def _joins(tokens: Sequence[Token], group: list["_Part"], part: "_Part") -> bool:
    """Whether a piece belongs to the device before it: nothing but light words (and, for sizes, a comma) between."""
    before = group[-1]
    if not (part.device or part.qualifier or part.figure) or not (before.device or before.qualifier or before.figure):
        return False
    between = [token.text for token in tokens[before.last : part.first]]
    if part.figure and _COURTEOUS & {*between}:  # "micro, please, the two point seven"
        between = [",", *(text for text in between if text not in {",", *_COURTEOUS})]
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
        and _keys(before.figure, None, group, tokens) == ("gauge",)
    ):
        return part.figure.shape == "one"
    gauge = part.figure is not None and part.figure.parts[0].unit == "[Ch]"
    of = rest[:1] == ["from"] if gauge else False  # "the sheath from seven French"
    if part.figure and rest and (rest[0] in _OF or of) and any(piece.device for piece in group):
        if rest[0] == "with" and (_is_dilated(tokens, group) or is_exchanged(tokens, group[0].first)):
            return False  # "we dilate the stent with a five by forty"
        rest = rest[1:]
    if part.figure and _said_as(tokens, part.figure, next((piece.device for piece in group if piece.device), None)):
        rest = [text for text in rest if text not in _SAID_AS and text != "and"]
    if any(text not in _LIGHT for text in rest) or between.count(",") > 1:
        return False
    if part.figure and part.figure.parts[0].unit == "[Ch]" and comma and "it" in rest and len(group) == 1:
        return not before.figure or before.figure.parts[0].unit is not None  # "scrap the ten, it's the eight French"
    noun = next((piece.device for piece in group if piece.device), None)
    if part.device:
        if noun or comma:
            return False
        return _size_fits(part.device, group)
    if part.figure:
        key = _key(part.figure, noun, group, tokens)
        if key is None:
            return False
        keys = {other for piece in group if piece.figure for other in _keys(piece.figure, noun, group, tokens)}
        if keys & set(_keys(part.figure, noun, group, tokens)):
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
        return size.shape == "one" and _in_thousandths(size.parts[0], "wire")  # "a thirty-five, hydrophilic"
    return not comma or noun is not None


def _is_place(tokens: Sequence[Token], group: list["_Part"], figure: Figure, noun: Device) -> bool:
    """ "inside the stent, six by forty", "a flap just past the stent, one centimetre": what is named is where something
    else goes or is, and so is no size behind a comma of it.
    """
    first = group[0].first
    while first and tokens[first - 1].text in SIDES:
        first -= 1
    where = before_words(tokens, first, None)[1]
    if figure.shape == "size":
        return where in _AROUND
    long = figure.shape == "one" and figure.parts[0].unit in {"mm", "cm"} and noun.kind in {"stent", "inflation"}
    long = long and not any(piece.figure for piece in group)
    return long and where in _AROUND | {"past", "at", "behind", "near"}


def _is_dilated(tokens: Sequence[Token], group: list["_Part"]) -> bool:
    """Whether what is named is what something is done to: "we post-dilate the stent"."""
    return any(token.text in _DILATE for token in tokens[max(0, group[0].first - 4) : group[0].first])


def _is_also_of(before: Figure, figure: Figure) -> bool:
    """Whether a figure after "and" may be another size of one device, "eleven centimetres and five French"; "six and
    seven French" are two of one kind.
    """
    unit = figure.parts[0].unit
    return unit in {"cm", None} or (unit == "[Ch]" and before.parts[0].unit == "cm")


def _stands_for_sized(group: list["_Part"]) -> bool:
    """ "self-expanding, ten by eighty": a word that stands for a stent or balloon, then its size."""
    return any(piece.qualifier and piece.qualifier.stands_for in {"stent", "balloon"} for piece in group)


def _trails(tokens: Sequence[Token], group: list["_Part"], part: "_Part") -> bool:
    """ "the thirty centimetre one": the word that stands for the noun after a size."""
    return (
        _is_one(tokens, part)
        and part.first == group[-1].last
        and any(piece.figure or piece.qualifier for piece in group)
    )


def _is_one(tokens: Sequence[Token], part: "_Part") -> bool:
    return part.figure is not None and part.last - part.first == 1 and tokens[part.first].text == "one"


def _light(tokens: Sequence[Token], group: list["_Part"], part: "_Part") -> bool:
    """Whether a piece changes nothing in the name of what goes in: "reverse curve, same five"."""
    named = any(piece.device and piece.device.kind == "insert" for piece in group)
    wall = not (part.device or part.qualifier or part.figure)
    return named and wall and all(token.text in _LIGHT | _COURTEOUS for token in tokens[part.first : part.last])


def _size_fits(device: Device, group: list["_Part"]) -> bool:
    for piece in group:
        if piece.figure and piece.figure.shape == "one":
            unit = piece.figure.parts[0].unit
            if unit in _NO_SIZE and not (unit == "mL" and device.kind == "embolise"):
                return False
            if device.known_only and device.kind == "stent":
                return False  # "sixteen millimetres of extension"
    return True


def _keys(figure: Figure, noun: Device | None, group: list["_Part"], tokens: Sequence[Token]) -> tuple[str, ...]:
    if figure.shape == "size" and _is_wire_by_length(figure):
        return ("wire_diameter", "length")
    if figure.shape == "size":
        return ("gauge", "length") if _is_gauge_by_length(figure, noun) else ("diameter", "length")
    key = _key(figure, noun, group, tokens)
    return (key,) if key else ()


def _key(figure: Figure, noun: Device | None, group: list["_Part"], tokens: Sequence[Token]) -> str | None:
    """Which value of a device a figure is, or None where it can be none."""
    if figure.shape == "pair":
        return None
    if figure.shape == "size":
        if _is_wire_by_length(figure):
            return "wire_diameter" if noun is None or noun.name in {"wire", "microwire"} else None
        if _is_gauge_by_length(figure, noun):
            return "gauge"
        return "diameter" if noun is None or noun.kind in {"inflation", "stent", "embolise"} else None
    if (said := _said_as(tokens, figure, noun)) is not None:
        return said
    quantity = figure.parts[0]
    name, kind = (noun.name, noun.kind) if noun else ("", "")
    if quantity.unit == "[Ch]":
        closes = kind != "embolise" or name == "plug"  # one told by its gauge closes the puncture
        return "gauge" if kind != "inflation" and closes and name not in {"wire", "needle"} else None
    if quantity.unit == "[in_i]" and name in {"wire", "microwire"} and quantity.value in PLAIN_MILS:
        return "wire_diameter"  # "a thirty-five inch wire"
    if quantity.unit == "[in_i]" and quantity.value >= 3:
        return "gauge" if name in {"sheath", "catheter", "dilator", "guide catheter", "microcatheter"} else None
    wires = name == "wire" or (not name and any(p.qualifier and p.qualifier.stands_for == "wire" for p in group))
    if quantity.value in TENFOLD and quantity.unit is None and not wires:
        return None
    if is_thickness(figure.parts[0]):
        return "wire_diameter" if name in {"", "wire", "microwire", "pressure wire", "guide catheter"} else None
    if quantity.unit == "cm":
        return "length" if kind in {"", "insert", "stent", "inflation", "embolise"} else None
    if quantity.unit == "mm":
        if kind in {"inflation", "stent", "embolise"}:
            return "length" if _followed_by_long(tokens, figure) else "diameter"
        if kind == "insert" and quantity.value >= LONG_MM and name not in OPENED:
            return "length"  # "nine hundred millimetres"
        return "diameter" if name in {"filter", "snare"} else None
    if quantity.unit == "mL":
        held = figure.last < len(tokens) and tokens[figure.last].text in {"syringe", "syringes", "a", "per"}
        return "volume" if kind == "embolise" and not held else None
    if quantity.unit is None and name in _LIQUIDS and 0 < quantity.value <= _MOST_LIQUID:  # "point three of glue"
        return "volume" if figure.last < len(tokens) and tokens[figure.last].text == "of" else None
    of = quantity.unit is None and figure.first and tokens[figure.first - 1].text in _OF
    beside = tokens[figure.last].text if figure.last < len(tokens) else ""
    beside = beside if beside.endswith(("wire", "guide")) else ""
    wire = name or ("wire" if any(p.qualifier and p.qualifier.stands_for == "wire" for p in group) else "")
    called = any(p.qualifier and p.qualifier.stands_for == "wire" and p.first > figure.first for p in group)
    if (
        quantity.unit is None
        and (of or beside or called or _right_after(tokens, figure, group))
        and _in_thousandths(quantity, wire)
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


def _said_as(tokens: Sequence[Token], figure: Figure, noun: Device | None) -> str | None:
    """ "the stent graft, diameter twenty-eight, length one hundred forty": which size is told in so many words."""
    sized = noun is not None and noun.kind in {"inflation", "stent", "embolise"} and figure.shape == "one"
    if not sized or figure.parts[0].unit not in {None, "mm", "cm"} or not figure.first:
        return None
    return _SAID_AS.get(tokens[figure.first - 1 - (tokens[figure.first - 1].text == "of")].text)


def _is_wire_by_length(figure: Figure) -> bool:
    """ "oh three five by one eighty": a wire's thickness in inches by its length in centimetres."""
    thick, length = figure.parts[0], figure.parts[1]
    plain = thick.form == "leading-zero" or (thick.form == "decimal" and 0.008 <= thick.value <= 0.052)
    low, high = LENGTHS["wire"]
    return plain and thick.value <= THICKEST and length.unit in {None, "cm"} and low <= length.value <= high


def _is_gauge_by_length(figure: Figure, noun: Device | None) -> bool:
    """ "ureteric stent, six by twenty-six", "sheath, six by forty-five": French by centimetres."""
    if noun is None or not (noun.kind == "insert" or noun.nickname == "ureteric stent"):
        return False
    gauge, length = figure.parts
    low, high = lengths("drain" if noun.name == "stent" else noun.name, True)
    told = gauge.unit in {None, "[Ch]"} and length.unit in {None, "cm"}
    return told and 1.5 <= gauge.value <= 30 and max(low, 5) <= length.value <= high


def _followed_by_long(tokens: Sequence[Token], figure: Figure) -> bool:
    after = [token.text for token in tokens[figure.last : figure.last + 2]]
    return after[:1] == ["long"] or after in (["of", "length"], ["in", "length"])


def _bare(figure: Figure, noun: Device | None, group: list["_Part"], tokens: Sequence[Token]) -> str | None:
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
            _followed_by_long(tokens, figure)
            or before in {"by", "length"}
            or (before in {"the", "a"} and value >= _SHORTEST_BARE)
            or (before == "of" and value >= low)
            or (wired and value >= 100)
            or (gauged and value >= 20)
        ):
            return "length"
    return None


def _leads_name(figure: Figure, group: list["_Part"], tokens: Sequence[Token]) -> bool:
    """Whether a number stands right before the name of one device, and begins what is said of it."""
    named = any(
        piece.device and piece.first == figure.last and tokens[piece.last - 1].text[-1] != "s" for piece in group
    )
    before = tokens[figure.first - 1].text if figure.first else "."
    return named and before in PUNCTUATION | {"a", "the", "with", "give", "and", "my"}


def _gauge_before(figure: Figure, group: list["_Part"]) -> bool:
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
    while first > 0 and tokens[first].text in _LIGHT:
        first -= 1
    ends = after in {",", ".", "and", "with", "please", "..."}
    if sized and low <= figure.parts[0].value <= high and beside:
        return True
    return sized and low <= figure.parts[0].value <= high and tokens[first].text == "," and ends


def _right_after(tokens: Sequence[Token], figure: Figure, group: list["_Part"]) -> bool:
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


def _device(tokens: Sequence[Token], group: list["_Part"]) -> Item | None:
    noun = next((piece.device for piece in group if piece.device), None)
    qualifiers = [piece.qualifier for piece in group if piece.qualifier]
    figures: dict[str, Quantity] = {}
    for piece in group:
        if piece.figure:
            figures |= _figures(piece.figure, noun, group, tokens)
    if not figures.keys() & {"gauge", "wire_diameter"} and (count := _count(tokens, group, noun)):
        figures["count"] = count
    stands = next((q.stands_for for q in qualifiers if q.stands_for), None)
    following = tokens[group[-1].last].text if group[-1].last < len(tokens) else ""
    one = tokens[group[-1].last - 1].text in _FELLOWS  # "the little one"
    before = tokens[group[0].first - 1].text if group[0].first else ""
    called = following in {"one", "ones"} or (before in {"the", "that"} and following in _AFTER_ADJECTIVE | _VERBS)
    if not figures and stands in {"stent", "balloon"} and not called and len(group) == 1:
        stands = None  # "leave it covered", but "the drug coated goes back"
    known = before_words(tokens, group[0].first)[0]
    stood = one or following == "one" or (known and following in _FELLOWS)
    moved = noun is None and len(group) == 1 and bool(qualifiers) and _is_moved(tokens, group[0])
    if noun is None and not figures and not stands and (stood or moved) and qualifiers:
        one = one or (moved and not stood)
        return Item(
            kind="device",
            words=(tokens[group[0].first].word, tokens[group[-1].last - (moved and not stood)].past),
            text=f"{tokens[group[0].first].text} one",
            role="insert",
            qualifiers=frozenset(q.name for q in qualifiers),
            span=(group[0].first, group[-1].last + (not one)),
            definite=True,
            headless=True,
            where=before_words(tokens, group[0].first)[1],
        )
    if noun is None and not figures and not stands:
        return _grains(tokens, group) or _bare_name(tokens, group)
    if noun is None and set(figures) == {"length"} and stands != "wire":
        return None
    name, role, nickname, mount = "", "", None, None
    called_guide = False
    if noun:
        name, role, nickname, mount = noun.name, noun.kind, noun.nickname, noun.mount
    if "wire_diameter" in figures and name != "pressure wire":
        called_guide = name == "guide catheter"
        name, role, nickname = (
            "wire",
            "insert",
            nickname if name == "wire" else None,
        )  # "the guide oh three five": a wire to many
    elif not noun and stands and not ("diameter" in figures and stands == "wire"):
        name, role = (
            stands,
            {"wire": "insert", "stent": "stent", "balloon": "inflation", "coil": "embolise"}.get(stands, "insert"),
        )
        if "gauge" in figures and stands == "wire":
            name, role = "", ""
    first, last = group[0].first, group[-1].last
    definite, where = before_words(tokens, first)
    names = {q.name for q in qualifiers} | ({"called guide"} if called_guide else set())
    near = [token.text for token in tokens[max(0, first - 2) : last]]
    if role == "insert" and not definite and (_FURTHER & set(near) or near[:2] == ["one", "more"]):
        names.add("new")
    if role == "insert":
        names |= _ORDINALS & {token.text for token in tokens[max(0, first - 1) : last]}
    mount = next((_MOUNTS[q.name] for q in qualifiers if q.name in _MOUNTS), mount)
    return Item(
        kind="device",
        words=(tokens[first].word, tokens[last - 1].past),
        name=name,
        role=role,
        nickname=nickname,
        mount=mount,
        text=" ".join(token.text for token in tokens[first:last]),
        figures=figures,
        qualifiers=frozenset(names),
        span=(first, last),
        headless=noun is None,
        known_only=bool(noun and noun.known_only),
        definite=definite or tokens[first].text in DEFINITE,
        where=where,
    )


def _is_moved(tokens: Sequence[Token], part: "_Part") -> bool:
    """ "Short out, long in.": whether nothing is told of what a word is like but what became of it."""
    before = tokens[part.first - 1].text if part.first else ""
    after = [token.text for token in tokens[part.last : part.last + 3]] + ["", "", ""]
    after = after[1:] if after[0] in _VERBS | _MOVES else after
    return before in _BEFORE_LOOK and after[0] in {"in", "out"} and after[1] in _AFTER_ADJECTIVE


def _count(tokens: Sequence[Token], group: list["_Part"], noun: Device | None) -> Quantity | None:
    """ "two coils, eight by twenty", "one of four by six", "a single plug": how many embolics, where it is said."""
    first = group[0]
    coils = noun is not None and noun.kind == "embolise"
    if first.figure and first.figure.shape == "one" and len(group) > 1:
        said = first.figure.parts[0]
        if said.unit is not None or said.value not in range(1, 21):
            return None
        plural = any(tokens[piece.last - 1].text.endswith("s") for piece in (group[1], group[-1]))
        if noun is None:  # "one of four by six", "two eight by twenties"
            of = [token.text for token in tokens[first.last : group[1].first]] == ["of"]
            return replace(said, unit="{count}") if of or plural else None
        sizes = group[1].figure is not None and group[1].figure.shape == "size"  # "seven of the four by twelve coils"
        named = coils and (plural if sizes else not group[1].figure and (plural or said.value <= 3))  # a "twelve plug"
        size = next((piece for piece in group[1:] if piece.figure and piece.figure.shape == "size"), None)
        before_size = tokens[size.first - 1].text if size else ","
        sized = before_size not in {",", "a", "an"}  # "two stents, a six by forty and …": those are told one by one
        counts = noun.kind in {"inflation", "stent"} and sized and not said.value % 1
        many = plural or tokens[group[1].last - 1].text.endswith("s")
        named = named or (many and counts)  # "two eight by thirty balloons", "two stents of eight by thirty"
        return replace(said, unit="{count}") if named else None
    before = tokens[first.first - 1] if first.first else None
    if coils and before is not None and before.text in {"single", "solitary", "lone"}:
        return Quantity(1.0, "{count}", (before.word, before.past), before.text)
    return None


def _grains(tokens: Sequence[Token], group: list["_Part"]) -> Item | None:
    """ "five hundred micron, please", "seven hundreds next": particles, by their size alone."""
    figure = group[0].figure
    if figure is None or figure.shape != "one":
        return None
    first, last, size = figure.first, figure.last, figure.parts[0]
    if size.unit is None and tokens[last - 1].text == "hundreds" and size.value in _MICRONS:
        size = size.flagged("unit-assumed", unit="mm", value=size.value / 1000)
    elif "micron" not in size.heard:
        return None
    return Item(
        kind="device",
        words=(tokens[first].word, tokens[last - 1].past),
        text=" ".join(token.text for token in tokens[first:last]),
        name="particles",
        role="embolise",
        figures={"diameter": size},
        span=(first, last),
        headless=True,
        definite=before_words(tokens, first)[0],
    )


def _bare_name(tokens: Sequence[Token], group: list["_Part"]) -> Item | None:
    """A bare number that stands for a device: "six out, eight in", "the long seven's down", "not the six"."""
    figures = [piece.figure for piece in group if piece.figure]
    if len(figures) != 1 or figures[0].shape != "one" or group[-1].figure is not figures[0]:
        return None
    figure = figures[0]
    quantity = figure.parts[0]
    if quantity.unit is not None or quantity.form not in {"cardinal", "spelled", "digits", "fraction", "decimal"}:
        return None
    first, last = group[0].first, figure.last
    before = tokens[first - 1].text if first else ""
    if quantity.value > _MOST or before in {"these", "those"} or (before == "number" and quantity.value <= _FIRST_FEW):
        return None  # "these two are down", "dilator number one in"
    following = [token.text for token in tokens[last : last + 3]]
    if following[:2] == ["in", "the"] and following[-1] in _OF_THE_DAY:
        return None  # "four in the morning"
    article = before in {"a", "an"} or tokens[first].text in {"a", "an"}
    after = [token.text for token in tokens[last : last + 5] if token.text not in _BY_NOW] + ["", "", ""]
    if (
        article
        and quantity.form == "cardinal"
        and 1.5 <= quantity.value <= 40
        and after[0] in _AFTER_NAME | {"for", "every", "in", "would", "on", "too", "as"}
    ):
        return Item(
            kind="device",
            words=(tokens[first].word, tokens[last - 1].past),
            text=" ".join(token.text for token in tokens[first:last]),
            figures={"bare": quantity},
            span=(first, last),
            before=before,
            after=after[0],
            where=before_words(tokens, first)[1],
        )
    verbs = next(n for n, text in enumerate(after) if text not in _VERBS)
    verb = after[verbs] in _STATES if verbs else after[0] in _MOVES and after[1] in _STATES
    summed = after[0] == "in" and after[1] in {"all", "total", "diameter", "length", "width"}
    small = (
        after[0] in {"in", "out", "off"}
        and not summed
        and (len(group) > 1 or before not in {"at", "to", "up", "of", "by", "for", "about"})
    )
    if not first and (after[0] in {"first", "next", "now"} or (after[0] == "going" and after[1] != "in")):
        small = True
    named = (before in {"the", "that", "our", "your"} or len(group) > 1) and after[0] in _AFTER_NAME
    if summed or not (verb or small or named):
        return None
    return Item(
        kind="device",
        words=(tokens[first].word, tokens[last - 1].past),
        text=" ".join(token.text for token in tokens[first:last]),
        figures={"bare": quantity},
        qualifiers=frozenset(piece.qualifier.name for piece in group if piece.qualifier),
        span=(first, last),
        before=before,
        after=after[0],
        definite=True,
        where=before_words(tokens, first)[1],
    )


def _in_thousandths(quantity: Quantity, name: str) -> bool:
    """Whether a bare number is the size of a wire in thousandths of an inch."""
    return name in {"wire", "microwire", "guide catheter"} and in_thousandths(quantity)


def _figures(figure: Figure, noun: Device | None, group: list["_Part"], tokens: Sequence[Token]) -> dict[str, Quantity]:
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
    key = _key(figure, noun, group, tokens)
    if key is None:
        return {}
    quantity = figure.parts[0]
    if key == "diameter" and quantity.unit is None and noun is not None and noun.name == "particles":
        others = tuple(other / 1000 for other in quantity.alternatives)
        return {key: quantity.flagged("unit-assumed", value=quantity.value / 1000, unit="mm", alternatives=others)}
    if _said_as(tokens, figure, noun):
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
