"""What the chart or label of a balloon or stent says: diameters at pressures, the rated pressure. All is quoted."""

from dataclasses import replace
from itertools import pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.bare_figures import as_pressure, climbing, may_be_pressure, pressure_unit
from extractor.reconciling.size_roles import LABELS
from extractor.reconciling.story import Hearing, Story, Thing, carried
from extractor.reconciling.things import values_of
from extractor.units import BALLOON_PRESSURES

_OF_BALLOONS = {"burst", "rbp", "rated"}
_RATED = {"rated", "burst", "limit", "rbp", "nominal", "maximum", "ceiling", "good", "highest", "supports"}
#: Said of other things as well.
_ANY = {"good", "limit", "maximum", "burst", "highest", "supports"}
#: What such figures stand in, in so many words; they may follow in the next breath.
_TABLES = {"label", "chart", "leaflet", "compliance", "booklet"}
#: Said of what a higher pressure would make of a balloon or stent.
_WOULD = {"if", "would", "had", "were", "becomes", "become"}
_ASKS = {"what", "how", "what's"}
_WHAT_SAYS, _SAYS = (
    {"it", "chart", "box", "label", "table", "leaflet"},
    {"say", "says", "give", "gives", "read", "reads"},
)
_YIELDS = {"gives", "is", "'s", "makes", "equals", "means", "gets", "comes", "=", "for"}
#: Before the pressure, where the label's own size was told with the charted one.
_UNDER = {"on", "at", "for", "under", "with"}
#: No label names a lower pressure: common practice, no source.
_LEAST_ATM = 3
#: With one of these a table is what the patient lies on.
_FOLLOWED = frozenset("follow following follows chase move moves pan panning steps stepping feet legs toes".split())
#: How far a charted diameter may be from a balloon's label: common practice, no source.
_NEAR = 0.3
#: … and how far from that of the one it is of.
_FITS = 0.1
#: Before the width a balloon is called by.
_CALLED = {"the", "that", "this"}
#: For so many sentences a label is of what was named last: set by hand, no source.
_JUST_NAMED = 2
#: Beyond that nobody tells a width in hundredths, of a millimetre: set by hand, no source.
_MOST_HUNDREDTHS = 1000
#: What a balloon does not outlast; who asks what of it is asks for a figure of its label.
_LIMITS = frozenset("limit limits ceiling maximum max burst bursts pop pops rated rating rbp nominal".split())
_ASKING = _ASKS | {"how's", "which", "where", "where's"}
#: "How high can it go?", "how far does it go?", "how high's it let me go?" ask for it too; "how high do we go?" asks
#: what is to be done, "how high is it?" where it is.
_HOW_MUCH, _HOW_FAR = ("how", "much"), {("how", "high"), ("how", "far"), ("how", "hard")}
_MAY, _DOES = (
    frozenset("can may might could able allowed safe".split()),
    frozenset("does will 'll would let lets".split()),
)
_BEARS = frozenset("take takes stand stands bear bears tolerate tolerates hold holds".split())
_GOES_TO = {("up", "to"), ("good", "to"), ("good", "for"), ("made", "for"), ("safe", "to"), ("built", "for")}
_OURS = frozenset("we i you us want wants".split())
#: Between "burst" and how far: what a label says of it.
_IS = frozenset("is 's the its written being says , : of pressure".split())


