"""The story checks: each fires, and stays silent, on both sides of its border."""

import re
from pathlib import Path

import pytest

from extractor.reconciling.checks import RULES
from extractor.reconciling.checks.contrast import cigarroa_ml
from extractor.reconciling.checks.site_rules import SiteRules

from .cases import checked, codes

END = "closure done closure device | gauge 6 [Ch]"

#: Words of advice: no caution holds any.
ADVICE = ("should", "must", "recommend", "consider", "stop", "avoid", "give ", "please")

FIRES = [
    # --- balloons
    pytest.param("inflation done balloon | pressure 8 atm", "no-balloon-named", id="no balloon"),
    pytest.param(
        "inflation quoted | diameter 6 mm, pressure 8 atm\ninflation done balloon | pressure 8 atm",
        "no-balloon-named",
        id="no balloon but one on a chart",
    ),
    # --- stents
    pytest.param(
        f"stent done stent\nstent done stent\n{END} :: one stent in", None, id="one stent is no count of stents"
    ),
    pytest.param(
        f"stent done stent\nstent done stent\n{END} :: three stents in", "stent-count-differs", id="three of 2"
    ),
    pytest.param(f"stent done stent | count 2 {{count}}\n{END} :: two stents", None, id="two deployed as one event"),
    pytest.param(f"stent done stent\nstent planned stent\n{END} :: stents two", "stent-count-differs", id="one of two"),
    pytest.param(":: two stents please\nstent done stent", None, id="a request is no count"),
    pytest.param("stent done stent\n:: stents two by thirty", None, id="a size is no count"),
    # --- left in
    pytest.param(f"insert done wire\n{END}", "never-told-out", id="wire never out"),
    pytest.param(f"insert done wire\nremove done wire\n{END}", None, id="wire out"),
    pytest.param("insert done wire", None, id="wire, and the case goes on"),
    pytest.param(f"insert planned wire\n{END}", None, id="wire only asked for"),
    pytest.param(f"insert done wire\ninsert done wire\nremove done wire\n{END}", None, id="one wire for another"),
    pytest.param(f"insert done wire\nremove done wire\ninsert done wire\n{END}", "never-told-out", id="a later wire"),
    pytest.param(f"insert done wire\n{END}\n:: we leave the wire in overnight", None, id="left on purpose"),
    pytest.param(f"insert done wire\nremove past wire\n{END}", "never-told-out", id="a removal of years ago"),
    pytest.param("insert done catheter\ntotal done | contrast_volume 50 mL", "never-told-out", id="catheter never out"),
    pytest.param("insert done catheter\nremove done sheath\ntotal done | dap 5 Gy.cm2", None, id="out with the sheath"),
    pytest.param(
        "insert done catheter\ninflation done balloon | diameter 6 mm\ntotal done | dap 5 Gy.cm2",
        None,
        id="a balloon took its place on the wire",
    ),
    pytest.param("insert done drain\ntotal done | dap 5 Gy.cm2", None, id="a drain stays"),
    pytest.param(
        "insert done sheath | gauge 6 [Ch]\ntotal done | dap 5 Gy.cm2", "sheath-never-told-out", id="sheath never out"
    ),
    pytest.param(f"insert done sheath | gauge 6 [Ch]\n{END}", None, id="the closure tells that the sheath is out"),
    pytest.param(
        "insert done sheath | gauge 6 [Ch]\ntotal done | dap 5 Gy.cm2\n:: the sheath stays in, transduce it",
        None,
        id="the sheath stays",
    ),
    # --- closures
    pytest.param(f"insert done sheath | gauge 6 [Ch]\n{END}", None, id="closed as its label"),
    pytest.param("insert done sheath | gauge 4 [Ch]\n" + END, None, id="closed as two French above: its outside"),
    pytest.param("insert done sheath | gauge 3 [Ch]\n" + END, "closure-fits-no-sheath", id="three French above"),
    pytest.param("insert done sheath | gauge 7 [Ch]\n" + END, "closure-fits-no-sheath", id="below the label"),
    pytest.param(
        f"insert done sheath | gauge 6 [Ch]\ninsert done sheath | gauge 9 [Ch]\n{END}", None, id="one of two sheaths"
    ),
    pytest.param(f"insert done sheath\ninsert done sheath | gauge 9 [Ch]\n{END}", None, id="a sheath of unsaid gauge"),
    pytest.param("insert done sheath | gauge 6 [Ch]\nclosure done | duration 5 min", None, id="pressed by hand"),
    pytest.param(
        f"insert done sheath | gauge 16 [Ch]\nremove done catheter | gauge 6 [Ch]\n{END}",
        None,
        id="the hole of a catheter without a sheath",
    ),
    # --- contrast
    pytest.param(
        "run done | volume 20 mL\nrun done | volume 31 mL\ntotal done | contrast_volume 50 mL", None, id="2 % over"
    ),
    pytest.param(
        "run done | volume 20 mL\nrun done | volume 32 mL\ntotal done | contrast_volume 50 mL",
        "contrast-below-runs",
        id="4 % over",
    ),
    pytest.param(
        "run done | volume 20 mL\nrun planned | volume 60 mL\ntotal done | contrast_volume 50 mL",
        None,
        id="a run planned",
    ),
    pytest.param("run done | volume 20 mL\nrun done | volume 90 mL", None, id="no total"),
    pytest.param("run done | volume 20 mL, rate 10 mL/s, duration 2.4 s", None, id="a run of nearly two seconds"),
    pytest.param("run done | volume 20 mL, rate 10 mL/s, duration 3 s", "run-time-differs", id="of three seconds"),
    pytest.param("run done | volume 20 mL, duration 3 s", None, id="no rate"),
    pytest.param("run done | volume 5 mL, rate 20 mL/s", "run-time-odd", id="a quarter of a second"),
    pytest.param("run done | volume 8 mL, rate 20 mL/s", None, id="0.4 s"),
    pytest.param("run done | volume 40 mL, rate 1 mL/s", "run-time-odd", id="40 s"),
    # --- drugs
    pytest.param(
        "1:00 drug done heparin | dose 5000 [iU]\n3:00 drug done heparin | dose 5000 [iU]",
        "drug-told-twice",
        id="the same dose in two minutes",
    ),
    pytest.param(
        "1:00 drug done heparin | dose 5000 [iU]\n4:02 drug done heparin | dose 5000 [iU]", None, id="in three minutes"
    ),
    pytest.param(
        "1:00 drug done heparin | dose 5000 [iU]\n2:00 drug done heparin | dose 1000 [iU]", None, id="another dose"
    ),
    pytest.param(
        "1:00 drug planned heparin | dose 5000 [iU]\n2:00 drug done heparin | dose 5000 [iU]", None, id="ordered, given"
    ),
    pytest.param(
        "1:00 drug done GTN | dose 0.2 mg\n2:00 drug done GTN | dose 200 ug", "drug-told-twice", id="in another unit"
    ),
    pytest.param(
        "1:00 drug done lidocaine | dose 10 mL\n2:00 drug done lidocaine | dose 10 mg", None, id="not the same"
    ),
    pytest.param(
        "1:00 drug done GTN | dose 200 ug\n2:00 drug done GTN | dose 200 ug :: another GTN same dose",
        None,
        id="said to be another",
    ),
    pytest.param(
        "1:00 drug done lidocaine | dose 10 mL :: left\n2:00 drug done lidocaine | dose 10 mL :: and the right",
        None,
        id="for the other side",
    ),
    # --- dose
    pytest.param("total done | fluoro_time 29.9 min", None, id="screening below the first level"),
    pytest.param("total done | fluoro_time 30 min", "dose-first-level", id="screening at the first level"),
    pytest.param("total done | fluoro_time 3600 s", "dose-high-level", id="screening at the high level, in seconds"),
    pytest.param("total done | air_kerma 2999 mGy", None, id="kerma below the first level"),
    pytest.param("total done | air_kerma 4999 mGy", "dose-first-level", id="kerma below the high level"),
    pytest.param("total done | air_kerma 5000 mGy", "dose-high-level", id="kerma at the high level"),
    pytest.param("total done | dap 300 Gy.cm2", "dose-first-level", id="dose area product at the first level"),
    pytest.param("total quoted | dap 600 Gy.cm2", None, id="a level quoted"),
]


