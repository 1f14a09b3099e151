"""Settings of an injection told in one sentence in any order, each called by its name or by what the others leave it:
"inject fifteen, flow of seven", "at twenty, forty in total", "four a second, eight in all", "eight on four".
"""

from collections.abc import Sequence

from extractor.model import Item
from extractor.reconciling.story import Story

_VOLUME = {"volume", "amount", "total"}
_RATE = {"rate", "flow", "speed", "debit"}
_PICTURES = {"frame", "frames", "pictures", "images"}
#: Between the name of a setting and its figure.
_OF = frozenset("of is a at the , to with you we i make take set be put should".split())
#: Behind a figure: it is all that goes in.
_ALL = {("in", "total"), ("in", "all"), ("all", "told"), ("all", "in"), ("all", "together")}
_TOGETHER = {"total", "altogether", "together", "overall"}
#: Between a volume and how fast it goes in.
_JOINS = {"at", "with", "on", "over", "flow", "rate", "by"}
_LEAVES = {"leave", "keep", "stay", "hold", "leaving", "keeping"}
#: The largest volume, mL, and rate, mL/s, a bare figure may be: common practice, no source.
_MOST_ML, _FASTEST = 60, 40


def settings_row(story: Story) -> dict[str, Item]:
    """The figures of this sentence by the setting each is: volume and rate, and how often pictures are taken where it
    is told. Empty where the sentence does not tell just one volume and one rate, in two or three figures.
    """
    items = story.sentence.items
    figures = [item for item in items if item.kind == "quantity"]
    if not 2 <= len(figures) <= 3 or story.mentions("device", "drug", "finding", "pair", "denied"):
        return {}
    if any(item.corrects or item.status is not None for item in items) or story.says("pressure", "again", "by hand"):
        return {}
    leaves = story.sentence.texts & _LEAVES
    if leaves and not (leaves == {"hold"} and "breath" in story.sentence.texts):
        return {}  # "leave it at eight": put right, or of the frames
    if story.says("inflate") and not story.says("by pump"):
        return {}
    row: dict[str, Item] = {}
    bare: list[Item] = []
    for item in figures:
        key = called_setting(story.sentence.tokens, item)
        if key == "volume" and key in row and _is_all(story.sentence.tokens, item) and story.says("by pump"):
            row["rate"] = row.pop(key)  # "the pump at six mils, twenty-four in total": so much a second
        if key in row:
            return {}
        if key:
            row[key] = item
        elif item.figures["value"].unit in {None, "/s"}:
            bare.append(item)
        else:
            return {}
    if "frames" in story.sentence.texts and "frame_rate" not in row:
        return {}  # "leave the frames at three"
    return _filled(story.sentence.tokens, row, bare)


def _is_all(tokens: Sequence[str], item: Item) -> bool:
    return tokens[item.span[1] : item.span[1] + 2] in _ALL or item.after in _TOGETHER


def called_setting(tokens: Sequence[str], item: Item) -> str:
    """The setting a figure is by its unit, or by the word beside it; empty where neither tells."""
    value = item.figures["value"]
    if value.unit == "mL":
        return "volume"
    if value.unit == "mL/s":
        return "rate"
    if value.unit == "/s":
        return "frame_rate" if value.of_pictures else ""
    if _is_all(tokens, item) or item.after == "volume":
        return "volume"
    at = item.span[0] - 1
    while at >= 0 and tokens[at] in _OF:
        at -= 1
    word = tokens[at] if at >= 0 else ""
    return "volume" if word in _VOLUME else "rate" if word in _RATE else "frame_rate" if word in _PICTURES else ""


def _filled(tokens: Sequence[str], row: dict[str, Item], bare: list[Item]) -> dict[str, Item]:
    """The row with what the bare figures are by what is left for them; empty where that is not clear."""
    often = next((item for item in bare if item.figures["value"].unit == "/s"), None)
    if often is not None and "rate" in row and "frame_rate" not in row:
        row, bare = {**row, "frame_rate": often}, [item for item in bare if item is not often]
    if len(bare) == 2 and not row.keys() & {"volume", "rate"}:
        first, second = bare
        joined = tokens[first.span[1] : second.span[0]]
        if len(joined) != 1 or joined[0] not in _JOINS - {"at", "by"}:
            return {}
        row = {**row, "volume": first, "rate": second}
    elif len(bare) == 1 and len(row.keys() & {"volume", "rate"}) == 1:
        missing = "rate" if "volume" in row else "volume"
        fast = "rate" in row or bare[0].before in _JOINS or bare[0].figures["value"].unit == "/s"
        row = {**row, missing: bare[0]} if fast else {}
    elif bare:
        return {}
    if not {"volume", "rate"} <= row.keys():
        return {}
    volume, rate = row["volume"].figures["value"].value, row["rate"].figures["value"].value
    return row if 1 <= rate <= min(volume, _FASTEST) and volume <= _MOST_ML else {}
