"""A figure told as the size of a vessel, by what stands between the two, in either order.

"The artery comes out as seven and a half", "five millimetres is the brachial here", "nine point three for the vein",
"a vessel of three comma two": a vessel, words that tell, words that change nothing, and the figure. A bare figure needs
more than "is": that sizes are taken in this breath, or a verb that measures.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from extractor.model import Item, Quantity, Sentence
from extractor.reconciling.story import Story

#: What a size is said to be of, where no lexicon knows the name.
VESSELS = frozenset(
    "artery vein vessel duct neck lumen branch trunk segment brachial radial zone cava ureter tract landing".split()
)
#: What else is told so, by the first word of its name alone or where no lexicon knows it: only with the unit or a
#: decimal behind it, as bare figures of these are often something else.
BRANCHES = frozenset(
    """
    feeder feeders segmental subsegmental polar ovarian uterine gluteal gonadal spermatic testicular lumbar pudendal
    hypogastric mammary meningeal lingual facial ophthalmic colic ileal jejunal gastric gastroduodenal phrenic
    intercostal bronchial vertebral basilar cephalic basilic azygos saphenous peroneal tibial ulnar axillary subclavian
    innominate brachiocephalic jugular splenic hepatic mesenteric coeliac celiac internal external common infundibulum
    bulb diagonal marginal circumflex varix varices parent collateral accessory perforator sac nidus stone calculus
    gallbladder caecum cecum colon pelvis
    """.split()
)
#: Pus and fluid, and where it stands.
_COLLECTIONS = frozenset(
    """
    collection cavity abscess pocket cyst lymphocele seroma biloma urinoma haematoma hematoma empyema effusion
    haemothorax hemothorax pericardium ascites fluid
    """.split()
)
#: With one of these it is how far something is pushed, or from the skin.
_PUSHED = frozenset("insert inserted advance advanced push pushed needle skin slice slices cuts".split())
#: Of these, and of what is deep, how deep they are is told.
_DEEP = frozenset("effusion haemothorax hemothorax pericardium ascites fluid depth".split())
#: These count more often than they are measured: "zone is three".
_NUMBERED = {"zone", "segment"}
#: What else has a size in a patient, and where: a lesion, an ending.
_SIZED = VESSELS | frozenset(
    """
    lesion stenosis narrowing occlusion plaque thrombus clot stricture tear dissection leak perforation aneurysm sac
    collection abscess cavity cyst mass haematoma fistula anastomosis graft stump ostium bifurcation confluence carina
    hilum papilla renal renals internal external aorta iliac femoral popliteal vessels arteries veins zones landings
    necks segments branches ducts lesions reference lumens
    """.split()
)
#: What is asked for its size and is never in a patient, and who is.
_NEVER = frozenset(
    """
    glove gloves gown gowns apron aprons shoe shoes clog clogs hat cap mask masks goggles pillow pillows cushion blanket
    drape drapes table bed bag bags cable patient patient's temperature weight he she
    """.split()
)
#: Around what is asked about nothing else stands: "how wide do you make that one, please?".
_ASKING = frozenset(
    """
    . , ? ! ... - : ; 's s ' and or so well okay ok right left yes now then again please just also still me us for from
    to of in on at by with the a an what what's how how's which where is are was do does did you i we it's that's
    there's can could will would shall should let let's lets get got have see look say tell think make makes measure
    measures measured measuring measurement measurements take give gives need want call reckon check size sizes sized
    sizing big large wide broad long far much short wide's diameter diameters width widths length lengths distance
    distances height calibre caliber reference gradient gradients pressure pressures transduce transducing transduced
    transducer wedge wedged free portal atrial mean lumen ruler calipers callipers caliper calliper ivus ultrasound
    probe software workstation number numbers edge wall walls end ends top bottom upper lower proximal distal proximally
    distally middle mid between above below up down other side first second here there across over whole room cover
    treat one last minimal minimum maximum max common skin target screen exactly about roughly software's out one's
    going i'm we're i'll we'll try quick quickly
    """.split()
)
_STANDING_FOR = frozenset("it that this they them those these one".split())
_ASKED_OF = _ASKING | _STANDING_FOR
#: Words for a size that anything may have: whose it is must have been told.
_ANYTHINGS = frozenset("size sizes big large long number numbers screen workstation software".split())
#: What sizes are read from: common practice, no source.
_READ_FROM = frozenset("software workstation calipers callipers caliper calliper ruler cursor cursors".split())
_LOOKING = frozenset("ultrasound ivus measured measures measuring intravascular".split())
_SWELLINGS = {"pseudoaneurysm", "aneurysm", "haematoma"}
#: These tell what a vessel has; the second need no unit beside them.
_TELLS = frozenset("is 's was are were has have had of with at gives gave shows showed says to estimate".split())
_MEASURES = frozenset(
    "measures measured measuring measure comes came gets get makes calibre caliber width sized size sizes".split()
)
#: Between a vessel and its size these change nothing.
_LIGHT = frozenset(
    """
    , : ... right left side me the a an about around roughly approximately nearly almost exactly just maybe perhaps
    say here there now above below proximally distally by my our your eye measure i we you out up as on and good some
    well it that this itself artery vein vessel in diameter reads read level end top bottom
    """.split()
)
#: Between a figure and the vessel it is told of before.
_BACK = frozenset("is 's was for the that this our my here , that's would be".split())
_POINTING = frozenset("is 's was for that's at in".split())
_COPULAS = {"is", "'s", "was", "are", "has", "gives", "shows", "says"}
#: After a bare figure that is told of a vessel with no more than "is".
_BARE_ENDS = frozenset(
    ", . ; and here there now only on at up down across wide beyond before behind past where flat".split()
) | {""}
#: Where in a vessel: sizes are read off one after the other.
_POINTS = frozenset(
    """
    confluence ligament ostium origin bifurcation above below proximal distal proximally distally top bottom upper lower
    """.split()
)
#: The ends of a vessel.
_ENDS_OF = frozenset("top bottom proximally distally confluence ostium origin bifurcation middle".split())
#: A name that heads what is told has so many words, with its article: set by hand.
_HEADING = 3
#: A vessel is no wider, mm, but for those that are told so with their unit: common practice, no source.
_WIDEST_MM = 45.0


def can_be_sized(sentence: Sentence, told: bool) -> bool:
    """Whether what a sentence asks or calls to measure can be in a patient: it names a vessel, a lesion or a part of
    one, or nothing at all; ``told``: one was told right before, that "it" may stand for.
    """
    if sentence.texts & _NEVER:
        return False
    if sentence.texts & _SIZED or any(item.kind in {"place", "part", "finding"} for item in sentence.items):
        return True
    known = {at for item in sentence.items if item.kind in {"side", "phrase", "mark"} for at in range(*item.span)}
    if len(sentence.tokens) > 2 and sentence.tokens[-1] in {"?", "."} and sentence.tokens[-3] == ",":
        known.add(len(sentence.tokens) - 2)  # "How wide's that, Maud?"
    words = {token for at, token in enumerate(sentence.tokens) if at not in known}
    anything = words & _ANYTHINGS and not words & {"measure", "diameter", "width"}
    return words <= _ASKED_OF and (told or not anything)


def names_vessel(story: Story) -> bool:
    """Whether the sentence says of itself what a size is of."""
    return bool(story.sentence.texts & _SIZED) or bool(story.mentions("place"))


def takes_sizes(sentence: Sentence) -> bool:
    """ "Software says …", "all in millimetres": figures of this sentence are read off."""
    tokens = sentence.tokens
    units = any(one == "in" and other in {"millimetres", "millimeters"} for one, other in pairwise(tokens))
    return units or bool(sentence.texts & _READ_FROM)


def set_aside_instruments(sentence: Sentence, taking: bool, expected: bool) -> None:
    """ "Sixty millimetres by the marker catheter", "I take the length with the wire", "top of the stent to the ostium,
    twelve": what a size is taken with, or from, is not put in or asked for here.
    """
    taken = taking or any("measure" in item.meanings for item in sentence.items) or _says_length(sentence)
    apart = "distance" in sentence.texts and _says_length(sentence)
    for item in sentence.items if taken or expected else ():
        if item.kind != "device" or item.figures or not item.name:
            continue
        used = _with(sentence.tokens, item) and (taken or item.name == "ultrasound catheter")
        bypass = expected and item.text in {"graft", "the graft"}  # "The graft itself, five point nine."
        if used or bypass or apart or (taking and _landmark(sentence.tokens, item)):
            item.kind, item.name = "phrase", "instrument"


def _says_length(sentence: Sentence) -> bool:
    figures = [item.figures["value"].unit for item in sentence.items if item.kind == "quantity"]
    return figures == ["mm"] or figures == ["cm"]


def part_sizes(sentence: Sentence) -> None:
    """ "The false aneurysm measures twenty-four by eighteen millimetres", "the true lumen is eighteen by ten": of what
    was named before it, no balloon's; the first figure stands for how wide it is.
    """
    vessels, named = _vessels(sentence), 0
    held = {at for at, token in enumerate(sentence.tokens) if token in _COLLECTIONS}
    vessels |= held
    swollen = False
    devices = any(item.kind == "device" and not item.headless for item in sentence.items)
    for at, item in enumerate(sentence.items):
        if item.kind == "finding":
            named, swollen = item.span[1], item.name in _SWELLINGS
        if not item.headless or item.figures.keys() != {"diameter", "length"}:
            continue
        wide, long = item.figures["diameter"], item.figures["length"]
        begin = max((vessel + 1 for vessel in vessels if vessel < item.span[0]), default=0)
        unit = wide.unit or long.unit
        of_vessel = begin > named and bool(unit or held or sentence.texts & _LOOKING)
        before = ("", *sentence.tokens)[item.span[0]]
        of_vessel = of_vessel or (
            bool(unit) and not (devices or named) and before in _MEASURES
        )  # "it measures 90 mm by 60"
        between = {*sentence.tokens[begin if of_vessel else named : item.span[0]]}
        told = bool(between & (_TELLS | _MEASURES | {","})) and between <= _TELLS | _MEASURES | _LIGHT | _LOOKING
        if not told or not (of_vessel or (swollen and named)):
            continue
        figures, after = {"value": wide.in_unit(unit or "mm")}, (*sentence.tokens, "")[item.span[1]]
        sentence.items[at] = replace(item, kind="quantity", figures=figures, headless=False, before=before, after=after)


def _landmark(tokens: Sequence[str], item: Item) -> bool:
    """ "Top of the stent to the ostium"."""
    before = [token for token in tokens[max(0, item.span[0] - 3) : item.span[0]] if token not in {"the", "a", "old"}]
    return before[-1:] == ["of"] and {*before[:-1]} & (_POINTS | {"end", "edge"}) != set()


def _with(tokens: Sequence[str], item: Item) -> bool:
    """Whether a device is what something is done with: "by the marker catheter"."""
    at = item.span[0] - 1
    while at > 0 and tokens[at] in {"the", "a", "my", "our", "this", "that"}:
        at -= 1
    return at >= 0 and tokens[at] in {"with", "by", "using", "on"}


def told_of_vessel(story: Story, item: Item, quantity: Quantity, taking: bool) -> bool:
    """Whether this figure is the size of a vessel named in its sentence; ``taking``: sizes are taken in this breath."""
    if any(other.kind in {"device", "drug", "finding", "pair"} for other in story.clause()):
        return False
    vessels = _vessels(story.sentence)
    vessels |= _branches(story, item, quantity)
    if not (quantity.unit or story.sentence.texts & _MEASURES):
        fine, tokens = taking or bool(quantity.value % 1), ("", *story.sentence.tokens)
        landing = {
            at for at in vessels if "landing" in tokens[at : at + 2]
        }  # "proximal landing zone, eleven point five"
        counted = {at for at in vessels if tokens[at + 1] in _NUMBERED}
        vessels -= counted - landing if fine else counted | landing
    if taking:
        vessels |= {at for at, token in enumerate(story.sentence.tokens) if token in _POINTS}
    said = _before(story.sentence.tokens, vessels, item, quantity, taking)
    if said is None:
        said = _behind(story.sentence.tokens, vessels, item, bool(quantity.unit) or taking)
    if said is None:
        return False
    if quantity.unit:
        return True
    if (
        story.says("inflate", "run", "settings", "gradient", "pressure")
        or not 0.5 <= as_spoken(story, item, quantity).value <= _WIDEST_MM
    ):
        return False
    fine = quantity.form in {"decimal", "fraction", "spelled"}
    return (
        bool(said & _MEASURES)
        or (taking and (fine or item.after in {"", ",", ".", "and", "at"} | _POINTS))
        or (fine and bool(said & _TELLS - {"at", "to"}))
        or (bool(said & _COPULAS) and item.after in _BARE_ENDS | _POINTS and not _counts(story.sentence, item))
    )


def _counts(sentence: Sentence, item: Item) -> bool:
    """ "Artery is three down, two to go", "is five up, well done": nothing says where down or up is."""
    behind = sentence.tokens[item.span[1] + 1 : item.span[1] + 2]
    return item.after in {"up", "down", "on"} and {*behind} <= {",", ".", "and"}


#: Which of several vessels, where they were named before.
_WHICH = frozenset(
    """
    left right main big bigger biggest large larger largest small smaller smallest wide wider widest other upper lower
    first second third proximal distal top bottom middle inner outer anterior posterior dominant one one's thinner
    thicker fattest fatter thin fat little tiny narrow narrower narrowest healthy healthier diseased sick tight tightest
    normal
    """.split()
)
_NAMING = _WHICH | frozenset("the a that this and , one branch side part place point piece our only about".split())


def told_of_one_of_them(sentence: Sentence, item: Item, quantity: Quantity) -> bool:
    """ "Left one's four millimetres", "main one is five point eight", "the bigger, three millimetres": of which vessel
    a size is, by how it differs from the others that were named before it.
    """
    begin = item.span[0]
    while begin and sentence.tokens[begin - 1] not in {".", ";", "?", "..."}:
        begin -= 1
        if sentence.tokens[begin] in _COPULAS | {","} and begin < item.span[0] - 1:
            begin += 1
            break
    said = sentence.tokens[begin : item.span[0]]
    told = said[-1:] in {("is",), ("'s",), ("was",), (",",)} and len(said) > 1
    fine = quantity.form in {"decimal", "fraction"} and quantity.unit is None
    others = any(other.kind in {"device", "drug", "finding", "pair"} for other in sentence.items)
    named = {*said[:-1]}
    return (
        told
        and not others
        and (quantity.unit == "mm" or (fine and said[-1] != ","))
        and bool(named & _WHICH - {"one"})
        and named <= _NAMING
        and item.after in _BARE_ENDS
    )


def _branches(story: Story, item: Item, quantity: Quantity) -> set[int]:
    """Where a sentence names what is measured by one word alone, that no figure stands behind yet: in millimetres, or a
    decimal behind "is"; pus and fluid in centimetres too.
    """
    tokens = story.sentence.tokens
    if item.after in {"away", "off", "from", "in"} or story.sentence.texts & _PUSHED or item.before == "at":
        return set()  # "cyst at two centimetres", "ascites, five centimetres in"
    verbs = item.before in _COPULAS and quantity.unit is None and quantity.form in {"decimal", "fraction"}
    if not (verbs or quantity.unit in {"mm", "cm"}):
        return set()
    names = _COLLECTIONS if quantity.unit == "cm" else BRANCHES | _COLLECTIONS
    since = max((other.span[1] for other in story.mentions("quantity") if other.span[1] <= item.span[0]), default=0)
    named = {at for at, token in enumerate(tokens) if at >= since and token in names}
    return {at for at in named if at > item.span[0] or not _goes_there(tokens, named, at)}


def is_depth(sentence: Sentence, item: Item) -> bool:
    """ "The effusion's fifty-five millimetres", "sixty millimetres deep": a length, not a width."""
    return bool(sentence.texts & _DEEP) or item.after == "deep"


def at_both_ends(story: Story, item: Item, quantity: Quantity) -> bool:
    """ "I've got six at the top and five at the bottom": each figure of a sentence that names nothing else stands
    beside where in a vessel it is.
    """
    figures = story.mentions("quantity")
    others = story.mentions("device", "drug", "finding", "pair") or story.says("inflate", "run", "pressure", "gradient")
    if len(figures) < 2 or others or quantity.unit is not None or item.status is not None:
        return False
    tokens = story.sentence.tokens
    bare = all(other.figures["value"].unit is None for other in figures)
    sized = all(0.5 <= other.figures["value"].value <= _WIDEST_MM for other in figures)
    placed = all(_ENDS_OF & {*tokens[other.span[1] : other.span[1] + 4]} for other in figures)
    return bare and sized and placed


def _vessels(sentence: Sentence) -> set[int]:
    """The places in a sentence where a vessel is named."""
    named = {at for item in sentence.items if item.kind == "place" for at in range(*item.span)}
    return named | {at for at, token in enumerate(sentence.tokens) if token in VESSELS}


def _before(tokens: Sequence[str], vessels: set[int], item: Item, quantity: Quantity, taking: bool) -> set[str] | None:
    """The words between a vessel and the figure behind it, where they tell; None where they do not. A size with its
    unit may stand right behind a comma ("a big vein, sixteen millimetres"), a decimal behind words nobody knows.
    """
    fine = quantity.form in {"decimal", "fraction"}
    lenient = fine or taking or bool(quantity.unit)
    said: set[str] = set()
    for at in range(item.span[0] - 1, -1, -1):
        if at in vessels:
            sure = fine or bool(quantity.unit)
            told = bool(said & (_TELLS | _MEASURES)) or (sure and bool(said) and said <= {",", ":"})
            told = told or (sure and not said and not _goes_there(tokens, vessels, at))
            headed = at < _HEADING and item.before == ","  # "Splenic artery, let me draw it, six point two millimetres"
            told = told or (fine and bool(quantity.unit) and headed)
            if said <= {","} and not quantity.unit and _goes_there(tokens, vessels, at):
                return None  # "it goes to the popliteal, three point five"
            told = told or (taking and item.before == ",")
            return said | {"of"} if told else None
        if tokens[at] not in _TELLS | _MEASURES | _LIGHT and not (lenient and tokens[at].isalpha()):
            return None
        said.add(tokens[at])
    return None


def _goes_there(tokens: Sequence[str], vessels: set[int], at: int) -> bool:
    """Whether the vessel that ends here is where something goes, or is."""
    while at >= 0 and (at in vessels or tokens[at] in {"the", "a", "left", "right", "my", "this", "that"}):
        at -= 1
    return at >= 0 and tokens[at] in {"to", "into", "from", "through", "over", "down", "up", "for"}


def _behind(tokens: Sequence[str], vessels: set[int], item: Item, sure: bool) -> set[str] | None:
    """The words between a figure and the vessel named behind it: "five millimetres is the brachial"."""
    said: set[str] = set()
    for at in range(item.span[1], len(tokens)):
        if at in vessels:
            near = said <= {"the", "a", ","} and bool(sure)
            return said if near or said & _POINTING else None
        if tokens[at] not in (_BACK | {"at", "in"} if sure else _BACK):
            return None
        said.add(tokens[at])
    return None


def as_spoken(story: Story, item: Item, quantity: Quantity) -> Quantity:
    """ "Six-two at the top": two digits told one by one are a decimal, but of what is as wide as that."""
    wide = story.sentence.texts & {"neck", "aorta", "aneurysm", "sac", "cava"}
    digits = quantity.form == "spelled" and 10 < quantity.value < 100 and quantity.unit is None
    if not digits or wide or len(item.text.split()) != 2:
        return quantity
    return quantity.flagged("two-readings", value=quantity.value / 10, alternatives=(quantity.value,))
