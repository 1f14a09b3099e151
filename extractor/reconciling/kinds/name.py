"""A bare number that names a device: "six out, eight in", "the eighty now", "fourteen's across". Hears first, claims
nothing.
"""

from dataclasses import replace
from itertools import pairwise

from extractor.model import SIDES, Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.bare_figures import TAKEN
from extractor.reconciling.kinds.by_number import (
    as_wire,
    is_wire_along,
    is_wire_back,
    is_wire_gone,
    is_wire_next,
    name_taken,
    other_is_called,
)
from extractor.reconciling.kinds.called import name_called
from extractor.reconciling.kinds.told_out import name_what_left
from extractor.reconciling.marks import OUT_ENDS
from extractor.reconciling.size_roles import POURED
from extractor.reconciling.story import NOT_DONE, Draft, Hearing, Story, Thing, carried
from extractor.reconciling.thousands import in_thousands
from extractor.sizes import WIDEST_MICRO, in_thousandths
from extractor.units import BALLOON_PRESSURES

#: The narrowest and the widest sheath, Fr: common practice, no source.
_SHEATHS = (3, 28)
#: For so many sentences another sheath goes in where one came out; set by hand, no source.
_EXCHANGED = 2
#: Words of a hole that is closed.
_AT_A_HOLE = frozenset(
    """
    suture sutures sutured stitch stitches stitched sewn sews sew knot knots tie tied plug press pressing presses thumb
    dry closed seal sealed
    """.split()
)
#: The narrowest and the widest balloon, mm: common practice, no source.
_BALLOONS = (2, 40)
_OUT = {"out", "off", "away", "coming", "comes", "came"}
#: Before a number that is a wire's: nothing that would be counted or numbered.
_BEFORE_WIRE = frozenset(
    """
    the that this our my a an , . ... ! ? and then now so okay oh with left right remove take pull first again
    """.split()
) | {""}
#: How far a charted diameter may be from the label of a small balloon or stent: common practice, no source.
_CHARTED = 0.15
#: No balloon or stent is taken higher, atm: common practice, no source.
_HIGHEST = 30
_KEYS = {
    "insert": ("gauge", "wire_diameter", "length"),
    "inflation": ("diameter", "length"),
    "stent": ("diameter", "length"),
    "embolise": ("diameter", "length"),
}


_IS = {"'s", "is", "was"}
_IS_IN = {"'s in", "is in", "'s up", "is up"}
#: Before it, what something is done with; and behind a figure that is then no width.
_BY = {"with", "using", "by"}
#: … and what is taken up to a figure.
_TAKES_UP = frozenset("inflate inflating inflated reinflate pump dilate blow take took bring".split())
_NOT_A_WIDTH = frozenset("of more other others patients people".split())
#: Somebody would do so.
_WISHED = frozenset("wants wanted would could might suggests suggested".split())
#: "One ten": no width and length said together are less.
_LEAST_BOTH = 110
_THE = {"the", "that", "this", "our", "my", "same"}
#: Before the width of what lies there, said alone; and where it does.
_BEGINS = frozenset(", . ... ; ! and so now then okay right".split())
_LYING = frozenset("across over through inside past beyond".split())
#: All that may stand beside the length that is chosen; so many sentences ago it was offered, and what is less may be a
#: pressure: set by hand.
_LEADS = frozenset(". ... , ok okay right then so yes no hm the go for".split())
_CHOOSES = frozenset(
    ". ... , 's is good fine it then please better enough will 'll do that kindly sir doctor love darling".split()
)
_JUST_OFFERED, _LEAST_LENGTH = 3, 18
#: Told by a width and a length.
_SIZED = {"inflation", "stent"}
#: What "the little one" is compared by, and whether it is the greatest; and for so many sentences: set by hand.
_EXTREMES = {
    "small": ("diameter", False),
    "big": ("diameter", True),
    "short": ("length", False),
    "long": ("length", True),
}
_LATELY = 8


