"""Terms and figures of a sentence -> items: devices with their sizes, drugs with their doses, findings with their
measures.

"the stiff oh three five, two-sixty" is one wire; "six by forty" is a device nobody named; "five thousand of heparin"
is one drug.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import zip_longest
from typing import Literal

from extractor.lexicon import Device
from extractor.model import SIDES, Item, Quantity, Status
from extractor.reading.apposed import call_more, is_more_of, is_renamed, parts_exchange
from extractor.reading.joined import begins_another, is_light, joins, trails
from extractor.reading.parts import AROUND, COURTEOUS, DEFINITE, Part, before_words, is_one, part_of
from extractor.reading.quantities import FILLERS, Figure
from extractor.reading.terms import Term
from extractor.reading.tokens import PUNCTUATION, Token
from extractor.reading.which_size import figures_of, followed_by_long
from extractor.sizes import (
    OPENED,
    lengths,
)

_OF_THE_DAY = {"morning", "afternoon", "evening", "night"}
#: Sizes of particles in microns, said as "the five hundreds": common practice, no source.
_MICRONS = range(100, 1300, 100)
#: No device is called by a greater number: "five thousand in" is a dose. Common practice, no source.
_MOST = 400
#: After "number" so few count devices: common practice, no source.
_FIRST_FEW = 3
#: These stand for what was named before: "the long one", "the stiff fellow".
_FELLOWS = {"one", "fellow", "chap", "lad", "guy", "bloke", "brother"}
#: Before a size these leave open whether it is used.
_WONDERED = {"maybe", "perhaps", "possibly"}
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
_VERBS = {"'s", "is", "are", "has", "was", "were", "have", "been", "being", "can", "could", "should", "be"}
_MOVES = {"goes", "comes", "come", "came", "went", "slid", "slides", "slipped", "popped"}
_AFTER_NAME = {
    ",", ".", "", "...", "!", "?", "please", "now", "next", "first", "again", "instead", "then", "and", "kindly", "is",
    "'s", "out", "in", "off", "down", "going", "so", "balloon", "inside", "at", "into", "across", "over",
    "sits", "lies", "stands", "follows", "once", "one"
}  # fmt: skip
#: Before what became of it these change nothing: "nine already in".
_BY_NOW = {"already", "now", "also", "again", "finally", "just", "then"}
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
#: A bare number behind a gauge that is no less is a length, cm: common practice, no source.
_SHORTEST_BESIDE = 10
#: Behind "in": so many are kept there.
_IN_A_STORE = frozenset("stock pack packs box boxes drawer drawers cupboard store stores shelf tray room total".split())
#: What begins to put sizes right, and how many words the reason may have.
_NOS, _LONGEST_WHY = {"no", "nope", "wait", "sorry", "correction"}, 9


def device_items(
    tokens: Sequence[Token], terms: Sequence[Term], figures: Sequence[Figure]
) -> tuple[list[Item], set[int]]:
    """Terms and figures of one sentence -> items of devices with their sizes, and the start tokens of figures they
    took.
    """
    groups: list[list[Part]] = []
    pieces: list[Term | Figure] = [*terms, *figures]
    parts = sorted((part_of(tokens, piece) for piece in pieces), key=lambda part: part.first)
    for part, following in zip_longest(parts, parts[1:]):
        aside = part.last - part.first == 1 and tokens[part.first].text in SIDES
        if aside or (groups and part.last <= groups[-1][-1].last):
            continue
        if groups and begins_another(tokens, groups[-1], part, following):
            groups.append([part])
        elif groups and (joins(tokens, groups[-1], part) or trails(tokens, groups[-1], part)):
            groups[-1].append(part)
        elif not (groups and is_light(tokens, groups[-1], part)):
            groups.append([part])
    items: list[Item] = []
    taken: set[int] = set()
    dosed = {term.last for term in terms if "drug" in term.tables}
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


def _late(tokens: Sequence[Token], before: Item, item: Item, group: list[Part]) -> bool:
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
        return before.name in {"wire", "microwire", "safety wire"}
    if keys <= {"gauge", "length"} and keys:
        drains = before.role == "stent" and "gauge" in keys  # ureteric stents have a gauge, as catheters do
        return drains or (before.role == "insert" and before.name not in {"wire", "needle", *OPENED})
    if keys == {"diameter", "length"} and before.text.endswith("s") and before.name:
        return False  # "stents, three of them, six by one fifty, …"
    if keys == {"diameter", "length"}:
        sized = before.figures.keys() - {"count"}
        around = before.where in AROUND
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


def _described(tokens: Sequence[Token], items: Sequence[Item], group: list[Part]) -> Sequence[Item]:
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


def _call_by(sized: Item, group: list[Part]) -> None:
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


def _late_width(tokens: Sequence[Token], before: Item, group: list[Part]) -> Quantity | None:
    """ "the snare, of twenty millimetres": how wide it opens."""
    figure = group[0].figure
    if before.name not in {"filter", "snare"} or "diameter" in before.figures or len(group) > 1 or figure is None:
        return None
    between = {token.text for token in tokens[before.span[1] : figure.first]}
    near = between <= {",", "of", "a", "the", "then", "now", *COURTEOUS} or (
        "for" in between and len(between) <= 4
    )  # "a snare for the neck, …"
    fits = figure.shape == "one" and figure.parts[0].unit == "mm" and near
    return figure.parts[0] if fits else None


def _late_length(tokens: Sequence[Token], before: Item, group: list[Part]) -> Quantity | None:
    """ "stiff oh three five now, the two-sixty"; "the longer one, the twenty-five centimetre"."""
    figures = [part.figure for part in group if part.figure and not is_one(tokens, part)]
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
    if (
        group[0].first
        and tokens[group[0].first - 1].text == "the"
        and tokens[group[0].first - 2].text in AROUND - {"in"}
    ):
        return None  # "multipurpose five, inside the twenty"
    low, high = lengths(before.name, bool({"gauge", "bare"} & set(before.figures)))
    if quantity.unit == "cm" and low <= quantity.value <= high:
        return quantity
    preceding = tokens[figure.first - 1].text if figure.first else ""
    if (
        quantity.unit is None
        and (preceding in {"the", "of"} or followed_by_long(tokens, figure))
        and low <= quantity.value <= high
        and quantity.value >= 20
    ):
        return quantity.flagged("unit-assumed", unit="cm")
    return None


def _device(tokens: Sequence[Token], group: list[Part]) -> Item | None:
    noun = next((piece.device for piece in group if piece.device), None)
    qualifiers = [piece.qualifier for piece in group if piece.qualifier]
    figures: dict[str, Quantity] = {}
    for piece in group:
        if piece.figure:
            figures |= figures_of(piece.figure, noun, group, tokens)
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


def _is_moved(tokens: Sequence[Token], part: Part) -> bool:
    """ "Short out, long in.": whether nothing is told of what a word is like but what became of it."""
    before = tokens[part.first - 1].text if part.first else ""
    after = [token.text for token in tokens[part.last : part.last + 3]] + ["", "", ""]
    after = after[1:] if after[0] in _VERBS | _MOVES else after
    return before in _BEFORE_LOOK and after[0] in {"in", "out"} and after[1] in _AFTER_ADJECTIVE


def _count(tokens: Sequence[Token], group: list[Part], noun: Device | None) -> Quantity | None:
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


def _grains(tokens: Sequence[Token], group: list[Part]) -> Item | None:
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


def _bare_name(tokens: Sequence[Token], group: list[Part]) -> Item | None:
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
    gauged = before == "," and first > 1 and tokens[first - 2].text == "french"
    packed = _IN_A_STORE & {*following[1:]}  # "six French, ten in stock"
    if gauged and quantity.value >= _SHORTEST_BESIDE and following[:1] == ["in"] and not packed:
        return None  # "six French, eleven in": how long that is
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
