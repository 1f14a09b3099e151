"""Cases by many invented speakers, told as text: nobody becomes worse unseen. The floors are what was measured, less
a little; they are raised with the rules.
"""

from functools import reduce
from operator import add
from pathlib import Path

import pytest

from tests.golden.scoring import Tally
from tests.speakers.narrated import KEPT_ASIDE, READ, tally_of


def test_every_case_has_a_place_in_one_folder_only() -> None:
    assert READ
    assert KEPT_ASIDE
    assert not {path.name for path in READ} & {path.name for path in KEPT_ASIDE}


@pytest.mark.parametrize(
    ("cases", "done_f1", "value_recall", "silent_share", "phantoms", "burden"),
    [
        pytest.param(READ, 0.978, 0.962, 0.002, 0.72, 0.084, id="speakers that rules were written for"),
        pytest.param(KEPT_ASIDE, 0.950, 0.895, 0.012, 0.8, 0.125, id="speakers kept aside"),
    ],
)
def test_what_speakers_tell_is_found(
    cases: tuple[Path, ...], done_f1: float, value_recall: float, silent_share: float, phantoms: float, burden: float
) -> None:
    total = reduce(add, map(tally_of, cases), Tally())
    assert total.done_f1 >= done_f1
    assert total.value_recall >= value_recall
    assert total.silent_share <= silent_share
    assert total.phantoms / total.cases <= phantoms
    assert total.burden <= burden
