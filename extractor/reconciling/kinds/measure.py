"""Measurements made now: vessel sizes, gradients and pressures in mmHg, the clotting time."""

from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.kinds.drug_words import skin_cut
from extractor.reconciling.kinds.finding import LESIONS
from extractor.reconciling.kinds.measure_words import (
    COPULAS,
    LEAST_AORTIC,
    LONG_CM,
    LONGEST_MM,
    OF,
    OF_VESSEL,
    PASSING_ACTIONS,
    PLACE_KINDS,
    ROUND,
    SAYS,
    WIDTHS,
    called_of,
    counts_other,
    difference,
    goes_in,
    has_point,
    may_be_side,
    measures_after,
    measures_before,
    of_a_balloon,
    of_gradient,
    of_neck,
    of_sides_alone,
    of_vitals,
    only_width,
    says_so_next,
    side_before,
    sided,
    sounds_alike,
    subtracted,
    told_by_verb,
    wide_aorta,
)
from extractor.reconciling.kinds.open_measure import OpenMeasure
from extractor.reconciling.kinds.points_dropped import points_dropped
from extractor.reconciling.kinds.pressure_site import VITALS, has_site, of_patient, told_at_site
from extractor.reconciling.kinds.vessel_size import (
    as_spoken,
    at_both_ends,
    can_be_sized,
    is_depth,
    part_sizes,
    set_aside_instruments,
    takes_sizes,
    told_of_one_of_them,
    told_of_vessel,
)
from extractor.reconciling.story import Draft, Hearing, Story

#: Between how wide and how long one thing is.
_JOINING = frozenset(
    """
    and by in , across wide width diameter length long only just a an of the with about around maybe is millimetres
    """.split()
)
#: Words that make a length a distance moved or kept, not a size.
_DISTANCE = frozenset(
    """
    below above into overlap overlapping from short beyond back up down higher lower more off past apart
    further farther deeper
    """.split()
)
_PRESSURES = {"pressures", "aorta", "venous pressure", "toe pressure", "portal pressure", "outflow pressure"}
_WHOSE = {
    "first", "second", "third", "portal", "mean", "venous", "outflow", "transduced", "wedge", "wedged", "atrial",
    "atrium", "graft", "zero", "sheath", "catheter",
}  # fmt: skip
#: With one of these a pressure is a vital sign.
_VITAL = {"blood", "arterial", "cuff", "systolic", "diastolic", "over"}
#: Before a figure with one of these somebody says what is wanted or allowed, not what was measured.
_BOUNDS = {"under", "over", "above", "below", "than", "with"}
#: Before a figure: the thing named before it has it.
_TELLING = {"is", "'s", "was", "are", "were", "of"}
#: With one of these sizes are taken; those alone in a few words head what follows.
_SIZES = {"measurements", "sizes", "diameters", "sizing", "measuring"}
_LOOKS = _SIZES | {"ultrasound", "ivus"}
#: These are read as words for a pressure too.
_PARTS = {"aorta", "distal", "distally"}
_LOOKS_FROM_INSIDE = "ultrasound catheter"
#: With one of these a pressure told in mmHg is what is lost between two places.
_FALLS = {"step", "jump", "jumps", "drop", "drops", "lose", "loses", "losing", "loss", "difference"}
#: "What do you make the popliteal?", "what does the vein measure?"
_MAKES = {"make", "measure", "measuring", "size"}
#: A short question that begins so asks for what was measured last once more: "After the balloon?"
_ANEW = {"after", "afterwards", "now", "then", "post"}
_AT_LAST = {"completion", "afterwards", "end", "finally"}
_SMALL = _ANEW | {"the", "a", "that", "this", "it", "and", "what"}
#: After a figure: it is the size of what is looked at here.
_HERE = {"there", "here", "distally", "proximally", "across", "wide"}
#: One of these may be told of next.
_SEVERAL = {"arteries", "veins", "vessels", "branches", "feeders", "ducts", "uterines", "lumens"}
#: "How big is that?"
_WIDE = {"wide", "big", "large", "broad", "diameter"}
_LONG_MM = 40.0  # a length rather than a width, in a vessel: common practice, no source
#: Of a lesion a size this large is how long it is, not how wide: common practice, no source.
_LEAST_LESION_MM = 10.0
#: With these a catheter in a vessel is made ready to measure pressures.
_TRANSDUCING = {"transducer", "transduce", "transduced", "transducing", "pullback"}


@dataclass(slots=True)
class _Found:
    """What a figure measures."""

    key: str
    unit: str
    rule: str


#: What a distance is measured from or to, where no lexicon has it as a place.
_LANDMARKS = frozenset(
    """
    renal renals internal external internals bifurcation gate neck ostium carina hilum papilla anastomosis confluence
    orifice branch lesion arch apex
    """.split()
)
#: So many words may stand before the "to" of a distance; a sentence with more asks for more. Set by hand, no source.
_PLACE_WORDS, _SHORT = 4, 10
#: So many different words that call for a measurement name only where. Set by hand, no source.
_FEW_WORDS = 7
#: A question of no more different words, its mark among them, asks for the same once more. Set by hand, no source.
_SHORT_ASKED = 5
#: So many sentences after an ultrasound catheter was spoken of, bare decimals are sizes: set by hand.
_LOOKING = 4
#: So many sentences behind "pull back" each side may be told.
_SIDES = 3
#: So many figures, and pressures among so many events, before a gradient may be the two it is the difference of: set
#: by hand.
_SUBTRACTED, _RECENT = 5, 10
#: A sentence about a size has none of these.
_NO_SIZES = VITALS - {"heart", "rate", "rates", "blood", "degrees", "map"}
#: Nor a pressure told by a bare figure.
_NO_PRESSURES = VITALS - {"heart", "blood", "systolic", "diastolic", "map"}
#: Who has a weight and an age, where a question for a size is not answered.
_PERSONS = {"he", "she"}
#: So many sentences behind a vessel or a lesion "it" may stand for it: set by hand.
_STANDS_FOR = 4
#: So many sentences that name nothing may stand between a question for the clotting time and its answer: set by hand.
_WAITING = 3
#: How far two readings of one thing told after a pause are apart at most: set by hand.
_STEADY = 0.15


