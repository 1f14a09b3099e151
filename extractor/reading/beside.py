"""Sizes said beside a device but not in its name: "the exchange wire, three hundred, is in", "the wire is one eighty
and the catheter is sixty-five", "the sheath goes in, five French, eleven".

A figure is of the device named last before it, or else of the one right behind it, where nothing stands between but
words that change nothing, and where it can be a size that this device has and nobody said yet.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from extractor.model import SIDES, Item, Quantity
from extractor.reading.apposed import parts_exchange
from extractor.reading.quantities import FILLERS, Figure
from extractor.reading.terms import Term
from extractor.reading.tokens import PUNCTUATION, Token
from extractor.sizes import LENGTHS, SIZE_TALK, WIDEST_MICRO, in_thousandths, is_thickness, size_of

#: Between a device and its size these change nothing.
_PASSING = FILLERS | SIZE_TALK | {",", ":", "-", "..."}
#: Kinds of terms that change nothing there; what became of the device only where the size has its unit.
_LIGHT_TERMS = {"qualifier", "side", "part", "vessel"}
_TOLD = {"placed", "particle", "give", "detach", "deploy", "removed", "particle out", "raise", "go", "advance"}
#: After a bare number: it counts nothing that follows.
_ENDS = PUNCTUATION | set(
    """
    and is 's are was were long length in out inside please goes comes went has with now through over up down across
    thick so it which that this
    """.split()
)
_STOPS = {".", "!", "?"}
_WAYS = {"in", "out", "inside", "goes", "comes", "went", "through", "over", "up", "down", "across"}
#: These say that what follows is a size.
_MEASURES = {"is", "'s", "was", "has", "measures", "of", "with", "it's", "which"}
#: Between a microcatheter and its gauge stand no more words; with one of these the figure is of a vessel. By hand, no
#: source.
_FAR, _ARTICLES = 14, {"the", "a", "of", "it's"}
_OF_VESSELS = frozenset("diameter wide across measure measures measured measuring vessel artery lumen".split())
#: "Down to the left, long one, ninety": how long it is, where no width is so great. Common practice, no source.
_LONG_ONE, _LONGEST_WIDE = ("long", "one", ","), 30
#: "Over the wire, marker kind, sixty-five": what it is like, and then how long. No so short one is meant so, cm.
_ONES, _SHORTEST_ONE = {"one", "kind", "type", "sort", "version", "model"}, 10
#: No more words stand between a figure and the device behind it; set by hand, no source.
_NEAR = 12
#: Before the name of one thing a number as high counts none.
_LEAST_CALLED = 4
#: Between a wire and how thick one is: it is of another, or of none that is there.
_ANOTHER = frozenset(
    """
    out off away removed please next give want need then instead another second new for to not n't won't no never can't
    doesn't doesnae cannot swap change exchange or if try tried
    """.split()
)
_WIRES = {"wire", "microwire", "safety wire", "pressure wire"}
#: A few words between commas say what a device is like; set by hand, no source.
_ASIDE = 2
#: A bare number as high counts no devices.
_NO_COUNT = 50
#: After "same": in this it is like another.
_ALIKE = {"length", "size", "gauge", "french", "type", "kind"}
#: Right before a bare number these make it something else.
_NO_SIZE_AFTER = {"at", "to", "for", "over", "per", "about", "in", "than", "on", "from", "after"}
#: Right behind a figure and before its device.
_BEFORE_NOUN = FILLERS | set(", : the a an this that is it 's please of our my and".split())
#: What a figure before its device may follow.
_OPENS = PUNCTUATION | {"", "a", "an", "the", "of", "is", "length", "with", "one"}


def give_sizes(
    tokens: Sequence[Token], terms: Sequence[Term], figures: Sequence[Figure], devices: list[Item], named: set[int]
) -> set[int]:
    """Gives devices of a sentence the sizes said beside them; the first tokens of the figures that were given. A bare
    number that was taken for a device of its own, "… and make it a six", is none then. Linear but for what stands
    between a device and its figures. ``named``: the first tokens of figures that stand in the name of a device.
    """
    inserted = [one for one in devices if _is_unnamed(one) or (one.role == "insert" and one.name and not _looks(one))]
    if not inserted or not (figures or any(_is_size_alone(device, tokens) for device in devices)):
        return set()
    if any(getattr(entry, "name", "") == "run" for term in terms for table, entry in term.found if table == "action"):
        figures = [figure for figure in figures if figure.parts[0].unit]  # "hand run through the micro, three"
    between = _Between(tokens, terms)
    open_to = {id(device) for device in inserted}
    taken: set[int] = set()
    alone = [one for one in devices if _is_size_alone(one, tokens)]
    called = [_Said(*one.span, next(iter(one.figures.values())), one) for one in alone]
    said = [_Said(one.first, one.last, one.parts[0]) for one in figures if one.shape == "one"]
    sizes = sorted([*said, *called], key=lambda size: size.first)
    row = _Row(devices)
    for size in sizes:
        before = row.before(size)
        if before is None or id(before) not in open_to:
            continue
        loose = size.device is not None or size.first not in named
        if ((loose and between.lets(before, size)) or _is_within(before, size)) and _given(
            before, size.quantity, long=[token.text for token in tokens[size.last : size.last + 1]] == ["long"]
        ):
            taken.add(size.first)
            _keep_rest(before, size.device)
            row.drop(size.device)
    for size in reversed([size for size in sizes if size.device or size.first not in named]):
        after = row.after(size) if size.first not in taken else None
        if after is None or id(after) not in open_to or not _leads(tokens, after, size):
            continue
        if _given(after, size.quantity):
            taken.add(size.first)
            _keep_rest(after, size.device)
            row.drop(size.device)
    devices[:] = [device for device in devices if id(device) not in row.dropped]
    return taken


class _Row:
    """The devices of a sentence in order, but for what is found to be none."""

    def __init__(self, devices: Sequence[Item]) -> None:
        named = (device for device in devices if device.name or device.figures)  # "it's the long one" is of another
        self._devices = sorted(named, key=lambda device: device.span)
        self._starts = [device.span[0] for device in self._devices]
        self.dropped: set[int] = set()

    def drop(self, device: Item | None) -> None:
        self.dropped.add(id(device))

    def before(self, size: "_Said") -> Item | None:
        """The device named last before a figure, or around it."""
        return self._next(size, range(bisect_right(self._starts, size.first) - 1, -1, -1))

    def after(self, size: "_Said") -> Item | None:
        """The device named first behind a figure."""
        return self._next(size, range(bisect_left(self._starts, size.last), len(self._devices)))

    def _next(self, size: "_Said", places: range) -> Item | None:
        named = (self._devices[place] for place in places)
        return next((one for one in named if one is not size.device and id(one) not in self.dropped), None)


@dataclass(frozen=True, slots=True)
class _Said:
    """A figure, and where it stands: tokens first:last. ``device``: what it was taken for."""

    first: int
    last: int
    quantity: Quantity
    device: Item | None = None


def _keep_rest(device: Item, dropped: Item | None) -> None:
    """What was taken for a device of its own may have had a length: "sheath now, the six, forty-five long"."""
    for key, figure in dropped.figures.items() if dropped is not None else ():
        if key == "length":
            device.figures.setdefault(key, figure)


def _is_within(device: Item, size: _Said) -> bool:
    """ "A two point one micro", "one fifty wire": a number in the name of a device, which counts none."""
    whole = size.quantity.value % 1 == 0 and size.quantity.unit is None and not _is_plain(device, size.quantity)
    found = size_of(device.name, size.quantity, device.figures.keys()) if whole else None
    called = found is not None and found[0] != "length" and size.quantity.value >= _LEAST_CALLED
    counts = whole and (not called or device.text.endswith("s"))  # "the six short sheath"
    told = any(size.quantity.words == other.words for other in device.figures.values())
    return size.last <= device.span[1] and not counts and not told


def _is_unnamed(device: Item) -> bool:
    """ "A long eight": a number that stands for a device, mostly a sheath."""
    return not device.name and device.role in {"", "insert"} and bool(device.figures.keys() & {"bare", "gauge"})


def _is_size_alone(device: Item, tokens: Sequence[Token]) -> bool:
    """ "A thirty-five", with no word of what became of it; "zero thirty-five thick"."""
    after_mark = device.span[0] > 1 and tokens[device.span[0] - 2].text == ","
    if "bare" in device.figures:
        apposed = device.before == "the" and device.after in PUNCTUATION and after_mark  # "the wire's in, the fourteen"
        return apposed or (device.before in {"a", "an"} and device.after in _ENDS - _WAYS)
    return device.headless and not device.definite and len(device.figures) == 1 and not device.where


def _looks(device: Item) -> bool:
    """ "On ultrasound the iliac is seven": what is seen on it is of the vessel."""
    return device.where in {"on", "by", "under", "with"} and device.name.startswith("ultrasound")


def _told_until(tokens: Sequence[Token], device: Item, size: _Said) -> int:
    """The token after a device and the sizes that were said of it before another."""
    begin = tokens[size.first].word
    past = max((told.words[1] for told in device.figures.values() if told.words[1] <= begin), default=0)
    last = device.span[1]
    while last < size.first and tokens[last].word < past:
        last += 1
    return last


class _Between:
    """What may stand between a device and its size."""

    def __init__(self, tokens: Sequence[Token], terms: Sequence[Term]) -> None:
        self._tokens = tokens
        self._light: set[int] = set()  # tokens of terms that change nothing
        self._told: set[int] = set()  # and of words of what became of it
        self._terms: set[int] = set()
        for term in terms:
            span = range(term.first, term.last)
            names = {entry.name for table, entry in term.found if table == "action"}  # type: ignore[attr-defined]
            self._light |= set(span) if term.tables <= _LIGHT_TERMS else set()
            self._told |= set(span) if names and names <= _TOLD else set()
            self._terms |= set(span)

    def lets(self, device: Item, size: _Said) -> bool:
        """Whether nothing between a device and a figure behind it makes that the size of another thing."""
        placed, index = False, _told_until(self._tokens, device, size)
        if self._moves_itself(device, size):
            return False
        if (_is_thin(device, size) or self._thickness_of(device, index, size)) and self._apposed(index, size):
            return True
        if self._says_how_long(device, index, size):
            return True
        if tuple(token.text for token in self._tokens[max(0, size.first - 3) : size.first]) == _LONG_ONE:
            return size.quantity.value >= _LONGEST_WIDE and _stands_alone(self._tokens, size)
        if self._like_that(device, size):
            return True
        if index > size.first or not self._is_of(size, index) or parts_exchange(self._tokens, device, size.first):
            return False
        while index < size.first:
            text = self._tokens[index].text
            aside = self._aside(index, size.first)
            alike = text == "same" and self._tokens[index + 1].text in _ALIKE
            passing = aside or alike or text in _PASSING or text in SIDES
            if text in _STOPS or not (passing or index in self._light | self._told):
                return False
            placed = placed or (index in self._told and text not in _PASSING)
            index += aside or 1
        if size.quantity.unit is not None:
            return True
        apposed = size.device is not None or _is_plain(device, size.quantity)
        made_in = size.first - 1 == device.span[1] and self._tokens[size.first - 1].text == "in"
        return (made_in or _stands_alone(self._tokens, size)) and (apposed or not placed)

    def _moves_itself(self, device: Item, size: _Said) -> bool:
        """ "Thin wire out, thirty-five in": what became of the first was told, and the figure has its own."""
        behind = [token.text for token in self._tokens[size.last : size.last + 2]] + ["", ""]
        moved = behind[0] in {"in", "out"} and (behind[1] in PUNCTUATION or behind[1] in {"", "and", "now", "then"})
        return moved and not self._told.isdisjoint(range(device.span[1], size.first))

    def _says_how_long(self, device: Item, index: int, size: _Said) -> bool:
        """ "Seven French sheath in the neck, ten long": nothing else is named between a sheath and its length."""
        said = [token.text for token in self._tokens[index : size.first]]
        behind = self._tokens[size.last].text if size.last < len(self._tokens) else "."
        sheath = device.name in {"", "sheath"} and "gauge" in device.figures and size.quantity.unit in {None, "cm"}
        return sheath and behind == "long" and len(said) <= _FAR and not _STOPS & {*said}

    def _like_that(self, device: Item, size: _Said) -> bool:
        """ "Five French catheter over it, short one, forty", "in over the wire, marker kind, sixty-five"."""
        said = [token.text for token in self._tokens[max(0, size.first - 4) : size.first]]
        ones = len(said) > 3 and said[-1] == "," and said[-2] in _ONES and said[-4] in {",", "the", "a"}
        fits = size.quantity.unit is None and size.quantity.value >= _SHORTEST_ONE and "gauge" in device.figures
        return ones and said[-3].isalpha() and fits and _stands_alone(self._tokens, size)

    def _thickness_of(self, device: Item, index: int, size: _Said) -> bool:
        """ "Wire's gone through to the jejunum, oh three five": of none that came out, was wanted or will not go."""
        if device.name not in _WIRES or "wire_diameter" in device.figures or not is_thickness(size.quantity):
            return False
        said = {token.text for token in self._tokens[index : size.first]}
        after = self._tokens[size.last].text if size.last < len(self._tokens) else "."
        return after in PUNCTUATION | {"and", ""} and not said & _ANOTHER

    def _apposed(self, index: int, size: _Said) -> bool:
        """ "A micro in the lingual, two point three, and …", "micro two point seven advanced": nothing is measured. Not
        "flush the micro, the two point seven".
        """
        said = [token.text for token in self._tokens[index : size.first]]
        after = self._tokens[size.last].text if size.last < len(self._tokens) else "."
        apart = len(said) > _FAR or bool(_STOPS & {*said}) or bool(_OF_VESSELS & {*said})
        apart = apart or (size.device is not None and self._told.isdisjoint(range(index, size.first)))
        return not said or (
            not apart and after in _ENDS and [text for text in said if text not in _ARTICLES][-1:] == [","]
        )

    def _is_of(self, size: _Said, start: int) -> bool:
        """ "The wire measures one eighty and is zero thirty-five": what was taken for a device of its own is a size
        where a word right before it says so, and nothing is told between.
        """
        if size.device is None or "bare" in size.device.figures:
            return True
        said = [self._tokens[at].text for at in range(start, size.first) if self._tokens[at].text not in {"a", "an"}]
        return bool(said) and said[-1] in _MEASURES and self._told.isdisjoint(range(start, size.first))

    def _aside(self, index: int, last: int) -> int:
        """ ", straight, ninety": how many words a few words between commas have, and the comma after them; or none."""
        if not index or self._tokens[index - 1].text != ",":
            return 0
        for count in range(1, _ASIDE + 1):
            if (
                index + count > last
                or index + count - 1 in self._terms
                or not self._tokens[index + count - 1].text.isalpha()
            ):
                return 0
            if index + count < last and self._tokens[index + count].text == ",":
                return count + 1
        return 0


def _is_thin(device: Item, size: _Said) -> bool:
    """Whether a figure can be how wide a microcatheter is that nobody sized yet: no whole number, no unit."""
    width = size.quantity.value
    thin = device.name == "microcatheter" and "gauge" not in device.figures and size.quantity.unit is None
    alone = size.device is None or "bare" in size.device.figures  # "the micro goes, the two point four"
    broken = width % 1 > 0 or size.quantity.form == "decimal"  # "two point zero"
    return thin and alone and 1.5 <= width <= WIDEST_MICRO and broken


def _is_plain(device: Item, quantity: Quantity) -> bool:
    """Whether a bare number can be nothing but how long a wire or how wide a microcatheter is, wherever it is told."""
    micro = device.name == "microcatheter" and (quantity.value % 1 > 0 or quantity.form == "decimal")
    longest = LENGTHS["microcatheter"][0]
    wire = device.name == "wire" and (quantity.value >= longest or in_thousandths(quantity))
    long = device.name.endswith("catheter") and longest <= quantity.value <= LENGTHS["catheter"][1]
    return micro or wire or (long and "gauge" in device.figures and quantity.value % 1 == 0)


def _stands_alone(tokens: Sequence[Token], size: _Said) -> bool:
    """Whether a bare number counts nothing and belongs to no word beside it."""
    after = tokens[size.last].text if size.last < len(tokens) else "."
    before = tokens[size.first - 1].text if size.first else ""
    return after in _ENDS and before not in _NO_SIZE_AFTER


def _leads(tokens: Sequence[Token], device: Item, size: _Said) -> bool:
    """ "One metre fifty, the wire", "a thirty-five, a stiff one": whether a figure can be of what is behind it."""
    if device.span[0] - size.last > _NEAR:
        return False
    told = [told.words for told in device.figures.values()]
    behind = (token for token in tokens[size.last : device.span[0]])
    between = {token.text for token in behind if not any(a <= token.word < b for a, b in told)}
    before = tokens[size.first - 1].text if size.first else ""
    if not between <= _BEFORE_NOUN or before not in _OPENS:
        return False
    thin = device.name == "wire" and in_thousandths(size.quantity) and "," in between
    thin = thin or (
        before in {"", "a", "the", "then"} and _is_thin(device, size)
    )  # "two point four, the microcatheter"
    return size.quantity.unit is not None or size.quantity.value >= _NO_COUNT or thin


def _given(device: Item, quantity: Quantity, *, long: bool = False) -> bool:
    """Gives a device a figure said of it, where it can be a size that nobody said yet."""
    bare = device.figures.get("bare")
    thick = bare is not None and in_thousandths(bare) and quantity.value >= _NO_COUNT
    if bare is not None and quantity.unit is None and not long and not thick:
        return False  # "then the six, also forty": it may be a balloon
    gauged = {"gauge"} if "bare" in device.figures else set()
    found = size_of(device.name or "sheath", quantity, device.figures.keys() | gauged)
    if found is None:
        return False
    device.figures[found[0]] = found[1]
    device.words = (min(device.words[0], quantity.words[0]), max(device.words[1], quantity.words[1]))
    return True
