"""A share said without its unit: "the circumflex is seventy", "venous side's tight, ninety", "residual fifteen".

Before findings are heard the figure gets its unit, so that it is read as every share is; the unit is marked as assumed.
"""

from extractor.model import Item, Kind, Sentence, Status
from extractor.reconciling.story import Hearing, Story

#: Said of a vessel: little passes.
_TIGHT = frozenset(
    """
    tight tighter tightest narrow narrower narrowest narrowed narrowing pinched pinch squashed squash squeezed choked
    crushed compressed compression lesion lesions stenosed stenosis stenoses stenotic kink kinked plaque thread slit
    subtotal silted strangled
    """.split()
)
#: Words for what can be so, where no lexicon has its name.
_VESSELS = frozenset(
    """
    artery arteries vein veins vessel vessels graft fistula anastomosis anastomotic arch outflow inflow trunk segment
    swing join suture mouth crotch end side common
    """.split()
)
#: Speaks of pressures; the highest of them, mmHg: common practice, no source.
_PRESSURES, _MOST_MMHG = frozenset("gradient gradients pressures pullback".split()), 300
#: What is left of it.
_RESIDUAL = frozenset("residual residue rest".split())
#: Between what is narrow and its share these change nothing.
_LIGHT = frozenset(
    """
    , : - ... is 's was it that this there a an the i we you 'd would say call make put reckon guess think
    estimate about around roughly nearly almost maybe perhaps well hm em er at in of to down up has have by eye
    my me for like some good and or still now only just easily as again both parts places inside on top bottom
    too so he she says but his her its ligament muscle rib clavicle scar old stent
    """.split()
)
#: Between a vessel and its share: fewer.
_JOINS = frozenset(
    ", : - ... is 's was has a about around nearly almost maybe hm em er at the of in still now one an".split()
)
#: What may follow the share.
_FREE = frozenset(
    """
    , . : ; - ... ! ? and but or each both odd ish easily easy maybe perhaps at in on inside for only now there here by
    today still too also with left back tops if residual residue i i'd we ostial proximal distal
    """.split()
) | {""}
#: With these a figure is of something else.
_OTHERS = frozenset(
    """
    pressure pressures gradient mean systolic diastolic pullback drop index saturation sats platelets creatinine
    bed slide stockings minutes minute seconds french degrees years year old kilos pounds quid sixes sevens
    eights fluoro contrast dose screening number angle oblique tube cranial caudal steep weighs weight pack
    beats pulse pulses heart spo2 oximeter bp temperature rate difference room table tilt lights
    """.split()
)
#: The least share of a vessel that is told by its place alone, of one said to be tight, and of what is left.
_LEAST_PLACED, _LEAST_TIGHT = 50, 20
#: For so many breaths after a picture what is seen on it is told. Set by hand, no source.
_SOON = 3
#: A sentence of no more tokens names a vessel and nothing else.
_FEW = 6
#: Before a vessel: something goes there.
_INTO = frozenset("in into via through down up".split())


class BareShares(Hearing):
    """Gives bare figures said of a narrow vessel their unit."""

    def __init__(self) -> None:
        self.tight = -9  # number of the last sentence that said that something is tight
        self.pulled = -9  # of the last that speaks of pressures
        self.named = -9  # and of the last that named a vessel, or that it is tight, and nothing else

    def begin(self, story: Story, sentence: Sentence) -> None:
        tight = not _TIGHT.isdisjoint(sentence.texts)
        figures = [item for item in sentence.items if _may_be_share(item)]
        if not _PRESSURES.isdisjoint(sentence.texts):
            self.pulled = story.number
        if figures and not story.summary and _OTHERS.isdisjoint(sentence.texts):
            self._give(story, sentence, figures, tight)
        if _names_vessels_alone(sentence) and not figures and (tight or _site_ends(sentence, sides=False)):
            self.named = story.number if len(sentence.tokens) <= _FEW else self.named
        if tight:
            self.tight = story.number

    def _give(self, story: Story, sentence: Sentence, figures: list[Item], tight: bool) -> None:
        """Shares get their unit."""
        seen, measured = self._lately(story)
        measured = measured or story.number - self.pulled <= 1 or any(map(_may_be_pressure, sentence.items))
        near = tight or story.number - self.tight <= 1
        placed = not measured and story.topic != "drug" and _names_vessels_alone(sentence)
        told = False
        for item in figures:
            least = 0 if told else _LEAST_TIGHT if seen or near else _LEAST_PLACED
            great = item.figures["value"].value >= least
            if (
                (tight and not measured and _of_tight(sentence, item))
                or _of_residue(sentence, item, seen)
                or (placed and great and _of_vessel(sentence, item, row=told or near))
                or (placed and self.named == story.number - 1 and _opens(item))
            ):
                item.figures["value"] = item.figures["value"].flagged("unit-assumed", unit="%")
                told = True

    @staticmethod
    def _lately(story: Story) -> tuple[bool, bool]:
        """Whether a picture or a stenosis was told lately, and whether a pressure was since."""
        for draft in reversed(story.drafts[-4:]):
            soon = story.sentence.breath - draft.breath <= _SOON
            if draft.kind is Kind.MEASURE and draft.values.keys() & {"pressure", "gradient"}:
                return False, soon
            if draft.kind is Kind.RUN or draft.finding == "stenosis":
                return soon, False
        return False, False