class Measures(Hearing):
    """Hears figures in sentences that measure."""

    def __init__(self) -> None:
        self.act = self.gradient = self.sizing = self.pressure = self.aortic = False
        self.breath = -1
        self.bare = False  # whether the figure told last had no unit
        self.several = -9  # the breath of "pressures": every bare figure of it and the next is one
        self.taken = -9  # the breath in which a catheter is made ready for pressures, or pulled back
        self.asked = -9  # number of the sentence that asked for the clotting time
        self.waits = 1  # so many sentences its answer may stand behind: what names nothing lets it wait
        self.told: list[Draft] = []  # of this breath
        self.here: list[Draft] = []  # of this sentence
        self.sides: dict[Draft, str] = {}  # the side each gradient was told of
        self.long_asked = self.long_now = -9  # number of the sentence that asked how long something is
        self.wide_asked = -9  # number of the last sentence that asked how wide a vessel is
        self.size_asked = (-9, "")  # number of the last sentence that asked for a size or called for it, and of which
        self.anew = (-9, "")  # number of the last sentence that asked for what was measured last, and what that was
        self.open = OpenMeasure()
        self.vessel = -9  # number of the last sentence that named a vessel and nothing else
        self.named = -9  # number of the last sentence that named a vessel or a lesion, and no device since
        self.wanted = -9  # number of the last sentence that only called for a gradient
        self.pulled = -9  # number of the last sentence that told of nothing but pulling back, over a lesion
        self.label = -9  # number of the last sentence that named a pressure and told none
        self.loose: list[Item] = []  # the figures of this breath

    def begin(self, story: Story, sentence: Sentence) -> None:
        self.here = []
        self.long_asked = self.long_now
        long = {"how", "long"} <= sentence.texts and can_be_sized(sentence, True)
        self.long_now = story.number if long else -9
        self.act = self.act and story.number - self.asked <= self.waits
        if sentence.breath != self.breath:
            self.gradient = self.sizing = self.pressure = self.aortic = False
            self.told, self.sides, self.loose = [], {}, []
            self.breath = sentence.breath
        self.sizing = self.sizing or bool(sentence.texts & _SIZES and len(sentence.texts) <= _SHORT_ASKED)
        self.sizing = (
            self.sizing
            or takes_sizes(sentence)
            or sentence.first in _SIZES
            or _looks_now(sentence)
            or says_so_next(story, sentence)
        )
        part_sizes(sentence)
        points_dropped(sentence, self.sizing)
        set_aside_instruments(sentence, self.sizing, self.open.expects(story.number))
        if sentence.tokens[:2] == ("pull", "back") and of_sides_alone(sentence):
            self.pulled = story.number
        pulled = "back" in sentence.texts and bool(sentence.texts & {"pull", "pulling"})
        if sentence.texts & _TRANSDUCING or (pulled and not any(item.role == "inflation" for item in sentence.items)):
            self.taken = sentence.breath

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "action":
            return self._word(story, item)
        return item.kind == "quantity" and self._figure(story, item)

    def end(self, story: Story, sentence: Sentence) -> None:
        self.loose += [item for item in sentence.items if item.kind == "quantity"]
        meant = self._named(story)
        asks = can_be_sized(sentence, meant)
        self.open.end(story, sentence, meant)
        if sentence.texts & (OF_VESSEL | _SEVERAL) or story.mentions("place", "part", "finding"):
            self.named = story.number
        elif story.mentions("device", "pair"):
            self.named = -9
        if sentence.texts & OF_VESSEL and not story.mentions("quantity", "device", "drug", "pair"):
            self.vessel = story.number  # "The neck's short. Eleven long."
        for draft in self.here:
            if draft.rule == "measure/gradient" and draft.status is Status.DONE:
                self._subtrahends(story, draft.values["gradient"])
        named = any("pressure" in item.meanings for item in sentence.items)
        if (
            sentence.texts & {"gradient", "gradients"}
            and len(sentence.texts) <= _FEW_WORDS
            and not story.mentions("quantity", "device")
        ):
            self.wanted = story.number
        asked = sentence.question or story.says("measure") or Status.PLANNED in sentence.cues
        if (
            named
            and not story.mentions("quantity")
            and (self.pressure or self.aortic or (asked and _wants_pressure(story)))
        ):
            self.label = story.number
        if self.act and self.asked + self.waits == story.number and not story.mentions("device", "drug", "quantity"):
            self.waits = min(self.waits + 1, _WAITING)  # "ACT? … It's running. … One ninety-nine."
        number, before = self.size_asked
        if (key := _calls_for(story) if asks else "") or (
            story.number - number == 2 and (key := before) and _asks_elsewhere(sentence)
        ):
            self.size_asked = (story.number, key)
        if self.sizing and not key and not story.mentions("quantity") and _spans(story):
            self.size_asked = (story.number, "length")  # "From here to here. Thirty-one."
        last = story.drafts[-1] if story.drafts and story.drafts[-1].kind is Kind.MEASURE else None
        if last is not None and not key and last.number == story.number - 1 and _asks_elsewhere(sentence):
            sized = next((key for key in ("diameter", "length") if key in last.values), "")
            self.size_asked = (story.number, sized) if sized else self.size_asked
        key = next((key for key in ("gradient", "diameter") if last is not None and key in last.values), "")
        if key and sentence.texts & _ANEW and _asks_anew(sentence):
            self.anew = (story.number, key)
        how = "how" in sentence.texts and bool(sentence.texts & _WIDE)
        if sentence.question and how and asks and not story.mentions("device", "drug", "quantity"):
            self.wide_asked = story.number

    def _named(self, story: Story) -> bool:
        """Whether a vessel, a lesion or a size of one was told so lately that "it" may stand for it."""
        if story.number - self.named <= _STANDS_FOR:
            return True
        sized = (draft.number for draft in story.drafts[-1:] if draft.kind in {Kind.MEASURE, Kind.FINDING})
        return story.number - max(sized, default=-9) <= _STANDS_FOR

    def _subtrahends(self, story: Story, gradient: Quantity) -> None:
        """ "thirty-one. And the far side's twenty-four, so the gradient's seven": two figures told right before a
        gradient that is their difference are the pressures on its two sides.
        """
        recent = [each for each in story.drafts[-_RECENT:] if each.kind is Kind.MEASURE and each.status is Status.DONE]
        told = [draft for draft in recent if "pressure" in draft.values]
        free = [item for item in self.loose if may_be_side(item, gradient)][-_SUBTRACTED:]
        values = [draft.values["pressure"].value for draft in told] + [item.figures["value"].value for item in free]
        pairs = combinations(reversed(values), 2)
        sides = next((set(pair) for pair in pairs if min(pair) > 0 and abs(pair[0] - pair[1]) == gradient.value), set())
        free = [item for item in free if item.figures["value"].value in sides]
        here = all(item.words[0] >= story.sentence.words[0] for item in free)
        if here and not told and not story.says("pressure"):
            return  # "twenty over eight, so a gradient of twelve": one sum
        earlier = (draft.words for draft in recent if "gradient" in draft.values and draft not in self.here)
        settled = max(earlier, default=(0, 0))
        self._only_passed(story, [draft for draft in told if draft.words > settled], sides)
        for item in free:
            figure = item.figures["value"]
            if all(draft.values["pressure"].value != figure.value for draft in told):
                item.used = True
                value = {"pressure": figure.in_unit("mm[Hg]")}
                told.append(story.add(Kind.MEASURE, Status.DONE, item, "measure/side-of-gradient", values=value))
                self.told.append(told[-1])

    @staticmethod
    def _only_passed(story: Story, told: list[Draft], sides: set[float]) -> None:
        """ "fifty-two… fifty-one, past it twenty… twenty-three, gradient twenty-eight": what the needle passed right
        before it stood, as the gradient tells, was no pressure of its own.
        """
        for passed, kept in pairwise(told):
            value, final = passed.values["pressure"], kept.values["pressure"]
            if final.value in sides and value.value not in sides and kept.number - passed.number <= 1:
                kept.values["pressure"] = final.flagged("corrected", alternatives=(*final.alternatives, value.value))
                story.forget(passed)

    def _word(self, story: Story, item: Item) -> bool:
        if "act" in item.meanings:
            texts = story.sentence.texts
            self.act = not ({"how", "long"} <= texts or texts & {"when", "when's"})  # they ask for how long it runs
            self.asked, self.waits = story.number, 1
            return True
        if "gradient" in item.meanings:
            if item.text == "pullback" and _looks_from_inside(story):
                self.sizing = True
            else:
                self.gradient = True
            return True
        if "measure" in item.meanings and item.status is not Status.NEGATED and not of_a_balloon(story, item):
            self.sizing = True
        if "pressure" in item.meanings:
            if item.text == "pressures":
                self.several = story.sentence.breath
            self.aortic = self.aortic or item.text == "aorta"
            self.pressure = self.pressure or item.text in _PRESSURES - {"aorta"} or self._transduced(story, item)
        return False

    def _transduced(self, story: Story, item: Item) -> bool:
        """Whether a pressure is one in a vessel: told of a place, or where one was measured before and none is held."""
        if item.text != "pressure" or story.sentence.texts & _VITAL:
            return False
        before = any(draft.kind is Kind.MEASURE and "pressure" in draft.values for draft in story.lately())
        after = next((other for other in story.ahead() if other.kind != "mark" and other.text != "in"), None)
        placed = after is not None and after.kind == "place" and item.after == "in"
        return placed or bool(story.sentence.texts & _WHOSE) or (before and story.topic not in {"inflation", "stent"})

    # --- what a figure is --------------------------------------------------------------------------

    def _figure(self, story: Story, item: Item) -> bool:
        quantity = item.figures["value"]
        considered = item.status is Status.CONSIDERED and item.before in _BOUNDS  # "if it's under five we stop"
        if (
            item.status is Status.NEGATED
            or considered
            or item.after in {"mark", "marks", "marker"}
            or (quantity.value == 0 and item.after in {"it", "that", "again", "the"})
        ):
            return False  # "not forty", "zero it"
        if (fixed := self._puts_right(story, item)) is not None:
            draft, key = fixed
            draft.values[key] = quantity.flagged("corrected", unit=quantity.unit or draft.values[key].unit)
            draft.reach(item.words)
            return True
        found = (
            self._clotting(story, item, quantity)
            or self._anew(story, item, quantity)
            or self._bound(story, item, quantity)
            or self._of_pressure(story, item, quantity)
            or self._answer(story, item, quantity)
            or self._size(story, item, quantity)
            or self._waited_for(story, item, quantity)
        )
        if found is None:
            return self._told_anew(story, item, quantity)
        quantity = item.figures["value"]
        self.bare = quantity.unit is None
        if quantity.unit == "mL":
            quantity = quantity.flagged("unit-guessed", unit=found.unit)
        elif found.key in {"gradient", "pressure", "act"} or quantity.unit is None:
            quantity = replace(quantity, unit=found.unit)
        self._tell(story, item, found, quantity)
        return True

    def _waited_for(self, story: Story, item: Item, quantity: Quantity) -> _Found | None:
        key = self.open.tells(story, item, quantity)
        if key == "diameter" and self.breath == self.taken and not quantity.value % 1:
            return None  # it may be a pressure
        return _Found(key, "mm[Hg]" if key in {"gradient", "pressure"} else "mm", "measure/waited-for") if key else None

    def _puts_right(self, story: Story, item: Item) -> tuple[Draft, str] | None:
        """The measure told in this sentence that a figure takes the place of: after a word that puts right, or at once
        and more exactly ("six or so, six point three").
        """
        if not self.here or item.figures["value"].unit not in {None, "mm", "cm", "mm[Hg]", "s"}:
            return None
        draft = self.here[-1]
        key, old = next(reversed(draft.values.items()))
        new = item.figures["value"]
        if new.unit not in {None, old.unit}:
            return None
        fixing, close = False, True
        for other in story.behind():
            if other.words == old.words or (other.kind == "quantity" and other.words[0] <= old.words[0]):
                break
            fixing = fixing or other.corrects
            close = close and other.kind == "mark" and other.text in {",", "...", "-", "and"}
            if other.kind in {"quantity", "device", "drug", "finding", "pair"}:
                return None
        exact = close and old.value % 1 == 0 and 0 < new.value - old.value < 1
        exact = exact or (close and self.bare and new.unit is not None and item.before == "...")
        fixing = fixing or (close and "corrected" in new.flags and sounds_alike(old.value, new.value))
        exact = exact or (close and item.before == "..." and abs(new.value - old.value) <= _STEADY * old.value)
        trailing = close and key == "act" and new.unit is None and 60 <= new.value <= 999
        if exact or trailing or (fixing and 0.2 * old.value <= new.value <= 5 * old.value):
            return draft, key
        return None

    def _told_anew(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "… eleven. Flush it. … Two." A figure alone after a pressure or gradient is a later reading of it; one told
        in this case before is only spoken of again.
        """
        key = next(iter(reversed(self.told[-1].values)), "") if self.told else ""
        sized = key in {"diameter", "length"}
        if not key or key == "act" or quantity.unit is not None or story.says("inflate"):
            return False
        last = self.told[-1]
        near = last.values[key].value / 2 <= quantity.value <= 2 * last.values[key].value
        if sized and (story.topic != "measure" or not near):
            return False
        alone = item.before in {"", "...", "-", ","} and all(
            other is item or other.kind in {"mark", "phrase"} for other in story.sentence.items
        )
        if alone and last not in self.here and not story.sentence.question and quantity.value <= 300:
            if last.values[key].value != quantity.value:
                last.values[key] = quantity.flagged("corrected", "conflict", unit=last.values[key].unit)
            last.reach(item.words)
            return True
        return not sized and quantity.value in _known(story, key)

    def _anew(self, story: Story, item: Item, quantity: Quantity) -> _Found | None:
        """ "Gradient? Eighteen. After the balloon? Two.": what was measured last is asked for once more."""
        alone = all(other is item or other.kind in {"mark", "pronoun", "phrase"} for other in story.sentence.items)
        if self._renewed(story, item, quantity):
            return _Found("gradient", "mm[Hg]", "measure/renewed")
        whole = not quantity.value % 1
        if self.wanted == story.number - 1 and alone and whole and quantity.unit in {None, "mm[Hg]", "mm"}:
            return _Found("gradient", "mm[Hg]", "measure/asked")
        if self.anew[0] != story.number - 1 or not alone or quantity.unit not in {None, "mm[Hg]", "mm"}:
            return None
        key = self.anew[1]
        return _Found(key, "mm[Hg]" if key == "gradient" else "mm", "measure/asked-anew")

    def _renewed(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Now after the balloon it reads at three", "post stent, three": less than the gradient told last, where
        nothing is told but after what.
        """
        last = next((draft for draft in reversed(story.drafts[-_RECENT:]) if draft.kind is Kind.MEASURE), None)
        if last is None or "gradient" not in last.values or quantity.unit not in {None, "mm[Hg]"} or self.here:
            return False
        tokens = story.sentence.tokens
        headed = bool({*tokens[:2]} & {"after", "afterwards", "post"}) and len(story.mentions("quantity")) == 1
        free = (
            other.where in {"after", "post"} or other.before in {"after", "post"} for other in story.mentions("device")
        )
        named = story.mentions("place", "part", "drug", "finding", "pair") or not all(free)
        less = quantity.value < last.values["gradient"].value and item.after in {"", ".", ",", "now", "only"}
        return headed and less and not named and not story.says("inflate", "run")

    def _clotting(self, story: Story, item: Item, quantity: Quantity) -> _Found | None:
        if quantity.unit not in {None, "s"} or not 60 <= quantity.value <= 999:
            return None
        after = next((other for other in story.ahead() if other.kind not in {"pronoun", "mark"}), None)
        named_after = any("act" in other.meanings for other in story.ahead()) and len(story.mentions("quantity")) == 1
        named_after = named_after or (after is not None and "act" in after.meanings)
        if not (self.act or named_after) or item.before == "in" or of_vitals(story, item):
            return None  # "ACT back in ninety seconds"
        if item.after in {"a kilo", "kilo", "units", "per", "kilos"}:
            return None  # "a hundred a kilo, and you check an ACT"
        self.act = False
        return _Found("act", "s", "measure/act")

    def _bound(self, story: Story, item: Item, quantity: Quantity) -> _Found | None:
        """ "the books want it under ten": a rule about what was just measured."""
        if item.status is not Status.QUOTED or quantity.unit not in {None, "mm[Hg]"} or item.before not in _BOUNDS:
            return None
        told = [draft for draft in story.drafts[-2:] if draft.kind is Kind.MEASURE]
        bounded = {"gradient", "pressure", "act"}
        key = next((key for draft in told[::-1] for key in draft.values if key in bounded), "")
        key = key or next((key for key in ("gradient", "pressure") if story.says(key)), "")
        return _Found(key, "s" if key == "act" else "mm[Hg]", f"measure/{key}") if key else None

    def _of_pressure(self, story: Story, item: Item, quantity: Quantity) -> _Found | None:
        """A gradient or a pressure in a vessel."""
        if quantity.unit in {None, "mm", "mm[Hg]"} and of_gradient(story, item):
            return _Found("gradient", "mm[Hg]", "measure/gradient")
        texts = story.sentence.texts
        if (quantity.unit == "mm[Hg]" and of_patient(story)) or (quantity.unit is None and texts & _NO_PRESSURES):
            return None
        bare = quantity.unit is None and quantity.form not in {"leading-zero", "year"} and not counts_other(item)
        ends = {other.span[1] for other in story.mentions("quantity")}
        if bare and item.before == "over" and item.span[0] - 1 in ends:
            return None  # "aorta one thirty over seventy"
        if quantity.unit not in {None, "mm", "mm[Hg]"} or not (bare or quantity.unit):
            return None
        before = story.before("mark", "phrase")
        at = before is not None and before.kind == "action" and "pressure" in before.meanings
        pressures = at or any("pressure" in draft.values for draft in self.here)
        several = story.sentence.breath - self.several <= 1
        taking = max(self.taken, self.several) >= story.sentence.breath - 1
        placed = taking and self._at_place(story, item) and 1 <= quantity.value <= 300
        if bare and (
            placed
            or told_at_site(story, item, quantity, self._after_pressure(story))
            or self._answers_pressure(story, item)
        ):
            return _Found("pressure", "mm[Hg]", "measure/pressure")
        if (
            self.gradient
            and (story.says("gradient") or not pressures)
            and (quantity.unit != "mm" or quantity.value <= 150)
        ):
            if subtracted(story, item):
                return None
            self.gradient = False
            return _Found("gradient", "mm[Hg]", "measure/gradient")
        again = bool(self.told) and "gradient" in self.told[-1].values
        if bare and sided(story) and self.pulled >= story.number - _SIDES and of_sides_alone(story.sentence):
            return _Found("gradient", "mm[Hg]", "measure/pulled-back")
        moved = bare and self._moved(story, item, quantity)
        if again and quantity.unit != "mm" and (sided(story) or quantity.unit or moved):
            return _Found("gradient", "mm[Hg]", "measure/gradient")
        if quantity.unit == "mm[Hg]":
            named = "gradient" in story.sentence.texts and not (story.says("pressure") or self.here)
            falls = bool(story.sentence.texts & _FALLS)
            if falls and "pressure" in story.sentence.texts and not has_site(story):
                return None  # "pressure drops to eighty": the patient's
            falls = named or (falls and item.before not in {"to", "from"})  # "drops to eighty": it is what is left
            return _Found("gradient" if falls else "pressure", "mm[Hg]", f"measure/{'step' if falls else 'pressure'}")
        if (
            not bare
            or item.before in _BOUNDS | {"in"}
            or (story.sentence.texts & (_VITAL if not several else {"over"}))
        ):
            return None
        if difference(story, quantity):
            return _Found("gradient", "mm[Hg]", "measure/difference")
        if self.sizing and not several and story.sentence.texts & _SIZES:
            return None  # "Diameters: aorta twenty-two, …"
        headed = self.sizing and not story.says("measure") and item.before not in _BOUNDS | {"is"}
        sized = self.sizing and (
            (headed and self._looked_at(story, item, quantity))  # "Sizes. Aorta twenty-one."
            or any("diameter" in draft.values for draft in self.here)  # "aorta measures twenty here, …"
        )
        finely = bool(quantity.value % 1) and story.says("measure") and not story.says("pressure")
        if (sized and not several) or finely:  # mmHg are told in whole numbers: common practice, no source
            return None
        aortic = self.aortic and (quantity.value >= LEAST_AORTIC or any("pressure" in d.values for d in self.told))
        pressure = self.pressure or (aortic and not quantity.value % 1)
        if (pressure or several) and 1 <= quantity.value <= 300 and self._pressure_before(story, several):
            return _Found("pressure", "mm[Hg]", "measure/pressure")
        return None

    def _after_pressure(self, story: Story) -> bool:
        """Whether a pressure was told right before, in this breath."""
        last = story.drafts[-1] if story.drafts else None
        told = last is not None and last.kind is Kind.MEASURE and "pressure" in last.values
        return last is not None and told and story.number - last.number <= 2

    def _moved(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Gradient twenty-four, went to four", "twenty-one before, six after", "and on completion it was two": what
        became of the gradient told in this sentence.
        """
        since = {*story.sentence.tokens[item.span[0] - 5 : item.span[0]]}
        at_last = item.before in COPULAS and bool(since & _AT_LAST)
        if not (item.before == "to" or item.after in _ANEW | {"before"} or at_last):
            return False
        free = all(other.where in {"after", "post"} for other in story.mentions("device"))
        known = quantity.value in _known(story, "gradient")
        return free and not known and self.told[-1:] == self.here[-1:] and not story.mentions("drug", "pair")

    def _answers_pressure(self, story: Story, item: Item) -> bool:
        """ "Measure the pressure in the sac. Forty-eight over forty, mean forty-three.": the mean, or one alone."""
        if self.label != story.number - 1 or story.mentions("device", "drug", "finding", "pair") or self.gradient:
            return False
        alone = len(story.mentions("quantity")) == 1 and not story.mentions("place")
        return item.before == "mean" or (alone and item.before != "over" and item.after in {"", ",", ".", "..."})

    def _at_place(self, story: Story, item: Item) -> bool:
        """ "IVC mean is six", "external iliac is eight": said of a vessel while pressures are taken."""
        before = story.before("mark", "phrase")
        told = item.before in {"is", "'s", "was"} and item.after not in _BOUNDS
        placed = before is not None and (before.kind == "place" or before.text == "mean") and told
        others = any(other.kind in {"drug", "finding", "device"} for other in story.clause())
        return placed and not (others or self.sizing or _looks_from_inside(story) or story.sentence.texts & _VITAL)

    def _pressure_before(self, story: Story, several: bool) -> bool:
        before = story.before("mark", "phrase")
        named = before is not None and before.kind in PLACE_KINDS
        if several and not story.dictated and not story.mentions("drug", "finding", "device"):
            return named or not any("gradient" in draft.values for draft in self.told)
        used = any(other.kind == "device" and not other.where for other in story.sentence.items)
        if any("pressure" in draft.values for draft in self.here) and not story.mentions("drug") and not used:
            return True
        if self.label == story.number - 1 and not self.here:
            return before is None
        said = [other for other in story.behind() if other.kind == "action" and "pressure" in other.meanings]
        anywhere = any(other.text.startswith("pressure") for other in said) and not story.mentions("finding")
        return (anywhere and self.pressure) or (
            before is not None and (before.kind in {"place", "part"} or before in said)
        )

    # --- sizes -------------------------------------------------------------------------------------

    def _answer(self, story: Story, item: Item, quantity: Quantity) -> _Found | None:
        """ "Neck diameter? Twenty-four point five.", "Measure, gate to the internal. One hundred and four.": a figure
        alone after what asked for it.
        """
        number, key = self.size_asked
        if story.sentence.texts & (_NO_SIZES | _PERSONS) or self.open.asks_anew(number):
            return None
        light = {"mark", "pronoun", "phrase", "quantity"}
        said = (other for other in story.sentence.items if not other.meanings or other.meanings - PASSING_ACTIONS)
        alone = not self.here and all(other.kind in light for other in said)
        alone = alone or bool(quantity.unit and item.before in COPULAS)  # "I pull it back, so that's six centimetres"
        if number != story.number - 1 or not alone or quantity.unit not in {None, "mm", "cm"} or counts_other(item):
            return None
        size = quantity.value * (10 if quantity.unit == "cm" else 1)
        return _Found(key, quantity.unit or "mm", "measure/asked") if 0.5 <= size <= LONGEST_MM else None

    def _size(self, story: Story, item: Item, quantity: Quantity) -> _Found | None:
        if skin_cut(story.sentence):
            return None
        if (
            quantity.unit == "mL"
            and len(story.mentions("quantity")) == 1
            and not story.says("run", "by hand", "give", "contrast", "opacify")
            and not goes_in(story)
            and told_of_vessel(story, item, quantity, True)
        ):
            return _Found("diameter", "mm", "measure/mil")  # "the feeding artery is two and a half mil"
        if quantity.unit not in {None, "mm", "cm"} or (quantity.unit is None and story.sentence.texts & _NO_SIZES):
            return None
        if quantity.unit is None and "pressure" in story.sentence.texts:
            return None  # "I make the pressure above one thirty"
        if item.status is Status.PLANNED and not told_by_verb(story):
            return None
        if quantity.value * (10 if quantity.unit == "cm" else 1) > LONGEST_MM:
            return None
        if not (
            self._called(story, item, quantity)
            or self._measured(story, item, quantity)
            or self._goes_on(story, item, quantity)
            or self._plain(story, item, quantity)
            or self._looked_at(story, item, quantity)
            or self._of_vessel(story, item, quantity)
            or at_both_ends(story, item, quantity)
            or (self._several_named(story) and told_of_one_of_them(story.sentence, item, quantity))
        ):
            return None
        if item.role != "long" and not _spans(story):
            item.figures["value"] = quantity = as_spoken(story, item, quantity)
        unit = quantity.unit or self._unit_before()
        millimetres = quantity.value * (10 if unit == "cm" else 1)
        lesion = millimetres >= _LEAST_LESION_MM and any(
            other.name in LESIONS and other.status is not Status.NEGATED for other in story.behind()
        )
        long = (
            item.role == "long"
            or of_neck(story, item)
            or is_depth(story.sentence, item)
            or (
                item.role != "wide"
                and (
                    lesion
                    or _spans(story)
                    or self.long_asked == story.number - 1
                    or (millimetres > (_LONG_MM if unit == "mm" else LONG_CM) and not story.sentence.texts & ROUND)
                )
            )
        )
        return _Found("length" if long else "diameter", unit, "measure/size")

    def _several_named(self, story: Story) -> bool:
        """Whether vessels were named here or lately: "the ducts are wide, the right one is nine millimetres"."""
        return story.number - self.named <= _LOOKING or bool(story.sentence.texts & _SEVERAL)

    def _unit_before(self) -> str:
        """The unit nobody said: that of the size told before in this breath, else millimetres."""
        told = [
            value.unit for draft in self.told for key, value in draft.values.items() if key in {"diameter", "length"}
        ]
        return told[-1] if told and told[-1] else "mm"

    def _called(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "diameter eleven point six", "tract length six centimetres", "the reference was three"."""
        if called_of(story, item, quantity) or only_width(story, item, quantity):
            return True
        if not item.role or story.says("inflate") or not 0.5 <= quantity.value <= 400:
            return False
        if any(other.kind in {"device", "drug"} for other in story.clause()) or self._of_device(story):
            return False
        if item.role == "wide" or quantity.unit:
            return not story.mentions("finding") or item.role == "wide" or self.sizing
        told = bool(story.sentence.texts & OF_VESSEL) and item.before in _TELLING | {"has", "have"}
        told = told or (self.vessel == story.number - 1 and len(story.mentions("quantity")) == 1)
        return self.sizing or bool(self.here) or told

    def _of_device(self, story: Story) -> bool:
        """ "the main body, diameter twenty-eight, length one forty": a device named before it in the sentence has it,
        where nobody measures.
        """
        sized = any(other.kind == "device" and not other.where for other in story.behind())
        return sized and not self.sizing and not any(other.kind in {"place", "finding"} for other in story.behind())

    def _measured(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """A verb that measures is said of it, or it answers "how wide is that?"."""
        if self.wide_asked == story.number - 1 and not story.mentions("device", "drug", "finding", "pair"):
            said = bool(quantity.unit) or item.after in {"", ",", ".", "..."} | _HERE
            said = said and not story.sentence.texts & _PERSONS
            return said and len(story.mentions("quantity")) == 1 and 0.5 <= quantity.value <= LONGEST_MM
        if quantity.unit == "cm" and any(other.name == "occlusion" for other in story.mentions("finding")):
            return False  # "the occlusion measures eleven centimetres": how long it is
        units = {other.figures["value"].unit for other in story.mentions("quantity")}
        if quantity.unit is None and units & {"[psi]", "bar", "atm"}:
            return False  # "one hundred psi, I make that seven"
        if any(other.kind == "quantity" and other.figures["value"].unit == "%" for other in story.clause()):
            return False
        plain = (
            quantity.form in {"cardinal", "counting", "spelled"}
            and 1 <= quantity.value <= 200
            and not counts_other(item)
        )
        if quantity.unit is None and plain and measures_before(story):
            return True
        if quantity.unit is None and (plain or has_point(quantity)) and measures_after(story):
            return True
        if quantity.unit and told_by_verb(story) and not any(other.kind == "device" for other in story.clause()):
            return True
        if quantity.unit and (measures_after(story) or self.long_asked == story.number - 1):
            return True
        looked = self.sizing or bool(story.sentence.texts & _LOOKS)
        if not (looked or (has_point(quantity) and _looks_from_inside(story))):
            return False
        if story.mentions("device") and not has_point(quantity):
            return False
        return quantity.unit is not None or has_point(quantity)

    def _goes_on(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "measures nine above and seven below", "twelve across and thirty long": one more after a size."""
        sized = [draft for draft in self.told if draft.values.keys() & {"diameter", "length"}]
        if not sized or story.mentions("drug") or not 0.5 <= quantity.value <= 200:
            return False
        if any(other.kind in {"device", "finding"} for other in story.clause()):
            return False
        if quantity.unit:
            return bool(sized[-1] in self.here) and item.after not in _DISTANCE
        before = story.before("mark")
        named = before is not None and before.kind in PLACE_KINDS
        if sized[-1] in self.here:
            told = item.before in {"is", "'s", "was"} and item.after in {",", ".", "", "and"}
            places = {"on", "in", "at", "up", "down"}
            return has_point(quantity) or bool(item.role) or named or told or item.after in places
        return named and (item.after in {"", ".", ","} | _HERE) and quantity.value <= _LONG_MM

    def _plain(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """A size with no verb: a decimal, or of a vessel named right before it."""
        if _tells_distance(story, item, quantity):
            return True
        if item.after in _DISTANCE or story.sentence.texts & {"overlap", "overlapping", "into"}:
            return False
        if any(other.kind in {"device", "finding", "drug"} for other in story.clause()):
            return False
        before = story.before("mark")
        named = before is not None and before.kind == "place"
        if quantity.unit and (_spans(story) or (has_point(quantity) and not story.mentions("device", "finding"))):
            return True
        if self._next_of(story, item, quantity):
            return True
        of = item.before in _TELLING and (story.sentence.texts & OF or any(o.kind == "place" for o in story.clause()))
        if quantity.unit == "mm":
            of = of or (item.before in {"has", "have"} and story.sentence.texts & OF)
            return bool(of) or (named and not story.mentions("device", "finding"))
        if story.mentions("device", "finding", "drug") or story.topic == "embolise":
            return False
        return (
            has_point(quantity)
            and item.before in _TELLING - {"of"} | {"..."}
            and (named or item.after in _HERE or bool(story.sentence.texts & OF - {"zone", "segment"}))
        )

    def _looked_at(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "Common iliac six.", "proximal nine, distal seven": a vessel and a number, while an ultrasound catheter lies
        in one or sizes are taken.
        """
        before = story.before("mark")
        of = before is not None and (before.kind in PLACE_KINDS or before.text in _PARTS)
        between = story.sentence.tokens[before.span[1] : item.span[0]] if before is not None and of else ()
        devices = any(other.name != _LOOKS_FROM_INSIDE for other in story.mentions("device"))
        others = devices or story.mentions("drug", "pair") or story.says("run", "inflate", "by hand", "gradient")
        plain = quantity.unit is None and quantity.form in {"cardinal", "decimal", "fraction"}
        ends = item.after in {"", ",", ".", "...", "and", "now", ";"} | _HERE
        if not (of and plain and ends and 1 <= quantity.value <= _LONG_MM) or others or self.several == self.breath:
            return False
        pulled = self.breath == self.taken  # it may be a pressure
        taking = _looks_from_inside(story) or (not pulled and (self.sizing or bool(story.sentence.texts & _LOOKS)))
        taking = taking or (not pulled and wide_aorta(story, before, between))
        return taking and {*between} <= SAYS

    def _of_vessel(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """A size told of a vessel; one told before is only spoken of again where no sizes are taken."""
        if item.after in {"more", "further", "farther", "towards", "toward", "back", "deeper", "off", "past"}:
            return False
        if self.breath == self.taken and quantity.unit is None and not quantity.value % 1:
            return False  # it may be a pressure
        sized = any("diameter" in draft.values for draft in self.told) and len(story.mentions("quantity")) == 1
        looks = self.sizing or sized or bool(story.sentence.texts & _LOOKS)
        taking = looks and self.breath not in {self.taken, self.several}
        again = not taking and quantity.value in _known(story, "diameter")
        return not again and told_of_vessel(story, item, quantity, taking)

    def _next_of(self, story: Story, item: Item, quantity: Quantity) -> bool:
        """ "… the outflow was two point four. Inflow was two point nine.": a short sentence that tells the size of
        another thing right after one was told.
        """
        last = story.drafts[-1] if story.drafts else None
        after_one = last is not None and last in self.told and "diameter" in last.values and last not in self.here
        short = len(story.sentence.texts) <= 8 and not story.mentions("device", "drug", "finding", "action")
        return after_one and short and has_point(quantity) and quantity.unit in {None, "mm"} and item.before in COPULAS

    def _tell(self, story: Story, item: Item, found: _Found, quantity: Quantity) -> None:
        status = item.status if item.status in {Status.PAST, Status.QUOTED, Status.CONSIDERED} else Status.DONE
        if story.sentence.question and found.key == "gradient" and quantity.value in _known(story, found.key):
            return  # "even with nine of a gradient?"
        if self._read_back(story, found, quantity):
            return
        same = self._echoed(story, item, found, quantity, status) or self._of_same(story, item, found)
        if same is not None:
            same.values.setdefault(found.key, quantity)
            same.reach(item.words)
            return
        if found.key == "gradient" and (other := self._other_of_side(story, status)) is not None:
            other.values["gradient"] = quantity.flagged("corrected", "conflict")
            other.reach(item.words)
            return
        draft = story.add(Kind.MEASURE, status, item, found.rule, values={found.key: quantity})
        self.told.append(draft)
        if found.key == "gradient":
            self.sides[draft] = side_before(story)
        self.here.append(draft)
        story.topic = "measure"

    def _read_back(self, story: Story, found: _Found, quantity: Quantity) -> bool:
        """ "an occlusion, nine centimetres. Nine centimetres.", "the length is… eighteen. Eighteen millimetres, copy.":
        a sentence that only says a size again.
        """
        last = story.drafts[-1] if story.drafts else None
        if last is None or last in self.here or last.breath != story.sentence.breath:
            return False
        if last.kind not in {Kind.FINDING, Kind.MEASURE} or found.key not in {"length", "diameter"}:
            return False
        alone = len(story.mentions("quantity")) == 1 and not story.mentions("place", "device", "finding", "action")
        told = [value for key, value in last.values.items() if key in {"length", "diameter"}]
        return alone and any((value.value, value.unit) == (quantity.value, quantity.unit) for value in told)

    def _echoed(self, story: Story, item: Item, found: _Found, quantity: Quantity, status: Status) -> Draft | None:
        """The measure told before in this breath that a figure only says again."""
        told = [draft for draft in self.told if draft.status is status and found.key in draft.values]
        if not told or told[-1].values[found.key].value != quantity.value:
            return None
        since = told[-1].values[found.key].words[1]
        said = [other for other in story.behind() if other.words[0] >= since]
        named = any(other.kind in PLACE_KINDS for other in said)
        if told[-1] in self.here and all(other.kind == "mark" for other in said) and quantity.unit:
            return told[-1]  # "six... nine, nine millimetres"
        return None if named or (told[-1] in self.here and found.key in {"diameter", "length"}) else told[-1]

    def _other_of_side(self, story: Story, status: Status) -> Draft | None:
        """The gradient told of this side before, in the same breath: it is told anew."""
        side = side_before(story)
        told = (draft for draft, of in self.sides.items() if side and of == side and draft.status is status)
        return next(told, None)

    def _of_same(self, story: Story, item: Item, found: _Found) -> Draft | None:
        """ "twelve millimetres across and thirty long", "… wide, only sixteen long": two sizes of one thing."""
        last = self.here[-1] if self.here else None
        before = next((other for other in story.behind() if other.kind == "quantity"), None)
        between = {*story.sentence.tokens[before.span[1] : item.span[0]]} if before is not None else {""}
        nearest = next((other for other in story.behind() if other.text not in {"and", "by", "in"}), None)
        beside = nearest is before or (bool(item.role) and between <= _JOINING)
        joined = before is not None and beside and last is not None and before.words[0] >= last.words[0]
        if last is None or not joined or found.key in last.values or not last.values.keys() & {"diameter", "length"}:
            return None
        return last if found.key in {"diameter", "length"} else None


def _looks_from_inside(story: Story) -> bool:
    """Whether an ultrasound catheter is in a vessel: what it is pulled through is measured."""
    last = next((thing for thing in reversed(story.things) if thing.name == _LOOKS_FROM_INSIDE), None)
    return last is not None and last.where == "in" and story.number - last.seen <= _LOOKING


def _asks_anew(sentence: Sentence) -> bool:
    """ "After the balloon?", "and now?": a short question that names nothing but what was done; not "after lunch?"."""
    named = {at for item in sentence.items if item.kind in {"device", "action", "place"} for at in range(*item.span)}
    said = (token for at, token in enumerate(sentence.tokens) if at not in named and token.isalpha())
    return sentence.question and len(sentence.texts) <= _SHORT_ASKED and _SMALL.issuperset(said)


def _known(story: Story, key: str) -> set[float]:
    """Every value of this kind told in the case."""
    return {d.values[key].value for d in story.lately() if d.kind is Kind.MEASURE and key in d.values}


def _spans(story: Story) -> bool:
    """Whether the sentence tells how far it is from one thing to another."""
    texts = story.sentence.texts
    return (
        {"from", "to"} <= texts
        or {"from", "until"} <= texts
        or {"from", "till"} <= texts
        or {"how", "far"} <= texts
        or bool(texts & {"separate", "separates", "separated"})
        or {"between", "measure"} <= texts
        or {"between", "and"} <= texts
        or _between_places(story.sentence)
        or "distance" in texts
    )


def _tells_distance(story: Story, item: Item, quantity: Quantity) -> bool:
    """ "Gate to internal is one hundred five.": the one figure of a sentence about how far two places are apart."""
    alone = len(story.mentions("quantity")) == 1 and not story.mentions("device", "drug", "finding", "pair")
    long = _LEAST_LESION_MM <= quantity.value <= LONGEST_MM and quantity.unit is None
    return (
        alone and long and item.before in COPULAS and item.after in {"", ".", ","} and _between_places(story.sentence)
    )


def _between_places(sentence: Sentence) -> bool:
    """ "edge to edge", "lowest renal to the bifurcation": what a distance is told between."""
    for at, token in enumerate(sentence.tokens):
        if token != "to" or not 0 < at <= _PLACE_WORDS:
            continue
        past = at + 1 + (sentence.tokens[at + 1 : at + 2] == ("the",))
        if sentence.tokens[at - 1] in sentence.tokens[past : past + 1]:
            return True
        places = [item for item in sentence.items if item.kind in {"place", "part"}]
        marks = [*places, *(item for item in sentence.items if item.name == "instrument")]
        before = sentence.tokens[at - 1] in _LANDMARKS or any(item.span[1] == at for item in marks)
        after = _LANDMARKS & {*sentence.tokens[past : past + 2]} or any(0 <= p.span[0] - past <= 1 for p in places)
        if before and after:
            return True
    return False


def _asks_elsewhere(sentence: Sentence) -> bool:
    """ "Distal reference? Three point one. Proximal?", "and to the internal?": the same asked of another place."""
    spans = {item.span for item in sentence.items if item.kind in PLACE_KINDS}
    more = sentence.first == "and" and len(sentence.texts) <= _FEW_WORDS
    more = more and not any(item.kind in {"device", "drug", "finding", "pair"} for item in sentence.items)
    only = bool(spans) and all(i.kind == "mark" or i.span in spans for i in sentence.items)
    return sentence.question and (only or more)


def _calls_for(story: Story) -> str:
    """The size a sentence without a figure asks or calls for: a diameter, or a length; empty where it does neither."""
    sentence = story.sentence
    measuring = any("measure" in item.meanings and item.status is None for item in sentence.items)
    if not (sentence.question or measuring) or story.mentions("device", "drug", "quantity", "pair"):
        return ""
    if Status.PAST in sentence.cues or len(sentence.texts) > _SHORT:
        return ""
    to = sentence.tokens.index("to") if "to" in sentence.tokens else 0
    reached = any(item.kind in {"place", "side", "part"} and item.span[0] > to for item in sentence.items)
    if _between_places(sentence) or (to and measuring and reached) or _asks_room(sentence):
        return "length"
    if measuring and story.mentions("place") and not sentence.question and len(sentence.texts) <= _FEW_WORDS:
        return "diameter"  # "Measure the external iliac."
    if (
        sentence.first == "measure"
        and len(sentence.texts) <= _SHORT_ASKED
        and not story.says("pressure", "gradient", "act")
    ):
        return "diameter"  # "Measure that for me."
    if (
        takes_sizes(sentence)
        and not sentence.question
        and "it" not in sentence.texts
        and len(sentence.texts) <= _FEW_WORDS + 1
    ):
        return "diameter"  # "Take the calliper from wall to wall."
    if sentence.question and (story.mentions("place") or sentence.texts & OF_VESSEL):
        if {"how", "long"} <= sentence.texts:
            return "length"
        if sentence.texts & _MAKES or ("how" in sentence.texts and sentence.texts & _WIDE):
            return "diameter"
    if sentence.texts & WIDTHS or (measuring and sentence.texts & _WIDE):
        return "diameter"
    if sentence.question and _spans(story):
        return "length"
    return "length" if sentence.texts & {"length", "distance"} else ""


def _wants_pressure(story: Story) -> bool:
    """ "Measure the pressure in the sac for me", "what's the pressure in the graft?": one in a vessel."""
    texts = story.sentence.texts
    sited = texts & {"in", "sac", "graft", "portal", "wedge", "wedged"}
    return "pressure" in texts and bool(sited) and not texts & _VITAL and not story.mentions("device", "drug")


def _looks_now(sentence: Sentence) -> bool:
    """ "Ultrasound probe on.": what is told next of vessels is seen on it."""
    return bool(sentence.texts & _LOOKS) and len(sentence.texts) <= _SHORT_ASKED and not sentence.question


def _asks_room(sentence: Sentence) -> bool:
    """ "How much do we have to cover?", "how far to the internal?"."""
    asked = "how" in sentence.texts and bool(sentence.texts & {"much", "far", "many"})
    return (
        sentence.question and asked and bool(sentence.texts & {"cover", "room", "far", "length", "distance", "treat"})
    )
