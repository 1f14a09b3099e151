"""The first sheath of a case told by its gauge alone, right after the way in: "Radial. In. Six.", "right groin.
Puncture good. Six, fifty-five".
"""

from collections.abc import Sequence
from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.told_after import CALLS
from extractor.reconciling.story import Story

#: Ways in, and what is told of one.
_WAYS = frozenset(
    """
    groin groins femoral radial brachial jugular popliteal basilic cephalic subclavian axillary pedal wrist arm neck
    antegrade retrograde access
    """.split()
)
_GAINED = frozenset("in got punctured puncture stuck stick done blood pulsing through accessed entered".split())
#: For so many sentences after it; set by hand, no source.
_LATELY = 2
#: Gauges and lengths of a first sheath, Fr and cm: common practice, no source.
_GAUGES, _LENGTHS = (4, 12), (10, 110)
#: What may be in before: it went in through the needle.
_BEFORE = {"wire", "needle", "microwire", "dilator"}
#: Beside the gauge these change nothing.
_LIGHT = frozenset(
    """
    , . ... ! a the wee short long slender thin french in up there is 's it then now so okay right left also goes gone
    inside here little just only standard normal small
    """.split()
)
#: All else that may be said of the way in: "left arm board", "blood pressure cuff on the arm", "the next is a radial"
#: speak of something else.
_OF_WAY = frozenset(
    """
    ? yes quick quickly easy easily nice nicely good great lovely perfect first we we're i i'm are am 're 'm have has
    've going go take try from by via with under over on at of my your his her puncturing ultrasound guidance side
    wire come comes back flow bright red sitting that that's was went well
    """.split()
)


class FirstSheath:
    """Whether a number stands for the first sheath, sentence by sentence."""

    def __init__(self) -> None:
        self._way = self._gained = -9  # the sentences that last named a way in, and told that one is gained

    def name(self, story: Story, sentence: Sentence) -> None:
        """Makes a sheath that is in, in place, of the number in a sentence that stands for one."""
        figures = [item for item in sentence.items if item.kind == "quantity" or "bare" in item.figures]
        settled = not sentence.question and not sentence.cues
        if settled and figures and story.number - self._gained <= _LATELY and self._is_sheath(story, sentence, figures):
            _make_sheath(sentence, figures)
            self._way = self._gained = -9
            return
        if sentence.question or figures or not _speaks_of_way(story, sentence):
            self._way = self._gained = -9
        elif sentence.texts & _WAYS:
            self._way = story.number
        elif not settled:
            self._way = self._gained = -9
        if (
            settled
            and story.number - self._way <= _LATELY
            and sentence.texts & _GAINED
            and not story.mentions("device")
        ):
            self._gained = story.number

    @staticmethod
    def _is_sheath(story: Story, sentence: Sentence, figures: list[Item]) -> bool:
        if any(thing.name not in _BEFORE for thing in story.things) or story.mentions("drug", "finding", "pair"):
            return False
        units = zip(figures, _KEYS, strict=False)
        if len(figures) > len(_KEYS) or any(_figure(item).unit not in {None, unit} for item, (_, unit) in units):
            return False  # "five more minutes"
        if _said_beside(story, sentence, figures) - _LIGHT:
            return False
        bounds = zip(figures, (_GAUGES, _LENGTHS), strict=False)
        return all(
            low <= value <= high and not value % 1 for item, (low, high) in bounds for value in [_figure(item).value]
        )


def is_way_in(story: Story, item: Item) -> bool:
    """ "I punctured antegrade, five French", "retrograde puncture, six French": the sheath of a way that is gained."""
    sentence = story.sentence
    if item.name not in {"", "sheath"} or "gauge" not in item.figures or item.where or item.definite:
        return False
    if sentence.question or sentence.cues or sentence.texts & CALLS or len(story.mentions("device")) > 1:
        return False
    gained = story.recent(Kind.ACCESS, 0, Status.DONE)
    return gained is not None and gained.number == story.number and item.span[0] > 0


_KEYS = (("gauge", "[Ch]"), ("length", "cm"))


def _figure(item: Item) -> Quantity:
    return next(iter(item.figures.values()))


def _speaks_of_way(story: Story, sentence: Sentence) -> bool:
    """Whether nothing but the way in, and that it is gained, is spoken of."""
    if story.mentions("drug", "finding", "pair") or any(item.name not in _BEFORE for item in story.mentions("device")):
        return False
    return not _said_beside(story, sentence, story.mentions("device")) - _LIGHT - _OF_WAY - _WAYS - _GAINED


def _said_beside(story: Story, sentence: Sentence, said: Sequence[Item]) -> set[str]:
    """The words that are neither of these, nor tell where."""
    where = story.mentions("place", "side", "part")
    covered = {at for item in (*said, *where) for at in range(*item.span)}
    return {text for at, text in enumerate(sentence.tokens) if at not in covered}


def _make_sheath(sentence: Sentence, figures: list[Item]) -> None:
    sheath, last = figures[0], figures[-1]
    sizes = zip(figures, _KEYS, strict=False)
    sheath.figures = {key: _figure(item).in_unit(unit) for item, (key, unit) in sizes}
    sheath.kind, sheath.role, sheath.name, sheath.headless = "device", "insert", "sheath", True
    sheath.words, sheath.span = (sheath.words[0], last.words[1]), (sheath.span[0], last.span[1])
    told = replace(sheath, kind="action", role="", name="", figures={}, headless=False, span=(last.span[1],) * 2)
    told.meanings, told.status = frozenset({"placed"}), None
    sentence.items = [sheath, told, *(item for item in sentence.items if item.kind in {"side", "place"})]
