"""A chart read aloud: who names the card of a balloon or stent has its figures read to him, line by line.

"The chart, please. — Six at eight. — And at fourteen? — Six point three." Nothing goes up meanwhile: a width and a
pressure are of the chart in whatever order they come, and what is asked for stands in the question. It is over where
something happens, or where other things are told.
"""

from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.bare_figures import as_pressure, pressure_unit
from extractor.reconciling.kinds.chart import charted_kind, in_hundredths, sizes_of_labelled
from extractor.reconciling.story import Hearing, Story
from extractor.units import BALLOON_PRESSURES, TIMES

#: What is read: such a thing is named to have it read, asked what it says, or said to hold what follows.
_CHARTS = frozenset("chart card label leaflet booklet compliance box packet".split())
#: What holds a device, too: only where it is said to tell something.
_PACKS = frozenset("package envelope pouch carton cover wrapper".split())
#: A table may be the one the patient lies on, and an injector has cards too.
_TABLES, _OTHERS = {"table"}, {"injector", "pump", "contrast", "heparin"}
#: Who begins so has heard enough.
_ENOUGH = {"okay", "ok", "right", "good", "fine", "now", "then", "so", "thanks", "thank"}
_TO_READ = frozenset("read reads reading check please say says saying tell tells written stands what what's".split())
#: What happens to the patient, and not to the chart.
_ACTS = ("inflate", "deflate", "hold", "placed", "detach", "run", "go", "removed")
#: So many sentences after the last figure that was read it is over. Set by hand, no source.
_GOES_ON = 2
#: How far a charted width may be from a balloon's label, and what a width can be, mm: common practice, no source.
_NEAR, _WIDEST = 0.3, 50
_LIMITS = {"nominal", "rated", "burst", "bursts", "rbp", "maximum"}
_BESIDE = 3  # words
_AT = {"at", "in", "on", "with", "under"}


class ChartsRead(Hearing):
    """Hears widths and pressures while a chart is read."""

    def __init__(self) -> None:
        self._last = -9  # the number of the last sentence that was read from it, or asked to
        self._stents = False
        self._asked: Quantity | None = None  # a pressure whose width was asked for in the sentence before

    def begin(self, story: Story, sentence: Sentence) -> None:
        told = Status.QUOTED in sentence.cues and bool(sentence.texts & _PACKS)
        names = told or bool(sentence.texts & _CHARTS or (sentence.texts & _TABLES and story.mentions("device")))
        names = names and not sentence.texts & _OTHERS
        timed = any(item.figures["value"].unit in TIMES for item in story.mentions("quantity"))
        if not names and (story.says(*_ACTS) or timed or sentence.first in _ENOUGH):
            self._last = -9
        if names and (sentence.texts & _TO_READ or sentence.question) and not _sized_wish(story):
            self._last, self._stents = story.number, bool(sentence.texts & {"stent", "graft"})
        self._reads = story.number - self._last <= _GOES_ON
        if self._reads and sentence.question and not story.mentions("device", "drug", "finding"):
            self._last = story.number  # "and harder?"
        _say_back(story, sentence)

    def hear(self, story: Story, item: Item) -> bool:
        if not self._reads:
            return False
        if item.kind == "pair" and item.name == "at":
            return self._read(story, item, item.figures["a"], item.figures["b"])
        if item.kind != "quantity":
            return False
        if self._limit(story, item):
            return True
        figure, following = item.figures["value"], story.after("mark")
        apart = not item.after.isalpha() or item.after in _AT  # "eight gives five flat" is heard as one (chart.py)
        if apart and following is not None and following.kind == "quantity" and not story.sentence.question:
            other = following.figures["value"]
            if self._read(story, item, *((other, figure) if _is_pressure(story, item) else (figure, other))):
                following.used = True
                return True
        if story.sentence.question and _can_be_pressure(story, figure):
            self._asked, self._last = figure, story.number
            return True
        if self._asked is not None and not story.sentence.question:
            return self._read(story, item, figure, self._asked)
        return False

    def end(self, story: Story, sentence: Sentence) -> None:
        if not sentence.question:
            self._asked = None

    def _read(self, story: Story, item: Item, width: Quantity, pressure: Quantity) -> bool:
        """Adds what was read, where the figures can be a width and a pressure."""
        width = in_hundredths(story, width)
        if "unit-assumed" in width.flags:
            width = replace(width, unit=None, flags=())  # "fourteen atmospheres? Three point two."
        if (
            width.unit not in {None, "mm"}
            or not _can_be_pressure(story, pressure)
            or not self._may_be_width(story, width)
        ):
            return False
        self._quote(story, item, {"diameter": width.in_unit("mm"), "pressure": as_pressure(story, pressure)})
        self._asked = None
        return True

    def _limit(self, story: Story, item: Item) -> bool:
        """ "Nominal is eight, and it will burst at twenty"."""
        figure = item.figures["value"]
        beside = story.sentence.tokens[max(0, item.span[0] - _BESIDE) : item.span[1] + _BESIDE]
        if not _LIMITS & {*beside} or not _can_be_pressure(story, figure):
            return False
        self._quote(story, item, {"pressure": as_pressure(story, figure)})
        return True

    def _quote(self, story: Story, item: Item, values: dict[str, Quantity]) -> None:
        kind = Kind.STENT if self._stents else charted_kind(story)
        sizes = sizes_of_labelled(story, kind, values.get("diameter"))
        story.add(kind, Status.QUOTED, item, f"{kind}/chart", values=sizes | values)
        self._last = story.number

    @staticmethod
    def _may_be_width(story: Story, width: Quantity) -> bool:
        things = (
            thing for thing in story.things if thing.role in {"inflation", "stent"} and "diameter" in thing.values
        )
        labels = [thing.values["diameter"].value for thing in things]
        near = any(abs(width.value - label) <= _NEAR * label for label in labels)
        return near or (not labels and 1 < width.value < _WIDEST)


def _sized_wish(story: Story) -> bool:
    """ "Six by forty balloon from the box, please" wants the balloon."""
    return any(item.kind == "device" and "length" in item.figures for item in story.sentence.items)


def _can_be_pressure(story: Story, figure: Quantity) -> bool:
    return figure.unit in BALLOON_PRESSURES or (figure.unit is None and bool(pressure_unit(story, figure)))


def _is_pressure(story: Story, item: Item) -> bool:
    """Whether the first of two figures is the pressure: "at eight, six point zero"."""
    figure = item.figures["value"]
    return figure.unit in BALLOON_PRESSURES or (figure.unit is None and item.before in _AT)


def _say_back(story: Story, sentence: Sentence) -> None:
    """ "This one says ten nominal and eighteen burst. Ten and eighteen.": as it was read, and no balloon goes up."""
    figures = [item for item in sentence.items if item.kind == "quantity"]
    quoted = {
        value.value
        for draft in story.lately()
        if draft.status is Status.QUOTED and draft.number == story.number - 1
        for value in draft.values.values()
    }
    values = {item.figures["value"].value for item in figures}
    if len(values) > 1 and values <= quoted and all(item.kind in {"quantity", "mark"} for item in sentence.items):
        for item in figures:
            item.used = True
