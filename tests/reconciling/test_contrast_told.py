"""Contrast that goes in, told by its word and how much, by hand, or by a picture's name before what it shows."""

import pytest

from .telling import tells

SHEATH = "Six French sheath is in.\n"
IN = "insert done sheath | gauge 6 [Ch]"


def _run(values: str = "") -> str:
    return f"run done | {values}" if values else "run done"


RUNS = [
    pytest.param("Contrast, three mils. All open.", [_run("volume 3 mL")], id="contrast and a volume"),
    pytest.param("Dye eight.", [_run("volume 8 mL")], id="a bare volume"),
    pytest.param("A bit of dye down it, six mils.", [_run("volume 6 mL")], id="down it"),
    pytest.param("Seven of contrast, please.", [_run("volume 7 mL")], id="of contrast"),
    pytest.param("Hand, six. Tibials look fine.", [_run("volume 6 mL")], id="hand"),
    pytest.param("Run again, nine.", [_run("volume 9 mL")], id="again"),
    pytest.param("Picture: four a second, twelve.", [_run("rate 4 mL/s, volume 12 mL")], id="rate and volume"),
    pytest.param("Eighteen mils, six per second.", [_run("rate 6 mL/s, volume 18 mL")], id="volume and rate"),
    pytest.param("Venogram by hand: wide open.", [_run()], id="by hand, then what it shows"),
    pytest.param("Picture again. Lovely.", [_run()], id="picture again"),
    pytest.param("Run at eight for sixteen.\nCompletion: nothing leaks.",
                 [_run("rate 8 mL/s, volume 16 mL"), "finding negated extravasation"],
                 id="a heading over the run just told"),
    pytest.param("On the other hand, five people wait.", [], id="the other hand"),
    pytest.param("Contrast used, twenty-two mils.", [], id="a sum"),
    pytest.param("Balloon filled with contrast, eight mils.", [], id="a balloon"),
    pytest.param("Creatinine's up, so contrast under twenty mils.", [], id="a limit"),
    pytest.param("One vial in six mils of contrast.", [], id="what something is mixed in"),
    pytest.param("Twelve French for the left and ten of contrast, please.", ["insert planned sheath | gauge 12 [Ch]"],
                 id="asked for with a device"),
    pytest.param("His breathing's sixteen a minute, two a second is a lot.", [], id="breaths"),
]  # fmt: skip
test_contrast_told = tells(RUNS, before=SHEATH, first=[IN])
