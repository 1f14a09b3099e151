"""What the words beside a figure tell of it: that it was measured, or that it is of something else."""

from collections.abc import Sequence

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.pressure_site import VITALS
from extractor.reconciling.story import Story

#: The pressure in an aorta is no lower, mmHg: common practice, no source. A lower figure is how wide it is, in mm, or
#: what goes in.
LEAST_AORTIC = 40
COPULAS = {"is", "'s", "was"}
#: Between a vessel and its size, where sizes are taken.
SAYS = frozenset(", is 's was are at has gives measures : - about around artery vein neck zone".split())
#: Between a figure and the gradient it is: "eleven of a gradient".
_GRADIENT_OF = {"of", "a", "mean", "systolic", "residual", "pressure", "peak"}
#: Small words that are read as actions and tell nothing here: "down to", "on".
PASSING_ACTIONS = {"particle", "raise", "particle out"}
_DIAMETER_OF = {"the", "of", "diameter", "width", "calibre", "caliber", "reference", "at", "in"}
#: What a size is said to be of, where no lexicon knows the name.
OF = frozenset(
    """
    artery vein vessel duct neck lumen branch trunk segment brachial radial zone
    """.split()
)
#: What has a width however large it is.
ROUND = {"collection", "sac", "abscess", "cavity", "cyst", "mass", "lesion", "aneurysm", "neck"}
OF_VESSEL = OF | ROUND
LONG_CM = 60.0  # the same told in cm, as wide things are too, mm: set by hand
WIDTHS = {"diameter", "width", "reference", "calibre", "caliber"}
#: What is measured inside a patient is no longer, mm: common practice, no source.
LONGEST_MM = 500.0
PLACE_KINDS = {"place", "side", "part"}
_NOT_COUNTED = {"is", "was", "this", "us", "across", "as", "has", "yes", "plus", "minus", "its"}
#: Before a figure that answers a question for the clotting time nothing else stands.
_ACT_LIGHT = frozenset(
    """
    , . ... - : it it's 's is was that that's this the a came comes come coming back as at now about around we we're are
    have has got get says reads reading result number one says okay ok so and yes yeah right um er still only just up
    down again to currently today last new current first second i i've gives makes machine clotting time doctor sir s
    here there roughly nearly almost over under above sister nurse result sample reading mm still please what what's
    """.split()
)
#: Behind such a figure: it is of something else.
_OF_OTHERS = {"over", "of", "for", "per", "by"}


def wide_aorta(story: Story, before: Item | None, between: Sequence[str]) -> bool:
    """ "The aorta was fifteen, the right iliac eight point eight", "aorta fourteen, iliac nine point three": how wide,
    as no pressure is so low; "aorta, fifteen" alone may be what is injected there.
    """
    said = story.mentions("quantity")
    finely = len(said) > 1 and any(
        has_point(other.figures["value"]) and other.figures["value"].unit is None for other in said
    )
    whole = any(other.figures["value"].value >= LEAST_AORTIC for other in said)
    return before is not None and before.text == "aorta" and not whole and (finely or bool({*between} & COPULAS))


def of_vitals(story: Story, item: Item) -> bool:
    """ "Heart rate one ninety", "ACT is running, heart rate ninety": whether a figure is no clotting time because
    something else is named nearer than that, or at all where that is not named.
    """
    sentence, named = story.sentence, [other for other in story.sentence.items if "act" in other.meanings]
    begin = max((other.span[1] for other in named if other.span[1] <= item.span[0]), default=0)
    end = min((other.span[0] for other in named if other.span[0] >= item.span[1]), default=len(sentence.tokens))
    before = {*sentence.tokens[begin : item.span[0]]}
    others = VITALS | {"pressure", "weight"}
    if named:
        behind = {*sentence.tokens[item.span[1] : end]} if not begin else {item.after}
        return bool((before | behind) & others)
    return bool(sentence.texts & others) or not before <= _ACT_LIGHT or item.after in _OF_OTHERS


def may_be_side(item: Item, gradient: Quantity) -> bool:
    """Whether a figure that found no place stands before a gradient and can be a pressure."""
    free = not item.used and item.status is None and item.words[1] <= gradient.words[0]
    return free and item.figures["value"].unit in {None, "mm[Hg]"}


def of_gradient(story: Story, item: Item) -> bool:
    """ "twelve of gradient", "a twelve millimetre gradient": the word stands right behind."""
    following = story.after()
    if following is None or "gradient" not in following.meanings or following.text != "gradient":
        return False
    between = story.sentence.tokens[item.span[1] : following.span[0]]
    return not between or (between[0] == "of" and {*between} <= _GRADIENT_OF)


def subtracted(story: Story, item: Item) -> bool:
    """ "gradient, twelve over four, so eight": the figure is a part of the difference that follows it."""
    said = story.mentions("quantity")
    figures, at = [other.figures["value"].value for other in said], said.index(item)
    ends = [(at, at + 1, at + 2), (at - 1, at, at + 1)]
    return any(
        first >= 0 and last < len(figures) and abs(abs(figures[first] - figures[second]) - figures[last]) < 1e-6
        for first, second, last in ends
    )


def of_sides_alone(sentence: Sentence) -> bool:
    """ "Pull back.", "Right, six.", "Pull back left: two.": nothing is told but figures and their sides."""
    known = {at for item in sentence.items if item.kind in {"side", "mark", "quantity"} for at in range(*item.span)}
    return all(at in known or token in {"pull", "back", "on", "is", "and"} for at, token in enumerate(sentence.tokens))