_NEW = {"a", "an", "another", "no", "second", "new"}
_RAISED = {Kind.INFLATION, Kind.STENT}
#: After "the same six": it is how wide that was.
_AFTER_SAME = frozenset(", . : ... - inside in into back across again balloon now there through to at and".split()) | {
    ""
}
#: While one of these is spoken of, a number with "again" is theirs.
_OF_OTHERS = {"inflation", "stent", "embolise", "drug", "run", "measure"}


class Names(Hearing):
    """Turns a bare number beside a word of place into the device of that size, or back into a number where there is
    none.
    """

    def __init__(self) -> None:
        self.numbered: dict[float, int] = {}  # what a room or bed is called, and the sentence that last said so

    def begin(self, story: Story, sentence: Sentence) -> None:
        name_taken(story, sentence)
        name_what_left(story, sentence)
        name_called(story, sentence)
        for item in list(sentence.items):
            if item.kind == "quantity" and item.before in TAKEN:
                self.numbered[item.figures["value"].value] = story.number
            for key, quantity in item.figures.items():
                if key in {"bare", "a", "value"} and (size := _in_tenths(story, quantity, key == "a")) is not None:
                    if key == "value" and not _named_by_place(story, sentence, item):
                        continue
                    item.figures[key] = size
                    if key == "value":
                        item.kind, item.figures, item.definite, item.headless = "device", {"bare": size}, True, True
            if item.kind == "quantity" and _one_more(story, item):
                _as_sheath(story, item)
            if item.kind == "quantity" and _dilated_to(story, sentence, item):
                item.kind, item.figures = "device", {"bare": replace(item.figures["value"], unit=None)}
                item.definite = item.headless = True
            if item.kind == "quantity" and (_same_width(story, sentence, item) or _lies_there(story, sentence, item)):
                item.kind, item.figures = "device", {"bare": item.figures["value"]}
                item.definite = item.headless = True
            one = None
            if item.kind == "quantity":
                one = _with_it(story, sentence, item) or _by_both(story, item) or _chosen(story, sentence, item)
            if one is not None:
                item.kind, item.role, item.definite, item.headless = "device", one.role, True, True
                item.figures = {key: carried(one.values[key]) for key in _KEYS[one.role] if key in one.values}
            if item.role == "inflation" and item.figures.keys() == {"diameter"}:
                _recall(story, item)
            if item.kind == "pair" and _balloon_at(story, sentence, item):
                _part(sentence, item)

    def hear(self, story: Story, item: Item) -> bool:
        if (one := _stands_for(story, item)) is not None:
            item.role, item.name = one.role, one.name
            item.figures = {key: carried(one.values[key]) for key in _KEYS[one.role] if key in one.values}
            return False
        if item.kind != "device" or "bare" not in item.figures:
            return False
        quantity = item.figures.pop("bare")
        rest = item.figures  # "nine in, eleven centimetres"
        following = story.after()
        leaving = following is not None and bool(
            following.meanings & {"removed"} or (following.kind == "action" and set(following.text.split()) & _OUT)
        )
        dosed = any(other.kind == "drug" and other.figures for other in story.behind())
        if (dosed and item.status is Status.NEGATED) or _dose_waits(story, quantity, following):
            item.kind, item.figures = "quantity", {"value": quantity}  # "two point five milligrams and not the five"
            return False
        if _of_what_is_poured(story, item):
            item.kind, item.figures = "quantity", {"value": quantity}
            return False
        timed = story.recent(Kind.CLOSURE, 2)
        if timed is not None and _time_is_up(timed, quantity, following):
            item.kind, item.figures = "quantity", {"value": quantity}
            return False
        found = _named(story, item, quantity, leaving) if item.definite else None
        numbered = item.before not in _THE and story.number - self.numbered.get(quantity.value, -_LATELY) < _LATELY
        if numbered:
            found = None  # "He's in room six. / Six is out.": the patient
        then = story.after("mark")
        if found is not None and found[0].role == "insert" and then is not None and "deflate" in then.meanings:
            found = None  # "that's the five, deflate": its minutes
        if (
            found is None
            and not rest
            and (
                is_wire_along(story, item, quantity)
                or is_wire_gone(story, item, quantity, leaving=leaving)
                or is_wire_back(story, item, quantity, following)
            )
        ):
            as_wire(item, quantity)
            return False
        if found is None and not rest.keys() - {"length"} and is_wire_next(story, item, quantity, following):
            as_wire(item, quantity)
            item.figures |= rest
            return False
        if (
            found is None
            and not item.definite
            and not _sheath_gone(story, quantity)
            and story.spoken_role in {"inflation", "stent"}
            and story.sentence.breath - story.spoken_breath <= 3
        ):
            item.role, item.figures = story.spoken_role, {"diameter": quantity}
            return False
        if found is None and not item.definite and _wondered(story, item, quantity):
            item.role, item.figures = "inflation", {"diameter": quantity.flagged("unit-assumed", unit="mm")}
            return False
        if found is None and _sheath_next(story, item, quantity, following):
            item.role, item.name, item.figures = "insert", "sheath", rest | {"gauge": quantity.in_unit("[Ch]")}
            return False
        if found is None and leaving and item.definite and not numbered and _is_sheath_gone(story, item, quantity):
            item.role, item.name, item.figures = "insert", "sheath", rest | {"gauge": quantity.in_unit("[Ch]")}
            return False
        if found is None and _is_micro(story, item, quantity, following):
            item.role, item.name, item.figures = "insert", "microcatheter", rest | {"gauge": quantity.in_unit("[Ch]")}
            return False
        if found is None and _other_than_asked(story, item, quantity, following):
            gauge = quantity.in_unit("[Ch]").flagged("which-device")
            item.role, item.name, item.figures = "insert", "sheath", rest | {"gauge": gauge}
            return False
        if found is None:
            item.kind, item.figures = "quantity", {"value": quantity}
            return False
        thing, key = found
        item.role, item.name, item.nickname = thing.role, thing.name, thing.nickname
        known = thing.values[key]
        item.figures = {key: replace(known, words=quantity.words, heard=quantity.heard) if _dilates(thing) else known}
        if thing.role == "insert":
            item.figures = rest | item.figures
        return False


