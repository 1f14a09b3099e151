"""How thick and how long a wire is, told apart from its name: "stiff wire up through the hook, thirty-five, two sixty",
"the stiff one now, the one eighty, same thirty-five", "another wire in the tibial, fourteen too, but one ninety long".

A thickness in thousandths with a length beside it is of nothing but a wire, whatever is said between. One of the two
alone is taken where a word says that it is like another's, or that it is a length.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from extractor.model import Item
from extractor.reading.quantities import FILLERS, Figure
from extractor.reading.terms import Term
from extractor.reading.tokens import PUNCTUATION, Token
from extractor.sizes import LENGTHS, in_thousandths, is_thickness, size_of

#: No wire of a case is shorter, cm, nor told to a finer step than this: common practice, no source.
_SHORTEST, _STEP = 110, 5
#: No balloon or stent is as wide as a wire is thick in thousandths, and as long, mm: common practice, no source.
_NO_BALLOON = 145
#: Between how thick and how long; before the first of them.
_JOINS = FILLERS | set(", and by also too again as well but only a an it's it is that's this time just in inch".split())
_OPENS = FILLERS | set(
    """
    , a an the another same also of is 's it's just too regular standard plain heavy stiff soft floppy slippery slick
    hydrophilic ordinary usual normal proper second third other
    """.split()
)
#: These say that a size is like another's.
_LIKE_BEFORE, _LIKE_AFTER = {"same", "another", "also", "likewise", "again"}, {"also", "too", "again", "likewise"}
#: These say that a figure is a length.
_LONG = (("long",), ("it", "is"), ("will", "do"), ("in", "length"), ("length",), ("i", "believe"), ("i", "think"))
#: Behind a size: it counts nothing.
_ENDS = PUNCTUATION | FILLERS | set("and long so it which that but now please with down up in".split())
_ARTICLES = {"a", "an", "the", "another", "that"}
_KINDS = set("heavy stiff soft floppy slippery slick hydrophilic regular standard long thin fine".split())
#: A wire named after one of these is where another thing goes.
_ALONG = {"over", "on", "along", "off", "onto", "for"}
#: Of these nothing may be told between a wire and its size.
_OTHERS = {"inflate", "hold", "run", "by hand", "by pump", "measure", "act", "gradient", "press", "total"}
_WAYS = {"particle", "particle out", "placed", "removed", "advance", "go", "exchange"}


@dataclass(frozen=True, slots=True)
class WireRow:
    """Figures of one sentence that can be nothing but the sizes of a wire."""

    figures: tuple[Figure, ...]

    @property
    def first(self) -> int:
        return self.figures[0].first


def wire_rows(tokens: Sequence[Token], figures: Sequence[Figure]) -> list[WireRow]:
    """Figures of a sentence -> those that tell how thick and how long a wire is. Linear."""
    rows: list[WireRow] = []
    index = 0
    while index < len(figures):
        one, other = figures[index], figures[index + 1] if index + 1 < len(figures) else None
        if other is not None and _is_row(tokens, one, other):
            rows.append(WireRow((one, other)))
            index += 1
        elif _is_alike(tokens, one) or _is_long(tokens, one):
            rows.append(WireRow((one,)))
        index += 1
    return rows


def is_given(row: WireRow, devices: Sequence[Item]) -> bool:
    """Whether a wire has these sizes already."""
    told = {size.words[0] for device in devices if device.name.endswith("wire") for size in device.figures.values()}
    return all(figure.parts[0].words[0] in told for figure in row.figures)


def give_wire_sizes(
    tokens: Sequence[Token], terms: Sequence[Term], rows: Sequence[WireRow], devices: list[Item]
) -> set[int]:
    """Gives the wires of a sentence the sizes that are told apart from them; the first tokens of these figures."""
    taken: set[int] = set()
    for row in rows:
        wire = _wire_of(tokens, terms, row, devices)
        if wire is None and (wire := _headless_wire(tokens, terms, row, devices)) is not None and wire not in devices:
            devices.append(wire)
            devices.sort(key=lambda one: one.span)
        sizes = [size_of("wire", figure.parts[0], wire.figures.keys()) for figure in row.figures] if wire else [None]
        for figure, size in zip(row.figures, sizes, strict=False):
            if wire is None or size is None or None in sizes:
                break
            wire.figures[size[0]] = size[1]
            wire.words = (min(wire.words[0], size[1].words[0]), max(wire.words[1], size[1].words[1]))
            taken.add(figure.first)
    return taken


def _wire_of(tokens: Sequence[Token], terms: Sequence[Term], row: WireRow, devices: Sequence[Item]) -> Item | None:
    """The wire named last before its sizes: what is named between them is only where it goes."""
    before = [device for device in devices if device.span[0] < row.first and (device.name or device.figures)]
    for device in sorted(before, key=lambda one: one.span, reverse=True):
        if device.name.endswith("wire"):
            aside = device.where in _ALONG and any(other.role != "insert" for other in devices)
            inside = {token.text for token in tokens[row.figures[0].last : row.figures[-1].first]} & {"in"}
            gone = {token.text for token in tokens[device.span[1] : row.first]} & {"out", "off", "away"}
            aside = aside or bool(inside and gone)  # "thin wire out, thirty-five in, one forty-five"
            return None if aside or _told_between(tokens, terms, device, row) else device
        length = device.figures.get("bare")
        apposed = not device.name and length is not None and length.value >= _SHORTEST  # "the wire, the one eighty"
        if not apposed and (device.role != "insert" or not device.where):
            return None
    return None


def _headless_wire(
    tokens: Sequence[Token], terms: Sequence[Term], row: WireRow, devices: Sequence[Item]
) -> Item | None:
    """ "The soft one, thirty-five, two sixty, is through", "a heavy eighteen, three hundred long": a wire called by its
    sizes alone, where nothing is spoken of that has a pressure or a time.
    """
    told = any(_tells_other(term) for term in terms) or any(device.role != "insert" for device in devices)
    if len(row.figures) < 2 or row.figures[1].parts[0].value < _NO_BALLOON or told:
        return None
    first = row.first
    for device in devices:  # "the floppy one"
        if device.headless and not device.name and not device.figures and 0 <= first - device.span[1] <= 1:
            device.name = "wire"
            return device
    said = [token.text for token in tokens[max(0, first - 3) : first]]
    one = said[-2:] in (["one", ","], ["fellow", ","], ["guy", ","], ["lad", ","])
    called = said[-1:] and (said[-1] in _ARTICLES or (said[-1] in _KINDS and said[-2:-1] and said[-2] in _ARTICLES))
    if not one and not called:
        return None
    begin = first - 2 if one else first
    span, words = (begin, row.figures[-1].last), (tokens[begin].word, tokens[row.figures[-1].last - 1].past)
    text = " ".join(token.text for token in tokens[slice(*span)])
    definite = "the" in said or "that" in said
    return Item("device", words, text, name="wire", role="insert", definite=definite, headless=True, span=span)


def _told_between(tokens: Sequence[Token], terms: Sequence[Term], device: Item, row: WireRow) -> bool:
    """Whether something else is told between a wire and figures."""
    between = (term for term in terms if device.span[1] <= term.first < row.first)
    return any(_tells_other(term) and tokens[term.first].text != "up" for term in between)


def _tells_other(term: Term) -> bool:
    """Whether a term is of a drug, a finding, or of what balloons, runs and measures do."""
    names = {getattr(entry, "name", "") for table, entry in term.found if table == "action"}
    others = term.tables & {"drug", "finding"}
    return bool(others or (names & _OTHERS and not names & _WAYS))


def _is_row(tokens: Sequence[Token], one: Figure, other: Figure) -> bool:
    """ "thirty-five, two sixty", "oh one four, also three hundred"."""
    between = [token.text for token in tokens[one.last : other.first]]
    return (
        _is_thick(one) and _may_be_length(other) and {*between} <= _JOINS and (not between or between != ["and"])
        and _opens(tokens, one) and _ends(tokens, other)
    )  # fmt: skip


def _is_alike(tokens: Sequence[Token], figure: Figure) -> bool:
    """ "same thirty-five", "another oh three five", "eighteen too"."""
    before = [token.text for token in tokens[max(0, figure.first - 2) : figure.first]]
    behind = [token.text for token in tokens[figure.last : figure.last + 1]]
    if not (_is_thick(figure) or _may_be_length(figure)):
        return False
    if before and (before[-1] in _LIKE_BEFORE or (before[0] in _LIKE_BEFORE and before[-1] in {"a", "an", "the"})):
        return _ends(tokens, figure)
    return before[-1:] == [","] and bool(behind) and behind[0] in _LIKE_AFTER


def _is_long(tokens: Sequence[Token], figure: Figure) -> bool:
    """ "three hundred long", "two sixty it is", "a hundred and eighty will do"."""
    if not _may_be_length(figure):
        return False
    behind = tuple(token.text for token in tokens[figure.last : figure.last + 3])
    behind = behind[1:] if behind[:1] == (",",) else behind
    return any(behind[: len(words)] == words for words in _LONG)


def _is_thick(figure: Figure) -> bool:
    size = figure.parts[0]
    return figure.shape == "one" and (in_thousandths(size) or is_thickness(size))


def _may_be_length(figure: Figure) -> bool:
    size = figure.parts[0]
    counted = size.form in {"cardinal", "digits", "spelled"} and not size.value % _STEP
    bare = size.unit is None or (size.unit == "cm" and size.words[1] > size.words[0])
    return figure.shape == "one" and bare and counted and _SHORTEST <= size.value <= LENGTHS["wire"][1]


def _opens(tokens: Sequence[Token], figure: Figure) -> bool:
    return figure.first == 0 or tokens[figure.first - 1].text in _OPENS


def _ends(tokens: Sequence[Token], figure: Figure) -> bool:
    return _text(tokens, figure.last) in _ENDS


def _text(tokens: Sequence[Token], at: int) -> str:
    return tokens[at].text if at < len(tokens) else "."


def without(figures: Sequence[Figure], rows: Collection[WireRow]) -> list[Figure]:
    """Figures that are in no row."""
    held = {figure.first for row in rows for figure in row.figures}
    return [figure for figure in figures if figure.first not in held]