def goes_in(story: Story) -> bool:
    """ "Left coronary, seven mils. Cine.", "gelatine down the tract, two mils": of what is injected."""
    following = story.following.items if story.following is not None else []
    said = [item for item in following if item.kind != "mark"]
    shot = len(said) == 1 and said[0].kind == "action" and "go" in said[0].meanings
    return shot or any(item.role == "embolise" for item in story.mentions("device"))


def counts_other(item: Item) -> bool:
    """ "two patients", "three coffees": a bare figure that counts what is named after it."""
    return item.after.isalpha() and item.after.endswith("s") and item.after not in _NOT_COUNTED


def side_before(story: Story) -> str:
    """The side said last before the figure heard now."""
    return next((other.name for other in story.behind() if other.kind == "side"), "")


def sounds_alike(a: float, b: float) -> bool:
    """ "fifty" and "fifteen"."""
    tens, teens = max(a, b), min(a, b)
    return 13 <= teens <= 19 and tens == 10 * (teens - 10)


def has_point(quantity: Quantity) -> bool:
    return quantity.form in {"decimal", "fraction"} and 0.5 <= quantity.value <= 60


def says_so_next(story: Story, sentence: Sentence) -> bool:
    """ "Left one, eight. I am measuring at the same level.": the next sentence of the breath tells what was done."""
    next_one = story.following
    if next_one is None or next_one.breath != sentence.breath or any(i.kind == "quantity" for i in next_one.items):
        return False
    return any("measure" in item.meanings and item.status is None for item in next_one.items)


def of_neck(story: Story, item: Item) -> bool:
    """ "We have seventeen millimetres of neck": how long it is."""
    return story.sentence.tokens[item.span[1] : item.span[1] + 2] in {
        ("of", "neck"),
        ("of", "landing"),
        ("of", "stump"),
    }


def measures_before(story: Story) -> bool:
    """ "measures seven", "measuring eight here, and farther up thirteen": the word stands before the figure in
    its clause.
    """
    comma = False
    for other in story.behind():
        if other.kind == "device":
            return False
        if other.kind == "action" and "measure" in other.meanings and other.text != "it is":
            return True
        if other.kind == "mark" and other.text in {"...", "-", "so", "then"}:
            return False
        if other.kind == "mark" and other.text == ",":
            comma = True
        elif comma and other.kind != "mark":
            return False
    return False


def told_by_verb(story: Story) -> bool:
    """ "ultrasound, please... it measures sixty": what is asked for in the sentence is not the figure."""
    said = next((other for other in story.behind() if other.kind == "action"), None)
    return said is not None and said.text in {"measures", "measured"} and said.status is not Status.PLANNED


def measures_after(story: Story) -> bool:
    """ "eight point one, I measure"."""
    for other in story.ahead():
        if other.kind == "action" and not other.meanings <= PASSING_ACTIONS:  # "nineteen on the ruler"
            return "measure" in other.meanings
        if other.kind not in {"action", "pronoun", "phrase", *PLACE_KINDS} and other.text != ",":
            return False
    return False


def of_a_balloon(story: Story, item: Item) -> bool:
    """ "inflates the balloon, which measures six by sixty, to nine": its size, and nothing measured now."""
    sized = any(other.role in {"inflation", "stent"} and "length" in other.figures for other in story.behind())
    return sized and item.before in {"which", "that"}


def sided(story: Story) -> bool:
    """ "left four, right one": the side stands right before the figure."""
    before, after = story.before("mark", "phrase"), story.after()
    if after is not None and after.kind == "side" and after.text.startswith(("on ", "at ")):
        return True  # "and zero on the left"
    return before is not None and before.kind == "side"


def difference(story: Story, quantity: Quantity) -> bool:
    """ "aorta one forty, distal one twenty-five, so fifteen": the difference of the two pressures just told."""
    told = [
        draft.values["pressure"].value
        for draft in story.drafts[-3:]
        if draft.kind is Kind.MEASURE and "pressure" in draft.values and draft.breath == story.sentence.breath
    ]
    return len(told) >= 2 and abs(abs(told[-1] - told[-2]) - quantity.value) < 1e-6


def called_of(story: Story, item: Item, quantity: Quantity) -> bool:
    """ "Diameter of the femoral artery, seven": the word stands at the head, with only a place between."""
    before = story.before("mark")
    if before is None or before.kind not in PLACE_KINDS or not 1 <= quantity.value <= LONGEST_MM:
        return False
    heads = {*story.sentence.tokens[: before.span[0]]} <= _DIAMETER_OF and WIDTHS & {*story.sentence.tokens[:3]}
    between = {*story.sentence.tokens[before.span[1] : item.span[0]]}
    return bool(heads) and between <= SAYS and not counts_other(item)


def only_width(story: Story, item: Item, quantity: Quantity) -> bool:
    """ "In diameter the vein gives ten and a half": the one figure of a sentence about how wide a vessel is."""
    if len(story.mentions("quantity")) != 1 or story.mentions("device", "drug", "finding", "pair"):
        return False
    vessel = story.sentence.texts & OF_VESSEL or story.mentions("place")
    wide = story.sentence.texts & WIDTHS and not story.says("run", "inflate", "settings", "pressure")
    return bool(vessel and wide) and not counts_other(item) and 1 <= quantity.value <= LONG_CM