def _of_what_is_poured(story: Story, item: Item) -> bool:
    """ "Foam goes. Four. Five in fact, five were in.": so much of what is poured, not a catheter."""
    last, active = story.drafts[-1] if story.drafts else None, story.active
    pours = active is not None and active.name in POURED and last is not None and last.kind is Kind.EMBOLISE
    return pours and last is not None and story.sentence.breath - last.breath <= 1 and item.before not in _THE


def _one_more(story: Story, item: Item) -> bool:
    """ "Seven again.", "another six, in": one more sheath of a gauge the case knows, nothing else spoken of."""
    quantity = item.figures["value"]
    said = item.before == "another" or (item.after == "again" and not item.span[0])
    if not said or quantity.unit is not None or story.topic in _OF_OTHERS:
        return False
    if any(thing.where == "up" for thing in story.things):
        return False
    return any(_is_sheath(thing, quantity) for thing in story.things)


def _is_sheath(thing: Thing, gauge: Quantity) -> bool:
    """Whether a device is a sheath, or one nobody named, of this gauge."""
    named = thing.role == "insert" and thing.name in {"", "sheath"} and "gauge" in thing.values
    return named and thing.values["gauge"].value == gauge.value


def _as_sheath(story: Story, item: Item) -> None:
    """The figure becomes a sheath: a new one, but where it only says again what was just asked for."""
    gauge = item.figures["value"].in_unit("[Ch]")
    waits = any(thing.where == "asked" and _is_sheath(thing, gauge) for thing in story.things)
    item.kind, item.role, item.name, item.headless = "device", "insert", "sheath", True
    item.figures, item.qualifiers = {"gauge": gauge}, item.qualifiers if waits else item.qualifiers | {"new"}


