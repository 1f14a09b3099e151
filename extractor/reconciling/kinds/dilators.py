"""Dilators, one after another, each called by its gauge alone: "dilators, six and then eight… six passed", "dilate up.
Eight's been through", "dilated with ten, twelve and fourteen French".
"""

from extractor.model import Item, Quantity, Sentence, Status
from extractor.reconciling.kinds.brought import add_verb
from extractor.reconciling.marks import OUT_ENDS
from extractor.reconciling.story import Story, carried

#: For so many sentences a number that went in is one of the dilators spoken of; set by hand, no source.
_LATELY = 4
#: Gauges, Fr: common practice, no source.
_THINNEST, _WIDEST = 4, 30
#: What a number may be of where one of these was spoken of since.
_OTHER_TOPICS = {"drug", "run"}
_MOVES = {"placed", "particle", "removed", "particle out"}
#: A number and what became of it stand no farther apart, in tokens; set by hand, no source.
_NEAR = 3
#: Before one that moves: "theatre six", "patient six" are none.
_BEFORE_ONE = frozenset(
    ". , ... ! ; - and then now next the a an that this so okay right wee first my your our with finally".split()
)
#: Where no dilator goes, so many tokens behind it.
_ELSEWHERE = frozenset("home theatre ward recovery lunch message lab corridor room bed store stock of minutes".split())
_FAR = 5
#: It goes in by the first, comes out by the last, and these stand between.
_BEFORE_THERE = frozenset(", is was 's goes all both each okay".split())
_THERE = frozenset("in through over up down doon inside passed passes across".split())
_AND_BACK = frozenset(", and then ... - through straight right all taken pulled comes okay".split())
_PARTS = frozenset(", and then ... -".split())
_BACK = frozenset("out oot off back away up withdrawn removed again".split())
_PLACED, _REMOVED, _NONE = frozenset({"placed"}), frozenset({"removed"}), frozenset[str]()
#: Between the gauges of a row, and beside one told alone.
_IN_ROW = frozenset(", . and then a an the next first second third last finally after that by followed please".split())
#: Dilators of these are no more than told of.
_NOT_HERE = {Status.NEGATED, Status.PAST, Status.QUOTED}


class Dilators:
    """Which numbers stand for dilators, sentence by sentence."""

    def __init__(self) -> None:
        self._named = -9  # the sentence that last named dilators
        self._spoken = -9  # and the one that last spoke of them, or of widening with no balloon told of
        self._width: Quantity | None = None  # a number told with such a verb

    def name(self, story: Story, sentence: Sentence) -> None:
        """Makes dilators, in place, of the numbers in a sentence that stand for them."""
        before = self._spoken
        named = [item for item in sentence.items if item.name == "dilator" and item.status not in _NOT_HERE]
        if not named and self._widens(story, sentence):
            self._spoken = story.number
            self._width = _only_number(sentence)
        elif named:
            if not named[0].figures and self._width is not None and story.number - self._spoken <= 1:
                named[0].figures["gauge"] = carried(self._width).in_unit("[Ch]")  # "I dilate with ten. Dilator passed."
            self._named = self._spoken = story.number
            self._width = None
        elsewhere = not named and (story.topic in _OTHER_TOPICS or bool(story.mentions("drug")))
        if elsewhere or story.number - self._spoken > _LATELY:
            return
        goes_on = self._named == story.number - 1 and _names_numbers_only(sentence)
        row = named[0].span[1] if named and not named[0].where else 0 if goes_on else None
        row = _dilated_in_turn(sentence) if row is None and self._spoken == story.number else row
        for at, item in enumerate(sentence.items):  # one that moves gets its verb behind it
            gauge = _gauge(item)
            if gauge is None or _is_anothers(story, gauge):
                continue
            moves = _moves(sentence, at)
            in_row = row is not None and item.span[0] >= row and {*sentence.tokens[row : item.span[0]]} <= _IN_ROW
            in_row = in_row and (moves or {*sentence.tokens[item.span[1] : item.span[1] + 1]} <= _IN_ROW)
            if not in_row and not moves:
                continue
            _make_dilator(item, gauge)
            self._spoken = story.number
            if in_row:
                row, self._named = item.span[1], story.number
        for dilators in _rows(sentence):
            _part_way_and_back(sentence, _past(dilators[-1]), dilators)
        if not named and before == story.number - 1:
            _part_way_and_back(sentence, 0, [])

    @staticmethod
    def _widens(story: Story, sentence: Sentence) -> bool:
        """ "Dilate up": where no balloon was told of, a tract is widened."""
        said = any(item.kind == "action" and "dilat" in item.text for item in sentence.items)
        return said and not any(thing.role in {"inflation", "stent"} for thing in story.things)


