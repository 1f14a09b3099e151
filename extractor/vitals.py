"""Figures of how the patient is: "his rate's forty-two", "eighty systolic". They are no dose and put none right."""

from collections.abc import Sequence

#: What is measured of a patient, each a word of its own.
VITALS = frozenset(
    """
    sat sats saturation saturations spo2 oxygen pulse bp systolic weight weighs kilos kilo creatinine platelets
    haemoglobin hemoglobin potassium temperature age years
    """.split()
)
_BEFORE, _BEHIND = VITALS | {"pressure", "rate", "egfr", "inr", "ph"}, frozenset({"systolic", "diastolic"})
#: Between what is measured of the patient and its figure.
_MEASURES = frozenset("'s is are was were of at".split())


def is_vital(texts: Sequence[str], span: tuple[int, int]) -> bool:
    """Whether the figure at these tokens of a sentence is measured of the patient, by the words beside it."""
    first, past = span
    before = [*texts[max(0, first - 2) : first]]
    of = before[-2:-1] if {*before[-1:]} & _MEASURES else before[-1:]
    return bool({*of} & _BEFORE or {*texts[past : past + 1]} & _BEHIND)