def _in_tenths(story: Story, quantity: Quantity, charted: bool) -> Quantity | None:
    """ "the two five", "three oh": digits in a row as the millimetres of a balloon or stent of this case; of a chart,
    near its size. None where they are no such size.
    """
    if quantity.unit is not None or quantity.form not in {"digits", "spelled"}:
        return None
    slack = _CHARTED if charted else 1e-6
    known = [thing.values["diameter"].value for thing in story.things if "diameter" in thing.values and _dilates(thing)]
    sizes = [quantity.value / tenth for tenth in (10, 100)]
    size = next((size for size in sizes if any(abs(size - one) <= slack * one for one in known)), None)
    flags = tuple(flag for flag in quantity.flags if flag != "two-readings")
    return replace(quantity, value=size, flags=flags, alternatives=()) if size is not None else None


def _dilates(thing: Thing) -> bool:
    return thing.role in {"inflation", "stent"}


def _named_by_place(story: Story, sentence: Sentence, item: Item) -> bool:
    """ "Three oh, distal.", "Three five.": nothing else is said, and it can be no pressure of what is up."""
    others = [other for other in sentence.items if other is not item and other.kind != "mark"]
    placed = {other.span for other in others if other.kind in {"side", "place", "part"}}
    alone = not item.span[0] and all(other.span in placed for other in others)
    up = any(thing.where == "up" for thing in story.things)
    return alone and (item.figures["value"].value > _HIGHEST or (bool(placed) and not up))


def _dilated_to(story: Story, sentence: Sentence, item: Item) -> bool:
    """ "dilate to eight, twelve atmospheres": the balloon of that width, not a pressure, for that follows."""
    verb = sentence.tokens[max(0, item.span[0] - 3) : item.span[0]]
    figures = [other for other in sentence.items if other.kind == "quantity"]
    following = figures[figures.index(item) + 1 :][:1]
    if verb[-1:] != ("to",) or not any("dilat" in word for word in verb) or not following:
        return False
    size, pressure = item.figures["value"], following[0].figures["value"]
    if size.unit not in {None, "mm"} or pressure.unit not in BALLOON_PRESSURES:
        return False
    return _has_balloon(story, size)


def _same_width(story: Story, sentence: Sentence, item: Item) -> bool:
    """ "Same seven inside, twelve.", "Twelve again, in the stent, ten bar": a balloon that was up before, by its width;
    no pressure, where that is told behind it and the last one was another.
    """
    width = item.figures["value"]
    again = item.before == "again" or item.after == "again"
    if not (item.before == "same" or again) or width.unit is not None or item.status in NOT_DONE:
        return False
    at = next(at for at, other in enumerate(sentence.items) if other is item)
    behind = [other for other in sentence.items[at + 1 :] if other.kind == "quantity"]
    units = {other.figures["value"].unit for other in behind}
    raised = any(other.before in {"to", "at", ",", "now"} for other in behind) and units <= {None, *BALLOON_PRESSURES}
    if again and not (raised or units & {*BALLOON_PRESSURES}):
        return False
    if item.before == "same" and item.after not in _AFTER_SAME:
        return False
    lately = (draft for draft in reversed(story.lately()) if "pressure" in draft.values and draft.kind in _RAISED)
    last = next(lately, None)
    if last is not None and last.values["pressure"].value == width.value:
        return False
    used = (thing for thing in story.things if thing.role == "inflation" and thing.where == "used")
    return any("diameter" in thing.values and thing.values["diameter"].value == width.value for thing in used)


def _lies_there(story: Story, sentence: Sentence, item: Item) -> bool:
    """ "Three gone across.", "Eight over it and sitting in the neck.": what lies there is the balloon of that width
    that was asked for or used; no pressure, since nothing is up.
    """
    width, first = item.figures["value"], item.span[0]
    begins = not first or sentence.tokens[first - 1] in _BEGINS
    if not begins or width.unit is not None or item.status in NOT_DONE or sentence.question:
        return False
    at = next(at for at, other in enumerate(sentence.items) if other is item)
    if any(other.kind in {"finding", "quantity"} for other in sentence.items[:at]):
        return False  # "a haematoma, four centimetres... five across"
    lying = next(iter(sentence.items[at + 1 : at + 2]), item)
    if lying.kind != "action" or lying.span[0] != item.span[1] or lying.status in NOT_DONE:
        return False
    if not (lying.meanings & {"placed", "particle"} and {*lying.text.split()[-1:]} & _LYING):
        return False
    if any(thing.where == "up" for thing in story.things):
        return False
    waits = (thing for thing in story.things if thing.role in _SIZED and thing.where in {"asked", "used"})
    return any("diameter" in thing.values and thing.values["diameter"].value == width.value for thing in waits)