class Charts(Hearing):
    """Hears figures read from a chart: "six point two at sixteen", "eight gives five flat", "rated burst is twenty"."""

    def __init__(self) -> None:
        self.quoting = -9  # the breath in which a chart is read
        self.named = -9  # the breath in which a chart is named
        self.rated = -9  # the breath in which a rated pressure is spoken of
        self.asked = -9  # the number of the last sentence that asked for one
        self.high = -9  # the breath in which it is asked how far a balloon may go
        self.limit: tuple[int, float] = (-9, 0.0)  # the number of the sentence that answered, and what it said

    def begin(self, story: Story, sentence: Sentence) -> None:
        if Status.QUOTED in sentence.cues and (self.asked == story.number - 1 or not _reached(story, sentence)):
            self.quoting = sentence.breath
        if sentence.texts & _TABLES and not sentence.texts & _FOLLOWED:
            self.named = sentence.breath
        if sentence.question and sentence.texts & (_RATED - _ANY | LABELS) and not story.says("inflate"):
            self.quoting, self.asked = sentence.breath, story.number  # "rated for this one is how much?"
        if (
            sentence.question
            and _ASKS & {*sentence.tokens[:3]}
            and any(
                item.before == "at" and pressure_unit(story, item.figures["value"])
                for item in story.mentions("quantity")
            )
        ):
            self.quoting, self.asked = sentence.breath, story.number  # "how big is it at fourteen?"
        if _asks_what_it_says(sentence) and not story.says("inflate"):
            self.quoting, self.asked, self.named = sentence.breath, story.number, sentence.breath
        balloon = story.active is not None and story.active.role in {"inflation", "stent"}
        if balloon and asks_for_limit(sentence) and not story.mentions("drug", "run"):
            self.quoting, self.asked, self.high = sentence.breath, story.number, sentence.breath
        if self.asked == story.number - 1 and sentence.breath - 1 in {self.named, self.high}:
            self.quoting = sentence.breath  # the answer, by another voice
        if self.quoting == sentence.breath and (sentence.texts & _RATED or self.asked == story.number - 1):
            self.rated = sentence.breath

    def hear(self, story: Story, item: Item) -> bool:
        if story.active is not None and story.active.role == "embolise":
            return False
        if item.kind == "pair" and item.name == "at":
            return self._pair(story, item)
        if item.kind == "quantity" and self._would_be(story, item):
            return True
        if item.kind != "quantity":
            return False
        if story.sentence.breath == self.quoting and (self._yielding(story, item) or self._rated_at(story, item)):
            return True
        return self._says_again(story, item) or _of_the_burst(story, item)

    def _says_again(self, story: Story, item: Item) -> bool:
        """ "What's it good for? Twenty. / Twenty, okay.": the answer said again, before anything goes so far."""
        number, told = self.limit
        first = not any(other.kind != "mark" for other in story.behind())
        return first and number == story.number - 1 and item.figures["value"].value == told

    def _pair(self, story: Story, item: Item) -> bool:
        """ "six point two at sixteen", where it is read from a chart or one of the figures has its unit."""
        diameter, pressure = in_hundredths(story, item.figures["a"]), item.figures["b"]
        if pressure.unit in {"mL/s", "/s"} or diameter.unit == "mL":
            return False
        read = story.sentence.breath - self.named <= 1 and self._charted(story, diameter)
        quoted = item.status is Status.QUOTED or story.sentence.breath == self.quoting or read
        unsized = any(o.role in {"inflation", "stent"} and not o.figures for o in story.mentions("device"))
        of_label = unsized and item.status is Status.QUOTED and bool(story.sentence.texts & LABELS)
        named = of_label or pressure.unit in BALLOON_PRESSURES or diameter.unit == "mm"
        if not named and not (quoted and self._charted(story, diameter)):
            return False
        if not quoted and story.says("inflate"):
            return False  # "dilated to five millimetres at ten atmospheres" was done
        status = item.status if item.status in {Status.CONSIDERED, Status.NEGATED, Status.PAST} else Status.QUOTED
        further = story.after("pronoun", "action")
        between = {*story.sentence.tokens[item.span[1] : further.span[0]]} if further is not None else set()
        if further is not None and further.kind == "quantity" and len(between) == 1 and pressure.unit != "mm":
            figure = further.figures["value"]
            if (
                between <= _UNDER and pressure.unit is None and pressure.value % 1
            ):  # "has the four oh at four point one on eighteen"
                diameter, pressure, further.used = pressure, figure, True
            elif between <= _YIELDS and self._charted(story, figure):  # "five at fourteen is five point three"
                diameter, further.used = figure, True
        self._add(story, item, Status.QUOTED if quoted else status, diameter, pressure)
        return True

    def _would_be(self, story: Story, item: Item) -> bool:
        """ "if we take this one to sixteen it will be two point four five": no size on a label, so the chart's."""
        pressure, following = item.figures["value"], next((i for i in story.ahead() if i.kind == "quantity"), None)
        read = story.sentence.breath == self.quoting
        leads = {"to", "at", "on", "for", "with"} if item.status is Status.QUOTED else {"to", "at", "on"}
        if following is None or item.before not in leads or not (read or story.sentence.texts & _WOULD):
            return False
        if pressure.unit not in {None, *BALLOON_PRESSURES}:
            return False
        diameter = following.figures["value"]
        finer = diameter.unit == "mm" or (diameter.unit is None and diameter.value % 1)
        if (
            not finer
            or pressure.value % 0.5
            or not pressure_unit(story, pressure)
            or not self._charted(story, diameter)
        ):
            return False
        following.used = True
        self._add(story, item, Status.QUOTED, diameter, pressure)
        return True

    def _yielding(self, story: Story, item: Item) -> bool:
        """ "eight gives you five flat", "six atmospheres is five point eight", "twelve bar five point two"."""
        pressure, following = item.figures["value"], story.after("pronoun")
        if following is None or following.kind != "quantity":
            return False
        diameter = following.figures["value"]
        beside = pressure.unit in BALLOON_PRESSURES and following.span[0] == item.span[1] and bool(diameter.value % 1)
        if item.after not in _YIELDS and not beside:
            return False
        if item.after == "for" and (diameter.unit in BALLOON_PRESSURES or pressure.value % 1):
            pressure, diameter = diameter, pressure  # "five point nine for eight bar"
        if (
            following.span[0] - item.span[1] > 2
            or pressure.unit not in {None, *BALLOON_PRESSURES}
            or diameter.unit not in {None, "mm"}
            or not (diameter.unit == "mm" or self._charted(story, diameter))
        ):
            return False
        following.used = True
        self._add(story, item, Status.QUOTED, diameter, pressure)
        return True

    def _rated_at(self, story: Story, item: Item) -> bool:
        quantity = item.figures["value"]
        if (
            self.rated != story.sentence.breath
            or item.before in _CALLED  # "for the twelve a maximum of fourteen"
            or not self._of_the_label(story, item)
            or quantity.unit not in {None, *BALLOON_PRESSURES}
            or not may_be_pressure(quantity, None)
            or (quantity.unit is None and (quantity.value <= _LEAST_ATM or not pressure_unit(story, quantity)))
            or (story.active is None and not story.sentence.texts & (LABELS | _OF_BALLOONS))
        ):
            return False
        if self.asked == story.number - 1:
            self.limit = (story.number, quantity.value)
        _rate(story, item)
        return True

    def _of_the_label(self, story: Story, item: Item) -> bool:
        """Whether a figure is what a label says: in so many words, or where nothing in its sentence goes up."""
        if item.status is Status.QUOTED:
            return True
        told = self.asked == story.number - 1 or bool(story.sentence.texts & _RATED)
        return told and item.status is None and not story.says("inflate", "hold", "deflate")

    @staticmethod
    def _charted(story: Story, diameter: Quantity) -> bool:
        """Whether a bare figure can be the charted diameter of a balloon or stent of this case."""
        labels = _labels(story)
        return any(abs(diameter.value - label) <= _NEAR * label for label in labels) or not labels

    def _add(self, story: Story, item: Item, status: Status, diameter: Quantity, pressure: Quantity) -> None:
        kind = charted_kind(story)
        values = {
            "diameter": diameter.in_unit("mm"),
            "pressure": as_pressure(story, pressure),
        }
        story.add(kind, status, item, f"{kind}/chart", values=sizes_of_labelled(story, kind, diameter) | values)
        if status is Status.QUOTED:
            self.quoting = story.sentence.breath  # what follows is read from it too


