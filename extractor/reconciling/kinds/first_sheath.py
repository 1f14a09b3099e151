"""The first sheath of a case told by its gauge alone, right after the way in: "Radial. In. Six.", "right groin.
Puncture good. Six, fifty-five".
"""

from dataclasses import replace

from extractor.model import Item, Kind, Sentence, Status
from extractor.reconciling.kinds.told_after import CALLS
from extractor.reconciling.story import Story

#: Ways in, and what is told of one.
_WAYS = frozenset(
    """
    groin groins femoral radial brachial jugular popliteal basilic cephalic subclavian axillary pedal wrist arm neck
    antegrade retrograde access
    """.split()
)
_GAINED = frozenset("in got punctured puncture stuck stick done blood pulsing through accessed entered yes".split())
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
    inside here little just only standard normal small to for
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
        if sentence.texts & _WAYS:
            self._way = story.number
        elif story.mentions("device", "drug", "finding") or not settled:
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
        covered = {at for item in figures for at in range(*item.span)}
        covered |= {at for item in story.mentions("place", "side", "part") for at in range(*item.span)}
        if {text for at, text in enumerate(sentence.tokens) if at not in covered} - _LIGHT or len(figures) > len(_KEYS):
            return False
        bounds = zip(figures, (_GAUGES, _LENGTHS), strict=False)
        return all(low <= value <= high and not value % 1 for item, (low, high) in bounds for value in [_value(item)])


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


def _value(item: Item) -> float:
    return next(iter(item.figures.values())).value


def _make_sheath(sentence: Sentence, figures: list[Item]) -> None:
    sheath, last = figures[0], figures[-1]
    sizes = zip(figures, _KEYS, strict=False)
    sheath.figures = {key: next(iter(item.figures.values())).in_unit(unit) for item, (key, unit) in sizes}
    sheath.kind, sheath.role, sheath.name, sheath.headless = "device", "insert", "sheath", True
    sheath.words, sheath.span = (sheath.words[0], last.words[1]), (sheath.span[0], last.span[1])
    told = replace(sheath, kind="action", role="", name="", figures={}, headless=False, span=(last.span[1],) * 2)
    told.meanings, told.status = frozenset({"placed"}), None
    sentence.items = [sheath, told, *(item for item in sentence.items if item.kind in {"side", "place"})]