def _with_it(story: Story, sentence: Sentence, item: Item) -> Thing | None:
    """ "Mould it with the sixteen, to eight.", "flared with the nine we had": what is done with is the balloon of that
    width the case knows, and no pressure.
    """
    width = item.figures["value"]
    if width.unit is not None or item.status in NOT_DONE or item.after in _NOT_A_WIDTH or item.span[0] < 2:
        return None
    by, the = sentence.tokens[item.span[0] - 2 : item.span[0]]
    raised = by in _TAKES_UP and {"to", "at"} & {*sentence.tokens[item.span[1] : item.span[1] + 3]}
    if not (by in _BY or raised) or the not in _THE or sentence.texts & _WISHED:
        return None
    balloons = [thing for thing in story.things if thing.role == "inflation" and thing.where != "refused"]
    wide = [one for one in balloons if "diameter" in one.values and one.values["diameter"].value == width.value]
    return max(wide, key=lambda thing: thing.seen, default=None)


def _chosen(story: Story, sentence: Sentence, item: Item) -> Thing | None:
    """ "Four by twenty, four by thirty, got both. … Thirty.", "Forty's good.": which of the lengths just offered; with
    nothing up, no pressure.
    """
    said = item.figures["value"]
    if said.unit is not None or item.status in NOT_DONE or said.value < _LEAST_LENGTH:
        return None
    if {*sentence.tokens[: item.span[0]]} - _LEADS:
        return None
    if {*sentence.tokens[item.span[1] :]} - _CHOOSES:
        return None
    offered = [
        thing
        for thing in story.things
        if thing.role in _SIZED and "length" in thing.values and story.number - thing.seen <= _JUST_OFFERED
    ]
    lengths = {thing.values["length"].value for thing in offered if thing.where != "up"}
    if len(lengths) < 2 or any(thing.where == "up" for thing in story.things):
        return None
    meant = [thing for thing in offered if thing.values["length"].value == said.value and thing.where == "asked"]
    for other in offered if meant else ():
        if other.where == "asked" and other.role == meant[-1].role and other is not meant[-1]:
            other.where = "thought"
    if meant:
        length = meant[-1].values["length"]
        meant[-1].values["length"] = replace(length, words=said.words, heard=said.heard)
    return meant[-1] if meant else None


def _by_both(story: Story, item: Item) -> Thing | None:
    """ "one more go with the five forty": a balloon or stent of this case by its width and length, no "by" between."""
    said = item.figures["value"]
    if item.before not in _THE or said.unit is not None or not _LEAST_BOTH <= said.value or said.value % 5:
        return None
    wide, long = divmod(said.value, 100)
    if "hundred" in said.heard or not long:
        return None
    for thing in reversed(story.things):
        told = (
            thing.role in _SIZED and thing.where in {"asked", "used", "up"} and {*_KEYS[thing.role]} <= {*thing.values}
        )
        if told and (thing.values["diameter"].value, thing.values["length"].value) == (wide, long):
            return thing
    return None


def _recall(story: Story, item: Item) -> None:
    """ "Eight balloon again inside": no new one, where one as wide was up before; "the six balloon", of one nobody
    has spoken of, asks for none.
    """
    new = item.text.split()[0] in _NEW or item.before in _NEW
    width = item.figures["diameter"]
    if new or not item.text.endswith(" balloon") or (width.unit is not None and "unit-assumed" not in width.flags):
        return
    if _has_balloon(story, width):
        item.definite = True
    elif item.definite:
        item.figures = {}


def _has_balloon(story: Story, width: Quantity) -> bool:
    """Whether the case speaks of a balloon of this width."""
    return any(
        thing.role == "inflation" and "diameter" in thing.values and thing.values["diameter"].value == width.value
        for thing in story.things
    )