@pytest.mark.parametrize(("text", "code"), FIRES)
def test_a_check_fires_or_not(text: str, code: str | None) -> None:
    found = checked(text)
    assert codes(found) == ([] if code is None else [code])
    assert [word for check in found for word in ADVICE if word in check.message.lower()] == []


def site(**tables: object) -> SiteRules:
    return SiteRules.model_validate(tables)


PATIENT = {"weight_kg": 100, "creatinine_mg_dl": 2.0}
RULE = {"rule": "cigarroa-1989"}
BY_SITE = [
    pytest.param(
        site(), "0:10 drug done heparin\n50:00 remove done sheath", [], id="no rule of the site, no clotting check"
    ),
    pytest.param(
        site(clotting={"due_min": 30}),
        "0:10 drug done heparin\n30:00 measure done | act 240 s\n59:00 remove done sheath",
        [],
        id="measured in time",
    ),
    pytest.param(
        site(clotting={"due_min": 30}),
        "0:10 drug done heparin\n32:00 measure done | act 240 s\n59:00 remove done sheath",
        ["clotting-time-overdue"],
        id="measured late",
    ),
    pytest.param(
        site(clotting={"due_min": 30}),
        "0:10 drug done heparin\n29:00 measure done | act 240 s\n60:00 remove done sheath",
        ["clotting-time-overdue"],
        id="not measured again before the end",
    ),
    pytest.param(
        site(clotting={"due_min": 30}), "0:10 drug planned heparin\n50:00 remove done sheath", [], id="never given"
    ),
    pytest.param(site(contrast={"limit_ml": 50}), "total done | contrast_volume 50 mL", [], id="at the site's limit"),
    pytest.param(
        site(contrast={"limit_ml": 50}), "total done | contrast_volume 51 mL", ["contrast-above-limit"], id="above it"
    ),
    pytest.param(
        site(contrast=RULE, patient=PATIENT),
        "total done | contrast_volume 200 mL",
        ["contrast-above-limit"],
        id="above one reading of the rule",
    ),
    pytest.param(
        site(contrast=RULE, patient=PATIENT),
        "total done | contrast_volume 251 mL",
        ["contrast-above-limit", "contrast-above-limit"],
        id="above both readings",
    ),
    pytest.param(
        site(contrast={**RULE, "cap": "result"}, patient=PATIENT),
        "total done | contrast_volume 200 mL",
        [],
        id="below the reading the site takes",
    ),
    pytest.param(
        site(contrast=RULE), "total done | contrast_volume 10 mL", ["contrast-rule-not-reckoned"], id="patient unknown"
    ),
    pytest.param(
        site(contrast=RULE, patient={"weight_kg": 100, "creatinine_umol_l": 176.8}),
        "total done | contrast_volume 151 mL",
        ["contrast-above-limit"],
        id="creatinine in micromoles",
    ),
    pytest.param(
        site(dose={"dap_gycm2": {"first": 100, "high": 200}}),
        "total done | dap 120 Gy.cm2",
        ["dose-first-level"],
        id="level",
    ),
    pytest.param(
        site(checks={"stents-not-counted": "note"}),
        f"stent done stent\nstent done stent\n{END}",
        ["stents-not-counted"],
        id="two stents, no count",
    ),
    pytest.param(site(checks={"stents-not-counted": "note"}), f"stent done stent\n{END}", [], id="one stent, no count"),
    pytest.param(
        site(checks={"stents-not-counted": "note"}),
        f"stent done stent\nstent done stent\n{END} :: two stents",
        [],
        id="two stents, counted",
    ),
    pytest.param(
        site(checks={"no-balloon-named": "off"}), "inflation done balloon | pressure 8 atm", [], id="switched off"
    ),
]


