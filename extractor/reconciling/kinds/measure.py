"""Measurements made now: vessel sizes, gradients and pressures in mmHg, the clotting time."""

from dataclasses import replace

from extractor.model import Item, Kind, Quantity, Sentence, Status
from extractor.reconciling.story import Hearing, Story

#: Words that make a length a distance moved or kept, not a size.
_DISTANCE = frozenset(
    """
    below above into overlap overlapping from short beyond back up down higher lower more off past apart
    """.split()
)
_PRESSURES = {"pressures", "aorta", "venous pressure", "toe pressure", "portal pressure", "outflow pressure"}
_WHOSE = {"first", "second", "third", "portal", "mean", "venous", "final", "outflow", "transduced", "wedge", "atrial"}
_LONG_MM = 40.0  # a length rather than a width, in a vessel: common practice, no source


class Measures(Hearing):
    """Hears figures in sentences that measure."""

    def __init__(self) -> None:
        self.act = self.gradient = self.sizing = self.pressure = False
        self.breath = -1
        self.several = False  # "pressures": every bare figure of the breath is one

    def begin(self, story: Story, sentence: Sentence) -> None:
        if sentence.breath != self.breath:
            self.act = self.gradient = self.sizing = self.pressure = self.several = False
            self.breath = sentence.breath

    def hear(self, story: Story, item: Item) -> bool:
        if item.kind == "action":
            if "act" in item.meanings:
                self.act = True
                return True
            if "gradient" in item.meanings:
                self.gradient = True
                return True
            if "measure" in item.meanings and item.status is not Status.NEGATED:
                self.sizing = True
                return False
            if "pressure" in item.meanings:
                self.several = self.several or item.text == "pressures"
                measured = item.text == "pressure" and bool(story.sentence.texts & _WHOSE)
                self.pressure = self.pressure or measured or item.text in _PRESSURES
            return False
        if item.kind == "quantity":
            return self._figure(story, item)
        return False

    def _figure(self, story: Story, item: Item) -> bool:
        quantity = item.figures["value"]
        status = item.status if item.status in {Status.PAST, Status.QUOTED, Status.CONSIDERED} else Status.DONE
        if self.act and quantity.unit in {None, "s"} and 60 <= quantity.value <= 999:
            self.act = False
            return self._add(story, item, status, "act", replace(quantity, unit="s"), "measure/act")
        if quantity.unit == "mm[Hg]" or (
            quantity.unit in {None, "mm"} and self.gradient and quantity.form not in {"leading-zero", "year"}
        ):
            if self.gradient:
                self.gradient = False
                return self._add(story, item, status, "gradient", replace(quantity, unit="mm[Hg]"), "measure/gradient")
            return self._add(story, item, status, "pressure", replace(quantity, unit="mm[Hg]"), "measure/pressure")
        if quantity.unit is None and self._difference(story, quantity):
            self.gradient = False
            return self._add(story, item, status, "gradient", replace(quantity, unit="mm[Hg]"), "measure/difference")
        if self.pressure and quantity.unit is None and 3 <= quantity.value <= 300 and self._pressure_before(story):
            return self._add(story, item, status, "pressure", replace(quantity, unit="mm[Hg]"), "measure/pressure")
        plain = (
            quantity.unit == "mm"
            and self._decimal(quantity)
            and item.after not in _DISTANCE
            and not story.sentence.texts & {"overlap", "overlapping", "into"}
            and not story.mentions("device", "finding")
        )
        if plain:
            return self._add(story, item, status, "diameter", quantity, "measure/size")
        told = (
            quantity.unit is None
            and quantity.form in {"cardinal", "counting", "spelled"}
            and 1 <= quantity.value <= 200
            and self._measured_before(story)
        )
        if quantity.unit == "cm" and any(other.name == "occlusion" for other in story.mentions("finding")):
            return False  # "the occlusion measures eleven centimetres": how long it is
        if not told and (not self.sizing or (story.mentions("device") and not self._decimal(quantity))):
            return False
        if told or quantity.unit in {"mm", "cm"} or (quantity.unit is None and self._decimal(quantity)):
            unit = quantity.unit or "mm"
            millimetres = quantity.value * (10 if unit == "cm" else 1)
            key = "length" if millimetres > _LONG_MM and unit == "mm" else "diameter"
            return self._add(story, item, status, key, replace(quantity, unit=unit), "measure/size")
        return False

    def _difference(self, story: Story, quantity: Quantity) -> bool:
        """ "aorta one forty, distal one twenty-five, so fifteen": the difference of the two pressures just told."""
        told = [
            draft.values["pressure"].value
            for draft in story.drafts[-3:]
            if draft.kind is Kind.MEASURE and "pressure" in draft.values and draft.breath == story.sentence.breath
        ]
        return len(told) >= 2 and abs(abs(told[-1] - told[-2]) - quantity.value) < 1e-6

    def _pressure_before(self, story: Story) -> bool:
        before = next((other for other in story.behind() if other.kind not in {"mark", "phrase"}), None)
        if (
            self.several
            and not story.dictated
            and not story.sentence.question
            and not story.mentions("drug", "finding")
        ):
            return True
        return before is not None and (
            before.kind in {"place", "part"} or (before.kind == "action" and "pressure" in before.meanings)
        )

    def _measured_before(self, story: Story) -> bool:
        """ "measures seven", "measuring eight there, and on the heart side thirteen": the word stands before the
        figure in its clause.
        """
        for other in story.behind():
            if other.kind == "device":
                return False
            if other.kind == "action" and "measure" in other.meanings and other.text != "it is":
                return True
            if other.kind == "mark" and other.text in {",", "...", "-", "so", "then"}:
                return False
        return False

    @staticmethod
    def _decimal(quantity: Quantity) -> bool:
        return quantity.form in {"decimal", "fraction"} and 0.5 <= quantity.value <= 60

    def _add(self, story: Story, item: Item, status: Status, key: str, quantity: Quantity, rule: str) -> bool:
        story.add(Kind.MEASURE, status, item, rule, values={key: quantity})
        story.topic = "measure"
        return True