def _balloon_at(story: Story, sentence: Sentence, item: Item) -> bool:
    """ "the six at twelve": a balloon of this case by its size, and its pressure; no chart is read."""
    if item.name != "at" or item.status in NOT_DONE or sentence.tokens[item.span[0] - 1 : item.span[0]] != ("the",):
        return False
    size, pressure = item.figures["a"], item.figures["b"]
    plain = size.unit is None and pressure.unit in {None, *BALLOON_PRESSURES} and not sentence.question
    return plain and _has_balloon(story, size)


def _part(sentence: Sentence, item: Item) -> None:
    """A pair as the three things said: the balloon, "at", the pressure."""
    size, pressure = item.figures["a"], item.figures["b"]
    place = item.span[1] - len(pressure.heard.split())
    spans = ((item.span[0], place - 1), (place - 1, place), (place, item.span[1]))
    words = (size.words, (size.words[1], pressure.words[0]), pressure.words)
    balloon, at, figure = (
        replace(item, kind=kind, name="", text=" ".join(sentence.tokens[first:last]), words=said, span=(first, last))
        for kind, (first, last), said in zip(("device", "action", "quantity"), spans, words, strict=True)
    )
    balloon.figures, balloon.definite, balloon.headless = {"bare": size}, True, True
    at.figures, at.meanings = {}, frozenset({"raise"})
    figure.figures, figure.before = {"value": pressure}, "at"
    index = sentence.items.index(item)
    sentence.items[index : index + 1] = [balloon, at, figure]


def _time_is_up(closure: Draft, quantity: Quantity, following: Item | None) -> bool:
    """ "Hold ten minutes… Ten's up." """
    minutes = closure.values.get("duration")
    up = following is not None and following.text.endswith("up")
    return up and minutes is not None and minutes.value == quantity.value


def _sheath_next(story: Story, item: Item, quantity: Quantity, following: Item | None) -> bool:
    """ "Nine's off, twelve's in", "a nine on the left too": a sheath, where one just came out or is as wide."""
    if not _SHEATHS[0] <= quantity.value <= _SHEATHS[1] or quantity.value % 1:
        return False
    if item.definite:
        entering = following is not None and following.kind == "action" and following.meanings & {"particle", "placed"}
        return bool(entering) and any(
            draft.kind is Kind.REMOVE and draft.device == "sheath" and story.number - draft.number <= 1
            for draft in story.drafts[-3:]
        )
    if _other_side(story):
        return True
    if _sheath_gone(story, quantity):
        return True
    known = any(
        thing.name == "sheath" and "gauge" in thing.values and thing.values["gauge"].value == quantity.value
        for thing in story.things
    )
    return known and story.topic == "device"


def _is_sheath_gone(story: Story, item: Item, quantity: Quantity) -> bool:
    """ "Eight's out, stitch in.", "six off, and I press": a sheath nobody spoke of, by its hole; "six out, eight in",
    by the one that goes in; or a second one as wide as one the case knows.
    """
    if not _SHEATHS[0] <= quantity.value <= _SHEATHS[1] or quantity.value % 1 or story.sentence.question:
        return False
    gone = story.after()
    if item.status in NOT_DONE or gone is None or gone.span[0] != item.span[1]:
        return False
    several = any(text.split()[:1] == ["are"] for text in (other.text for other in story.ahead()))  # "eight are out"
    the_press = ("the", "press") in pairwise(story.sentence.tokens)
    if several or the_press:
        return False
    if not other_is_called(story, quantity) and _tells_of_hole(story):
        return True
    ends = {*story.sentence.tokens[gone.span[1] : gone.span[1] + 1]} <= OUT_ENDS
    begins = not item.span[0] or item.before in _BEGINS
    return ends and begins and (_other_in(story, quantity) or any(_is_sheath(one, quantity) for one in story.things))


