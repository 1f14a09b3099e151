"""One more inflation of a balloon nobody said came down: "again, to sixteen", "balloon back in, two atmospheres"."""

from collections.abc import Sequence

from extractor.model import Item, Quantity
from extractor.reconciling.bare_figures import RANGE, told_by
from extractor.reconciling.hold_times import Rise
from extractor.reconciling.story import Story
from extractor.units import BALLOON_PRESSURES

#: What is said of a balloon that goes on: no word of a new inflation.
_SAME = {"same", "the same", "again", "same pressure", "identical", "another", "repeat"}
#: Said in a sentence of its own, of a balloon that is up: it is blown up once more.
_GOES = frozenset("go goes going attempt try shot round".split())
#: With these a figure is of something else that goes up, or is counted or asked again.
_OF_OTHERS = frozenset(
    "gas table oxygen light lights heart rate bed volume music heating count ask check measure people letters".split()
)
#: What is told with these is no new inflation: how far it was, or is, when something happened.
_BACK = frozenset("waist nominal rated burst gave opened opens open never always when was had started yielded".split())
#: Between "again" and how far.
_TO = frozenset("to at up on it now , then and goes go with only".split())


def begins_anew(item: Item) -> bool:
    """Words that begin a new inflation, said while one is open: "same balloon, once more ten"."""
    return "again" in item.meanings and item.text not in _SAME


def told_before(story: Story, up: Sequence[Rise]) -> bool:
    """Whether how far they went up was told in earlier sentences, of all that are up."""
    peaks = [rise.draft.values.get("pressure") for rise in up]
    return bool(peaks) and all(peak is not None and peak.words[1] <= story.sentence.words[0] for peak in peaks)


def up_again(story: Story, item: Item, quantity: Quantity, up: Sequence[Rise]) -> bool:
    """Whether a pressure is of one more inflation: another than was told in a sentence before, behind "again"; or a
    lower one that it goes up to, or that is told with its unit.
    """
    peaks = [rise.draft.values["pressure"] for rise in up if "pressure" in rise.draft.values]
    if not told_before(story, up) or any(peak.unit != quantity.unit or not _can_be(peak) for peak in peaks):
        return False
    if any(other.corrects for other in story.behind()) or "corrected" in quantity.flags:
        return False
    lower = quantity.value < min(peak.value for peak in peaks)
    said = item.figures.get("value")
    with_unit = said is not None and said.unit in BALLOON_PRESSURES
    if story.sentence.texts & _OF_OTHERS:
        return False
    if lower and ("inflate" in told_by(story) or (with_unit and not _looks_back(story))):
        return True
    return any(peak.value != quantity.value for peak in peaks) and _again_to(story, item)


def _looks_back(story: Story) -> bool:
    """ "The waist gave at eight atmospheres", "nominal is eight": told of what was, or of a chart."""
    return bool(story.sentence.texts & _BACK) or bool(story.mentions("finding"))


def _can_be(peak: Quantity) -> bool:
    """Whether a balloon can have gone so high: a lower figure behind "one seven six" puts it right."""
    least, most = RANGE[peak.unit or "atm"]
    return least <= peak.value <= most


def _again_to(story: Story, item: Item) -> bool:
    """ "Again it, to sixteen.", "Another go, sixteen."."""
    for other in story.behind():
        between = {*story.sentence.tokens[other.span[1] : item.span[0]]}
        if other.text == "again" and between <= _TO:
            return True
        if other.text == "another" and between & _GOES:
            return True
        if other.kind not in {"mark", "pronoun", "action"}:
            return False
    return False