@pytest.mark.parametrize(("rules", "text", "found"), BY_SITE)
def test_what_a_site_sets(rules: SiteRules, text: str, found: list[str]) -> None:
    assert codes(checked(text, rules)) == found


def test_a_switch_changes_how_much_is_asked() -> None:
    (check,) = checked("inflation done balloon | pressure 8 atm", site(checks={"no-balloon-named": "note"}))
    assert check.severity == "note"


def test_a_caution_tells_its_evidence_and_what_of_it_is_doubtful() -> None:
    (check,) = checked("run done | volume 80 mL?\ntotal done | contrast_volume 50 mL")
    assert check.events == ("e0001", "e0002")
    assert "add up to 80 mL, and the total said is 50 mL." in check.message
    assert check.message.endswith("Rests on what is marked for review: 80 mL.")
    (check,) = checked("run done? | volume 80 mL\ntotal done | contrast_volume 50 mL")
    assert check.message.endswith("Rests on what is marked for review: e0001.")


def test_dilution_is_said_where_runs_exceed_the_total() -> None:
    (check,) = checked("run done | volume 80 mL\ntotal done | contrast_volume 50 mL :: fifty half-strength mind")
    assert "Dilution was spoken of" in check.message


#: Worked by hand: 5 mL a kg over creatinine, the 300 mL on the product | on the result.
CIGARROA = [
    pytest.param(70, 1.8, 166.7, 194.4, id="70 kg, 1.8"),
    pytest.param(100, 2.0, 150, 250, id="100 kg, 2.0"),
    pytest.param(60, 2.5, 120, 120, id="60 kg, 2.5: the cap plays no part"),
    pytest.param(100, 1.0, 300, 300, id="100 kg, 1.0"),
    pytest.param(80, 0.7, 428.6, 300, id="80 kg, 0.7: one reading goes beyond 300"),
]


@pytest.mark.parametrize(("weight", "creatinine", "product", "result"), CIGARROA)
def test_the_contrast_rule_can_be_read_two_ways(
    weight: float, creatinine: float, product: float, result: float
) -> None:
    assert cigarroa_ml(weight, creatinine) == pytest.approx((product, result), abs=0.05)


def test_the_page_lists_every_check_with_its_severity_and_source() -> None:
    page = (Path(__file__).parents[2] / "docs" / "checks.md").read_text(encoding="utf-8")
    listed = re.findall(r"^\| `([a-z-]+)` \| (\w+) \|.*\| (.+) \|$", page, re.M)
    assert listed == [(rule.code, rule.severity, rule.source) for rule in RULES]