def _dilated_in_turn(sentence: Sentence) -> int | None:
    """ "Dilate eight, ten, twelve": where the row of gauges begins, each thicker than the one before."""
    verb = next((item for item in sentence.items if item.kind == "action" and "dilat" in item.text), None)
    if verb is None or sentence.question:
        return None
    row = []
    for item in sentence.items[sentence.items.index(verb) + 1 :]:
        if (gauge := _gauge(item)) is not None:
            row.append(gauge.value)
        elif item.kind != "mark":
            break
    return verb.span[1] if len(row) > 1 and row == sorted({*row}) else None


def dilated_with(story: Story) -> list[Item]:
    """ "Dilated with ten, twelve and fourteen French": each a dilator, where one is told in French or by its name."""
    row: list[tuple[Item, Quantity]] = []
    for other in story.ahead():
        figure = other.figures.get("value") or other.figures.get("gauge")
        counts = other.kind == "quantity" and not {other.after} <= _IN_ROW | {""}  # "and five passes were made"
        counts = counts or other.before not in _IN_ROW | {"", "with", "to"}  # "room nine"
        if figure is not None and figure.unit in {None, "[Ch]"} and other.name in {"", "dilator"} and not counts:
            row.append((other, figure))
        elif other.kind != "mark" or other.text not in {",", "and", "then"}:
            break
    if not any("gauge" in item.figures for item, _ in row):
        return []
    return [_make_dilator(item, figure) for item, figure in row]


def _make_dilator(item: Item, gauge: Quantity) -> Item:
    item.kind, item.role, item.name, item.headless = "device", "insert", "dilator", True
    item.figures = {"gauge": gauge.in_unit("[Ch]")}
    return item


def _gauge(item: Item) -> Quantity | None:
    """The gauge a number can be that is no figure of anything else."""
    bare = item.figures.keys() == {"bare"} and item.kind == "device"
    quantity = item.figures["bare" if bare else "value"] if bare or item.kind == "quantity" else None
    if quantity is None or quantity.unit not in {None, "[Ch]"} or quantity.value % 1:
        return None
    return quantity if _THINNEST <= quantity.value <= _WIDEST else None


def _is_anothers(story: Story, gauge: Quantity) -> bool:
    """Whether something else is called by this number: a drain of ten French, a wire of eighteen."""
    return any(
        round(known.value * (1000 if key == "wire_diameter" else 1)) == gauge.value
        for thing in story.things
        if thing.name != "dilator" and thing.where not in {"out", "refused", "used"}
        for key, known in thing.values.items()
        if key in {"gauge", "diameter", "wire_diameter"}
    )


