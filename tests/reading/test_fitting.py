"""A term fits beside what it is said with, and how well."""

import pytest

from extractor.lexicon import load
from extractor.reading.candidates import Candidate
from extractor.reading.fitting import Fit, Fitting

FITTING = Fitting(load())

#: (what stands before, the term and its table, what stands after, how well it fits)
FITS = [
    pytest.param("the common", "femoral", "vessel", "artery is", Fit.CLOSELY, id="words of one term side by side"),
    pytest.param("the left", "popliteal", "vessel", "is open", Fit.WELL, id="a vessel after a side"),
    pytest.param("is the", "popliteal", "vessel", "is here", Fit.LOOSELY, id="a vessel after anything"),
    pytest.param("a six french", "catheter", "device", "please", Fit.WELL, id="a device after a unit"),
    pytest.param("six by forty", "stent", "device", "please", Fit.WELL, id="a device after a size"),
    pytest.param("6x40", "stent", "device", "please", Fit.WELL, id="a device after a written size"),
    pytest.param("at forty", "stent", "device", "please", Fit.LOOSELY, id="a device after a number is loose"),
    pytest.param("there is no", "dissection", "finding", "now", Fit.WELL, id="a finding after no"),
    pytest.param("micrograms of", "fentanyl", "drug", "given", Fit.WELL, id="a drug after its dose"),
    pytest.param("more", "heparin", "drug", "5000 units", Fit.WELL, id="a drug before its dose"),
    pytest.param("table is", "heparin", "drug", "over there", Fit.LOOSELY, id="a drug with no dose"),
    pytest.param("at fourteen", "atmospheres", "unit", "for", Fit.WELL, id="a unit after a number"),
    pytest.param("at the", "atmospheres", "unit", "for", Fit.NOT, id="a unit without a number"),
    pytest.param("", "stenosis", "finding", "", Fit.LOOSELY, id="alone"),
]


@pytest.mark.parametrize(("before", "term", "table", "after", "fit"), FITS)
def test_fit(before: str, term: str, table: str, after: str, fit: Fit) -> None:
    candidate = Candidate(term, "", frozenset({table}), 0.1)
    assert FITTING.fit(candidate, before.split()[::-1], after.split()) is fit
