"""Figures beside a dose in thousands of units, as they are meant: nobody says the thousand twice."""

from dataclasses import replace

from extractor.model import Quantity


def in_thousands(figure: Quantity, dose: Quantity) -> Quantity:
    """A figure as it is meant beside a dose in thousands: "six, not five" of five thousand units; "three five is in" of
    three thousand five hundred.
    """
    short = dose.unit == "[iU]" and dose.value >= 1000 and figure.value < 100
    plain = figure.unit is None or "unit-assumed" in figure.flags
    times = 100 if figure.value >= 10 and 100 * figure.value == dose.value else 1000
    return replace(figure, value=times * figure.value) if short and plain else figure