def _may_be_pressure(item: Item) -> bool:
    """ "Aorta one fifty-two, groin ninety.": a figure that is no share, beside which the next one is none either."""
    figure = item.figures.get("value") if item.kind == "quantity" else None
    return figure is not None and figure.unit is None and 100 < figure.value <= _MOST_MMHG


def _may_be_share(item: Item) -> bool:
    if item.kind != "quantity" or item.role or item.status not in {None, Status.PLANNED}:
        return False
    figure = item.figures.get("value")
    if figure is None or figure.unit is not None or figure.form != "cardinal" or item.after not in _FREE:
        return False
    return 0 <= figure.value < 100 and (not figure.value % 5 or figure.value > 70)


def _between(sentence: Sentence, item: Item, heads: frozenset[str], light: frozenset[str]) -> bool:
    """Whether one of these words stands before a figure, with nothing but light words and places between."""
    named = {at for other in sentence.items if other.kind in {"place", "side", "part"} for at in range(*other.span)}
    at = item.span[0] - 1
    while at >= 0 and (at in named or sentence.tokens[at] in light):
        at -= 1
    return at >= 0 and sentence.tokens[at] in heads


def _of_tight(sentence: Sentence, item: Item) -> bool:
    """ "Venous side's tight, ninety.", "narrowed at the mouth to sixty"."""
    return item.figures["value"].value >= _LEAST_TIGHT and _between(sentence, item, _TIGHT, _LIGHT)


def _of_residue(sentence: Sentence, item: Item, after_picture: bool) -> bool:
    """ "Residual fifteen.", "rest is twenty", "thirty left."."""
    if _between(sentence, item, _RESIDUAL, _LIGHT) or item.after in _RESIDUAL:
        return True
    end = sentence.tokens[item.span[1] + 1 :][:1]
    return after_picture and item.after == "left" and item.span[0] == 0 and (not end or not end[0].isalpha())


def _of_vessel(sentence: Sentence, item: Item, row: bool) -> bool:
    """ "The circumflex is seventy, LAD ninety.", "Seventy at the venous end."; ``row``: a side is enough."""
    ends = _site_ends(sentence, sides=row)
    at = item.span[0] - 1
    while at >= 0 and at + 1 not in ends and sentence.tokens[at] in _JOINS:
        at -= 1
    if at >= 0 and at + 1 in ends:
        first = ends[at + 1]
        return not first or sentence.tokens[first - 1] not in _INTO
    return (
        item.span[0] == 0 and item.after in {"at", "in", "on", ","} and any(0 < end - item.span[1] <= 4 for end in ends)
    )


def _site_ends(sentence: Sentence, sides: bool) -> dict[int, int]:
    """The tokens right behind each vessel or part of one, and its first token."""
    kinds = {"place", "part", "side"} if sides else {"place", "part"}
    ends = {at + 1: at for at, token in enumerate(sentence.tokens) if token in _VESSELS}
    return ends | {item.span[1]: item.span[0] for item in sentence.items if item.kind in kinds}


def _names_vessels_alone(sentence: Sentence) -> bool:
    """Whether no drug, pair or device but a stent without its size is named."""
    return not any(
        item.kind in {"drug", "pair"} or (item.kind == "device" and (item.role != "stent" or item.figures))
        for item in sentence.items
    )


def _opens(item: Item) -> bool:
    """ "Anterior tibial. Ninety, long."."""
    return not item.span[0] and item.figures["value"].value >= _LEAST_PLACED