def _tells_of_hole(story: Story) -> bool:
    """Whether this sentence or the next one closes a hole, or presses on it."""
    texts = story.sentence.texts | (story.following.texts if story.following is not None else frozenset())
    return story.says("press", "close", "haemostasis") or not texts.isdisjoint(_AT_A_HOLE)


def _other_in(story: Story, quantity: Quantity) -> bool:
    """ "Six out, eight in", "Ten out. Twelve French in": the frame of an exchange of sheaths, by their gauges."""
    ahead = [*story.ahead(), *(story.following.items[:3] if story.following is not None else ())]
    new = next((other for other in ahead if other.kind in {"device", "drug", "quantity"}), None)
    size = new.figures.get("gauge") or new.figures.get("bare") if new is not None and new.kind == "device" else None
    if size is None or new is None or new.name not in {"", "sheath"} or new.role not in {"", "insert"}:
        return False
    wires = in_thousandths(quantity) and size.unit is None and in_thousandths(size)
    return not wires and size.value != quantity.value and _SHEATHS[0] <= size.value <= _SHEATHS[1]


def _is_micro(story: Story, item: Item, quantity: Quantity, following: Item | None) -> bool:
    """ "The micro, please… Two point four is in the uterine.": the gauge of the microcatheter that was spoken of, where
    no balloon or stent waits.
    """
    entering = following is not None and bool(following.meanings & {"particle", "placed"})
    if not (item.definite and entering) or not quantity.value % 1 or not 1.5 <= quantity.value <= WIDEST_MICRO:
        return False
    waiting = any(thing.role in _SIZED and thing.where in {"asked", "up"} for thing in story.things)
    return not waiting and any(thing.name == "microcatheter" for thing in story.things)


def _other_than_asked(story: Story, item: Item, quantity: Quantity, following: Item | None) -> bool:
    """ "Twelve French, please… Sixteen's in.": the sheath that went in is of another gauge than the one asked for."""
    entering = following is not None and following.text in _IS_IN and following.span[0] == item.span[1]
    if not (item.definite and entering) or not _SHEATHS[0] <= quantity.value <= _SHEATHS[1] or quantity.value % 1:
        return False
    asked = (one for one in story.things if one.where in {"asked", "in"} and story.number - one.seen <= _EXCHANGED)
    return story.topic == "device" and any(one.name in {"", "sheath"} and "gauge" in one.values for one in asked)


def _dose_waits(story: Story, quantity: Quantity, following: Item | None) -> bool:
    """ "five more of lidocaine… The five's in.": the dose ordered last, nothing else asked for since."""
    order = story.orders[-1] if story.orders else None
    dose = order.values.get("dose") if order is not None else None
    if order is None or dose is None or following is None or "give" not in following.meanings:
        return False
    later = any(thing.where == "asked" and thing.seen > order.number for thing in story.things)
    same = in_thousands(quantity, dose).value == dose.value  # "three five", of three thousand five hundred
    return same and not later and story.sentence.breath - order.breath <= _EXCHANGED


def _wondered(story: Story, item: Item, quantity: Quantity) -> bool:
    """ "we might end up at a fourteen", "some would tell you a four": a balloon thought of by its number, where a
    vessel was measured or a balloon spoken of, and nothing else is named.
    """
    if _sheath_gone(story, quantity):
        return False
    if item.status not in {Status.CONSIDERED, Status.QUOTED} or not _BALLOONS[0] <= quantity.value <= _BALLOONS[1]:
        return False
    other = [one for one in story.mentions("device", "drug") if one is not item and not one.figures]
    measured = any(draft.kind is Kind.MEASURE and "diameter" in draft.values for draft in story.lately())
    sized = any(thing.role in {"inflation", "stent"} for thing in story.things) or story.says("inflate")
    return not other and (measured or sized) and story.topic != "closure"


def _sheath_gone(story: Story, quantity: Quantity) -> bool:
    """ "The six is out. Via a nine.": a sheath just came out, and nothing was told since."""
    last = story.drafts[-1] if story.drafts else None
    gone = last is not None and last.kind is Kind.REMOVE and last.device == "sheath"
    return gone and last is not None and story.number - last.number <= _EXCHANGED and quantity.value % 1 == 0