def _moves(sentence: Sentence, at: int) -> bool:
    """ "Six passed", "eight's been through", "twelve is tough... in"."""
    item, ahead = sentence.items[at], sentence.items[at + 1 :]
    before = sentence.tokens[item.span[0] - 1] if item.span[0] else "."
    if before not in _BEFORE_ONE or _ELSEWHERE & {*sentence.tokens[item.span[1] : item.span[1] + _FAR]}:
        return False  # "theatre six passed the message on", "six went home"
    if sentence.tokens[item.span[1] : item.span[1] + 1] in {("goes",), ("went",)} and not _is_action(
        sentence, item.span[1]
    ):
        add_verb(sentence, item.span[1], frozenset({"placed"}))
        return True
    following = next((other for other in ahead if other.text not in {"...", "-", ","}), None)
    if following is None or following.kind != "action" or following.text == "passes":
        return False  # "five passes were made"
    return bool(following.meanings & _MOVES) and following.span[0] - item.span[1] <= _NEAR


def _past(item: Item) -> int:
    """The token after a mention and the sizes said behind it."""
    told = max((figure.words[1] for figure in item.figures.values()), default=0) - item.words[0]
    return max(item.span[1], item.span[0] + told)


def _part_way_and_back(sentence: Sentence, begins: int, row: list[Item]) -> None:
    """ "Twelve, in, out.", "eight over and back", "ten, twelve, both passed and taken back", "In and out.": they went
    in, and came out.
    """
    tokens, there = sentence.tokens, begins
    while tokens[there : there + 1] != () and tokens[there] in _BEFORE_THERE:
        there += 1
    back = there + 1
    while tokens[back : back + 1] != () and tokens[back] in _AND_BACK:
        back += 1
    end = back
    while tokens[end : end + 1] != () and tokens[end] in _BACK:
        end += 1
    told = {*tokens[there : there + 1]} & _THERE and there + 1 < back < end
    if not told or {*tokens[end : end + 1]} - OUT_ENDS - {"both"} or {*tokens[there + 1 : back]}.isdisjoint(_PARTS):
        return
    kept = [item for item in sentence.items if item.kind in {"device", "mark"} or not begins <= item.span[0] < end]
    sentence.items[:] = kept
    going, coming = (add_verb(sentence, at, meaning) for at, meaning in ((there, _PLACED), (end - 1, _REMOVED)))
    _point(sentence, coming)
    if not row:
        _point(sentence, going)
    for dilator in row[:-1]:
        at, past = sentence.items.index(dilator) + 1, dilator.span[1]
        verbs = (("action", "in", _PLACED), ("mark", ",", _NONE), ("pronoun", "it", _NONE), ("action", "out", _REMOVED))
        sentence.items[at:at] = [
            Item(
                kind, dilator.words, text, name="it" if kind == "pronoun" else "", meanings=meanings, span=(past, past)
            )
            for kind, text, meanings in verbs
        ]


def _point(sentence: Sentence, verb: Item) -> None:
    """Puts a pronoun before a verb."""
    it = Item("pronoun", verb.words, "it", name="it", span=(verb.span[0], verb.span[0]))
    sentence.items.insert(sentence.items.index(verb), it)


def _rows(sentence: Sentence) -> list[list[Item]]:
    """The dilators of a sentence, those together that stand with nothing but marks between."""
    rows: list[list[Item]] = []
    apart = True
    for item in sentence.items:
        if item.name == "dilator" and item.status not in _NOT_HERE:
            rows = [*rows, [item]] if apart else [*rows[:-1], [*rows[-1], item]]
            apart = False
        elif item.kind != "mark":
            apart = True
    return rows


def _is_action(sentence: Sentence, at: int) -> bool:
    return any(other.kind == "action" and other.span[0] <= at < other.span[1] for other in sentence.items)


def _names_numbers_only(sentence: Sentence) -> bool:
    """ "Six first. Then eight.": a sentence of nothing but gauges and their order."""
    covered = {at for item in sentence.items if _gauge(item) is not None for at in range(*item.span)}
    return bool(covered) and {text for at, text in enumerate(sentence.tokens) if at not in covered} <= _IN_ROW


def _only_number(sentence: Sentence) -> Quantity | None:
    found = [gauge for item in sentence.items if (gauge := _gauge(item)) is not None]
    return found[0] if len(found) == 1 and not sentence.question else None