def asks_for_limit(sentence: Sentence) -> bool:
    """ "What does it burst at?", "how high will it let me go?", "what's it good for?": how far a balloon may go up."""
    said = sentence.tokens
    if not sentence.question or not _ASKING & {*said} or sentence.texts & {"did", "was", "were"}:
        return False
    asked = {*pairwise(said)}
    far = bool(asked & _HOW_FAR) or (_HOW_MUCH in asked and bool(_BEARS & sentence.texts))
    ours = bool(_OURS & sentence.texts)
    if far and (_MAY & sentence.texts or (_DOES & sentence.texts and ("let" in said or not ours))):
        return True
    what = {"what", "what's"} & sentence.texts and said[-2:] != ("what", "?") and not ours  # "up to what?"
    bears = _BEARS & sentence.texts and _DOES | _MAY & sentence.texts
    return bool(sentence.texts & _LIMITS or (what and (asked & _GOES_TO or bears)))


def _asks_what_it_says(sentence: Sentence) -> bool:
    """ "What's it say for the six?", "what does the chart give?" """
    beginning = {*sentence.tokens[:5]}
    asked = sentence.question and bool(_ASKS & beginning and _WHAT_SAYS & beginning and _SAYS & sentence.texts)
    told = sentence.first in {"read", "tell"} or "me" in sentence.texts
    return asked or bool(told and {"read", "tell"} & sentence.texts and (_TABLES | {"card", "table"}) & sentence.texts)