def _other_side(story: Story) -> bool:
    """ "Left gets an eight French sheath, right gets a six": one for the other side, right after a sheath."""
    sides = {item.name for item in story.mentions("side")} & SIDES
    last = story.drafts[-1] if story.drafts else None
    sheath = last is not None and last.kind is Kind.INSERT and last.device == "sheath"
    return sheath and last is not None and story.number - last.number <= 1 and bool(sides) and sides != {last.side}


def _stands_for(story: Story, item: Item) -> Thing | None:
    """ "the little one is across": the balloon or stent called so, or of those told lately the one of that size."""
    alone = item.headless and not item.name and not item.figures and item.text.endswith(" one")
    if not alone or item.where or item.status in NOT_DONE:
        return None
    said = story.sentence.tokens[max(0, item.span[0] - 2) : item.span[0]]
    told = bool(said) and said[-1] in _THE and said[0] not in _IS  # not "it's the fatter one"
    following = story.after("mark")
    used = following is not None and following.meanings & {"particle", "placed", "inflate", "again", "deploy"}
    if not (told and used):
        return None
    inserted = (thing for thing in story.things if thing.role == "insert" and thing.where in {"asked", "in"})
    sized = [
        thing
        for thing in story.things
        if thing.role in _SIZED and thing.where in {"asked", "used", "up"} and story.number - thing.seen <= _LATELY
    ]
    called = [thing for thing in sized if thing.qualifiers & item.qualifiers]
    if not sized or (not called and any(thing.qualifiers & item.qualifiers for thing in inserted)):
        return None
    key, most = next((_EXTREMES[word] for word in item.qualifiers if word in _EXTREMES), ("", False))
    measured = [thing for thing in called or sized if key in thing.values]
    if measured:
        return max(measured, key=lambda thing: (thing.values[key].value * (1 if most else -1), thing.seen))
    return called[-1] if called else None


def _spoken(key: str, known: Quantity) -> float:
    """The number a size is called by: a wire of 0.018 in is "the eighteen"."""
    return round(known.value * 1000, 3) if key == "wire_diameter" else known.value


def _may_leave(thing: Thing) -> bool:
    """Whether a thing may come out by its number: it is in, or nobody told what became of it since it was asked for,
    or since it was put in before this case.
    """
    before = thing.told is not None and thing.told.status is Status.PAST and thing.where == "refused"
    return before or thing.where in {"in", "replaced", "asked"}


def _named(story: Story, item: Item, quantity: Quantity, leaving: bool) -> tuple[Thing, str] | None:
    best: tuple[float, Thing, str] | None = None
    for order, thing in enumerate(story.things):
        if leaving and (thing.role != "insert" or not _may_leave(thing)):
            continue
        if not leaving and thing.role == "insert" and thing.where not in {"asked", "in"}:
            continue
        for key in _KEYS.get(thing.role, ()):
            known = thing.values.get(key)
            said = (quantity.value, *(quantity.alternatives if thing.name == "microcatheter" else ()))  # "two-eight"
            if known is None or all(abs(_spoken(key, known) - value) > 1e-6 for value in said):
                continue
            if key == "wire_diameter" and item.before not in _BEFORE_WIRE:
                continue  # "bed fourteen's on the phone"
            score = (
                thing.seen
                + 0.01 * order
                + (50 if thing.where == "asked" and not leaving else 0)
                - (0 if thing.where in {"in", "replaced"} or not leaving else 50)
                + 20 * len(item.qualifiers & thing.qualifiers)
            )
            score += 5 if key in {"gauge", "diameter"} else -5 if key == "length" and thing.role == "insert" else 0
            score += 10 if thing.name == "sheath" else 0
            if "long" in item.qualifiers and not ("length" in thing.values and thing.values["length"].value > 25):
                score -= 40
            if "short" in item.qualifiers and "length" in thing.values and thing.values["length"].value > 25:
                score -= 40
            if best is None or score > best[0]:
                best = (score, thing, key)
    return (best[1], best[2]) if best else None
