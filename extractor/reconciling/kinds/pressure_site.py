"""A bare figure told as the pressure at a place: "the portal is at twenty-four and the atrium at nine", "pressure
there, one fifty-two", "wedge nineteen, free seven".

A place alone makes no pressure of a figure, it may be how wide it is. The sentence has to name what nobody measures the
width of (a chamber of the heart, a wedged catheter), or a pressure and where; the rest of its figures follow.
"""

from extractor.model import Item, Kind, Quantity
from extractor.reconciling.story import Draft, Story

#: Nothing but their pressure is told in whole numbers: common practice, no source.
_CHAMBERS = frozenset("atrium atrial ventricle ventricular wedge wedged".split())
#: Where a pressure is taken, where no lexicon has it as a place.
_WHERE = frozenset(
    """
    there here above below beyond proximal proximally distal distally free portal sac graft side femoral lesion arm leg
    """.split()
)
#: Between a place and its pressure.
_BETWEEN = frozenset(
    """
    is 's was are at reads read says shows has gives , : ... of in the a an about now me it mean pressure pressures
    """.split()
)
#: After a figure it counts or is compared.
_PRESSURE_ENDS = frozenset(
    {"", "systolic", ",", ".", ";", "...", "and", "so", "?", "now", "here", "there", "in", "at", "doctor", "sir"}
)
#: With one of these a pressure is a vital sign, or a balloon's.
_OTHERWISE = frozenset("blood arterial cuff diastolic pulse saturation balloon atmospheres bar inflate".split())
#: Words for what is watched or weighed of a whole patient, never measured in a vessel.
VITALS = frozenset(
    """
    heart pulse rate rates beats sats sat saturation saturations spo2 oxygen systolic diastolic bp map blood cuff
    temperature temp temperatures degrees weight weighs weigh kilos sugar glucose lactate potassium creatinine
    haemoglobin hemoglobin respiratory resps respirations
    """.split()
)
#: With one of these a pressure is the whole patient's.
_OF_PATIENT = frozenset("blood arterial cuff systolic diastolic bp map pulse his her patient patient's".split())
#: Said of a pressure that is watched: nobody takes it anywhere.
_WATCHED = frozenset(
    "dropped dropping fell falls falling fallen sank sagging crashed tanked climbed climbing rose rising crept".split()
)
#: With one of these a pressure, or what is lost of it, has a place.
_SITED = _CHAMBERS | frozenset(
    """
    across between over gradient step lesion stenosis narrowing artery vein vessel graft sac portal venous aorta wire
    here there distal distally proximal proximally above below beyond
    """.split()
)
#: A sentence of so many words that follows a pressure tells the next: set by hand.
_SHORT = 8
#: Balloons go no higher, atm: common practice, no source.
_MOST_ATM = 30


def told_at_site(story: Story, item: Item, quantity: Quantity, going_on: bool) -> bool:
    """Whether this bare figure is the pressure at a place named in its sentence, in mmHg; ``going_on``: one was told
    right before.
    """
    sentence = story.sentence
    if quantity.unit is not None or quantity.value % 1 or not 1 <= quantity.value <= 300 or item.before == "over":
        return False
    if item.after not in _PRESSURE_ENDS or sentence.texts & _OTHERWISE or story.mentions("device", "drug"):
        return False
    if any(other.where not in {"below", "above", "beyond", "past", "behind"} for other in story.mentions("finding")):
        return False
    chamber = bool(sentence.texts & _CHAMBERS)
    where = bool(sentence.texts & (_WHERE - {"side"})) or bool(story.mentions("place", "part"))
    mean = item.before == "mean" and where
    pressure = "pressure" in sentence.texts and where and (quantity.value > _MOST_ATM or story.topic == "measure")
    going_on = going_on and len(sentence.texts) <= _SHORT
    return (chamber or pressure or mean or going_on) and _at_place(story, item)


def has_site(story: Story) -> bool:
    """Whether a sentence says where a pressure is, or between what it is lost."""
    return bool(story.sentence.texts & _SITED) or bool(story.mentions("place", "part", "finding"))


def of_patient(story: Story) -> bool:
    """ "Systolic drops to eighty millimetres mercury", "her pressure's ninety": of no place, a vital
    sign; so is "pressure dropped to seventy" where none was measured before.
    """
    texts = story.sentence.texts
    watched = "pressure" in texts and texts & _WATCHED and not any(map(_measured, story.lately()))
    return bool(watched or texts & _OF_PATIENT) and not has_site(story)


def _measured(draft: Draft) -> bool:
    return draft.kind is Kind.MEASURE and not draft.values.keys().isdisjoint({"pressure", "gradient"})


def _at_place(story: Story, item: Item) -> bool:
    """Whether a place stands before the figure with nothing else between, or right behind it."""
    tokens = story.sentence.tokens
    places = {at for other in story.mentions("place", "part", "side") for at in range(*other.span)}
    places |= {at for at, token in enumerate(tokens) if token in _CHAMBERS | _WHERE}
    passed = {at for other in story.mentions("finding") for at in range(*other.span)}
    for at in range(item.span[0] - 1, -1, -1):
        if at in places:
            return True
        if tokens[at] not in _BETWEEN and at not in passed:
            break
    behind = [at for at in places if at >= item.span[1]]
    return bool(behind) and {*tokens[item.span[1] : min(behind)]} <= {"in", "the", "at"}