def _reached(story: Story, sentence: Sentence) -> bool:
    """ "Up. Six, eight, nominal at eight": a balloon that goes up has come so far; the label
    is only spoken of.
    """
    cued = [item for item in sentence.items if item.status is Status.QUOTED]
    waits = story.active is not None and story.active.where in {"asked", "up"} and climbing(story, least=2)
    goes = waits or (story.active is not None and story.active.where == "up")
    goes = goes or any("inflate" in item.meanings or item.text == "up" for item in story.mentions("action"))
    told = any(what == "nominal" and verb in _YIELDS | {"being"} for verb, what in pairwise(sentence.tokens))
    nominal = cued or "nominal" in sentence.texts  # "six by eighty up, nominal, eight"
    read = sentence.texts & (LABELS | _LIMITS - {"nominal"})  # "Nominal nine, burst thirteen."
    if not goes or told or not nominal or any(item.cue != "nominal" for item in cued) or read:
        return False
    for item in cued:
        item.status, item.cue = None, ""
    return True


def _labels(story: Story) -> list[float]:
    """How wide the balloons and stents of this case are, by their labels."""
    return [thing.values["diameter"].value for thing in _labelled(story, Kind.INFLATION, Kind.STENT)]


def _labelled(story: Story, *kinds: Kind) -> list[Thing]:
    """The things of these kinds whose width this case knows, in the order they were spoken of."""
    return [thing for thing in story.things if thing.role in kinds and "diameter" in thing.values]


def in_hundredths(story: Story, width: Quantity) -> Quantity:
    """ "Three twenty-eight at sixteen": a charted width in hundredths of a millimetre, where it is near a label."""
    if width.unit is not None or width.form != "cardinal" or not 100 < width.value < _MOST_HUNDREDTHS:
        return width
    small = width.value / 100
    near = any(abs(small - label) <= _NEAR * label for label in _labels(story))
    return replace(width, value=small) if near else width


def _of_the_burst(story: Story, item: Item) -> bool:
    """ "Nominal six, burst twelve", "burst's eighteen", "fourteen is the burst": the label's; "it burst at eleven" is
    none.
    """
    quantity, tokens = item.figures["value"], story.sentence.tokens
    before = [token for token in tokens[max(0, item.span[0] - 3) : item.span[0]] if token not in _IS]
    behind = [token for token in tokens[item.span[1] : item.span[1] + 3] if token not in _IS]
    is_burst = tokens[item.span[1] : item.span[1] + 1] in {("is",), ("'s",)} and behind[:1] == ["burst"]
    if not (before[-1:] == ["burst"] or is_burst) or not pressure_unit(story, quantity):
        return False
    if quantity.unit not in {None, *BALLOON_PRESSURES} or not may_be_pressure(quantity, None):
        return False
    _rate(story, item)
    return True


def _rate(story: Story, item: Item) -> None:
    quantity, kind = as_pressure(story, item.figures["value"]), charted_kind(story)
    values = {**sizes_of_labelled(story, kind), "pressure": quantity}
    story.add(kind, Status.QUOTED, item, f"{kind}/rated", values=values)


def sizes_of_labelled(story: Story, kind: Kind, diameter: Quantity | None = None) -> dict[str, Quantity]:
    """ "The five by two-fifty. / Nominal eight, rated fourteen.": of which balloon or stent a label is, where its
    charted diameter can be that one's.
    """
    called = {
        other.figures["value"].value
        for other in story.mentions("quantity")
        if other.before in _CALLED and other.figures["value"].unit in {None, "mm"}
    }
    labelled = reversed(_labelled(story, kind))
    named = next((thing for thing in labelled if thing.values["diameter"].value in called), None)
    thing = named if called else story.active  # "the maker gives for the sixteen a maximum of fourteen"
    if thing is None or thing.role != kind or thing.where not in {"asked", "up", "used"}:
        return {}
    sizes, width = values_of(thing), thing.values.get("diameter")
    if story.number - max(thing.seen, thing.called) <= _JUST_NAMED:
        sizes = {key: carried(value) for key, value in thing.values.items()}
    if any("which-device" in value.flags for value in sizes.values()):
        return {}
    if diameter is not None and width is not None and abs(diameter.value - width.value) > _FITS * width.value:
        return {}  # of the next size
    return {key: sizes[key] for key in ("diameter", "length") if key in sizes}


def charted_kind(story: Story) -> Kind:
    """What a chart read now is of: the balloon or stent in hand, or just spoken of."""
    lately = story.spoken_role == "stent" and story.sentence.breath - story.spoken_breath <= 1
    in_hand = story.active is not None and story.active.role == "stent"
    return Kind.STENT if lately or in_hand else Kind.INFLATION
