"""A site's own files: the same catalogue in every form, and what is refused, by file, row and column."""

from pathlib import Path

import pytest
from openpyxl import Workbook

from extractor.cli import main
from extractor.draft_folder import read
from extractor.errors import InputError
from extractor.reconciling.catalogue import Row
from extractor.site_files import read_catalogue, read_rules, read_site

FIXTURES = Path(__file__).parents[1] / "fixtures"
HEADER = "name,kind,spoken,diameter_mm,lengths_mm,rated_atm,chart_atm,wire_in,sheath_fr"
LINE = "Plain,balloon,Plain Balloon;semi-compliant,6,20;40,14,6:5.8;14:6.2,0.018,5"
ROW = Row(
    name="Plain", kind="balloon", spoken=("plain balloon", "semi compliant"), diameter_mm=6, lengths_mm=(20, 40),
    rated=14, chart=((6, 5.8), (14, 6.2)), wire_in=0.018, sheath_fr=5,
)  # fmt: skip
TOML = """
[[device]]
name = "Plain"
kind = "balloon"
spoken = ["Plain Balloon", "semi-compliant"]
diameter_mm = 6
lengths_mm = [20, 40]
rated_atm = 14
chart_atm = [[6, 5.8], [14, 6.2]]
wire_in = 0.018
sheath_fr = 5
"""
FORMS = [
    pytest.param("c.csv", f"{HEADER}\n{LINE}\n", id="csv"),
    pytest.param(
        "c.csv", f"Our devices\n\n{HEADER.upper()}\n{LINE}\n,,,,,,,,\n", id="remarks above, an empty row below"
    ),
    pytest.param("c.tsv", f"{HEADER}\n{LINE}\n".replace(",", "\t"), id="tsv"),
    pytest.param(
        "c.csv",
        HEADER.replace(",", ";")
        + '\nPlain;balloon;"Plain Balloon;semi-compliant";6;"20;40";14;"6:5,8;14:6,2";0,018;5\n',
        id="semicolons and decimal commas",
    ),
    pytest.param("c.toml", TOML, id="toml"),
    pytest.param(
        "c.csv",
        "name,kind,spoken,diameter_cm,lengths_cm,rated_atm,chart_atm,wire_mm,sheath_fr\n"
        "Plain,balloon,plain balloon;semi compliant,0.6,2;4,14,6:5.8;14:6.2,0.4572,5\n",
        id="centimetres, the wire in millimetres",
    ),
]


@pytest.mark.parametrize(("name", "text"), FORMS)
def test_every_form_gives_the_same_row(name: str, text: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    (row,) = read_catalogue(tmp_path / name).rows
    assert row.model_copy(update={"wire_in": round(row.wire_in or 0, 9)}) == ROW


def test_a_spreadsheet_gives_the_same_row(tmp_path: Path) -> None:
    book = Workbook()
    for row in ([*HEADER.split(",")], ["Plain", "balloon", "plain balloon; semi-compliant", 6, "20; 40", 14.0,
                                       "6:5.8; 14:6.2", 0.018, 5]):  # fmt: skip
        book.worksheets[0].append(row)
    book.save(tmp_path / "c.xlsx")
    assert read_catalogue(tmp_path / "c.xlsx").rows == (ROW,)


def test_pressures_stay_in_their_unit(tmp_path: Path) -> None:
    (tmp_path / "c.csv").write_text("name,kind,rated_bar,outer_fr\nx,balloon,16,6\n", encoding="utf-8")
    (row,) = read_catalogue(tmp_path / "c.csv").rows
    assert (row.rated, row.pressure_unit, row.outer_mm) == (16, "bar", 2)


def changed(old: str, new: str) -> str:
    assert old in f"{HEADER}\n{LINE}\n"
    return f"{HEADER}\n{LINE}\n".replace(old, new)


REFUSED = [
    pytest.param("c.csv", changed("rated_atm", "rated_mmhg"), "its units are atm, bar, kpa, psi", id="wrong unit"),
    pytest.param("c.csv", changed("rated_atm", "rated"), "'rated' is not known", id="no unit"),
    pytest.param("c.csv", changed("rated_atm", "colour"), "'colour' is not known; known are name", id="unknown column"),
    pytest.param("c.csv", changed("sheath_fr", "rated_atm"), "tell the same", id="a column twice"),
    pytest.param("c.csv", changed("sheath_fr", "rated_bar"), "tell the same", id="a column in two units"),
    pytest.param("c.csv", changed("chart_atm", "chart_bar"), "pressures in atm and bar", id="pressures in two units"),
    pytest.param("c.csv", changed("0.018", "thin"), "row 2, column 'wire_in': 'thin' is no number", id="no number"),
    pytest.param("c.csv", changed(",14,", ",nan,"), None, id="nan says nothing"),
    pytest.param("c.csv", changed(",14,", ",-14,"), "row 2: rated: Input should be greater than 0", id="negative"),
    pytest.param("c.csv", changed(",14,", ",inf,"), "row 2: rated", id="infinite"),
    pytest.param("c.csv", changed("6:5.8;14:6.2", "6:5.8;14"), "row 2, column 'chart_atm'", id="half a point"),
    pytest.param("c.csv", changed("6:5.8;14:6.2", "6:6.2;14:5.8"), "row 2: the chart's diameters", id="chart falls"),
    pytest.param("c.csv", f"{HEADER}\n{LINE}\n{LINE}\n", "Plain 6 mm stands in it twice", id="a size twice"),
    pytest.param("c.csv", f"{HEADER}\n", "holds no device", id="no rows"),
    pytest.param("c.csv", "a,b\n1,2\n", "names a name and a kind", id="no header"),
    pytest.param("c.csv", "", "empty; give a device catalogue", id="empty file"),
    pytest.param("c.csv", changed("Plain,balloon", ",balloon"), "row 2: name", id="no name"),
    pytest.param("c.toml", "[[row]]\nname = 'x'\n", "[[device]] tables and nothing else", id="toml of something else"),
    pytest.param("c.toml", TOML.replace("rated_atm", "rated_hpa"), "'rated_hpa' is not known", id="toml, wrong unit"),
    pytest.param("c.toml", "[[device]\n", "not valid TOML", id="no toml"),
]


@pytest.mark.parametrize(("name", "text", "why"), REFUSED)
def test_what_cannot_be_used_is_refused(name: str, text: str, why: str | None, tmp_path: Path) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    if why is None:
        assert read_catalogue(tmp_path / name).rows[0].rated is None
        return
    with pytest.raises(InputError) as refused:
        read_catalogue(tmp_path / name)
    assert str(tmp_path / name) in str(refused.value)
    assert why in str(refused.value)


def test_a_catalogue_that_is_too_long_is_refused(tmp_path: Path) -> None:
    lines = "".join(f"x{number},balloon\n" for number in range(50_001))
    (tmp_path / "c.csv").write_text("name,kind\n" + lines, encoding="utf-8")
    with pytest.raises(InputError, match="more than 50,000 rows"):
        read_catalogue(tmp_path / "c.csv")


RULES_REFUSED = [
    pytest.param("[checks]\nno-such = 'off'\n", "knows no 'no-such'", id="unknown check"),
    pytest.param("[checks]\ndrug-told-twice = 'loud'\n", "checks.drug-told-twice", id="unknown severity"),
    pytest.param("[dose]\nair_kerma_mgy = {first = 9, high = 5}\n", "must not be above", id="levels exchanged"),
    pytest.param("[clotting]\ndue = 30\n", "clotting.due", id="unknown key"),
    pytest.param("[patient]\nweight_kg = 8000\n", "patient.weight_kg", id="grams for kilograms"),
    pytest.param("[patient]\ncreatinine_mg_dl = 1\ncreatinine_umol_l = 88\n", "once", id="creatinine twice"),
    pytest.param("due = 30\n", "outside a table", id="outside a table"),
    pytest.param("[checks\n", "not valid TOML", id="no toml"),
]


@pytest.mark.parametrize(("text", "why"), RULES_REFUSED)
def test_rules_that_cannot_be_used_are_refused(text: str, why: str, tmp_path: Path) -> None:
    (tmp_path / "site.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as refused:
        read_rules([tmp_path / "site.toml"])
    assert why in str(refused.value)


def test_a_later_file_adds_to_an_earlier_one(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("[contrast]\nlimit_ml = 250\nrule = 'cigarroa-1989'\n", encoding="utf-8")
    (tmp_path / "b.toml").write_text("[contrast]\ncap = 'result'\n[patient]\nweight_kg = 80\n", encoding="utf-8")
    site = read_site(None, [tmp_path / "a.toml", tmp_path / "b.toml"])
    contrast = site.rules.contrast
    assert (contrast.limit_ml, contrast.rule, contrast.cap, site.rules.patient.weight_kg) == (
        250, "cigarroa-1989", "result", 80,
    )  # fmt: skip
    assert set(site.files) == {"site/a.toml", "site/b.toml"}


def test_a_draft_is_laid_beside_the_shipped_example(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The invented fistula case, through every command."""
    transcript = FIXTURES / "fistula-high-pressure" / "transcript.vtt"
    site = ["--catalogue", str(FIXTURES / "catalogue.csv"), "--site", str(FIXTURES / "site.toml")]
    assert main(["draft", str(transcript), "--out", str(tmp_path / "case"), *site]) == 0
    timeline = read(tmp_path / "case")
    assert set(timeline.made_by.site) == {"site/catalogue.csv", "site/site.toml"}
    assert [check.code for check in timeline.checks if check.severity == "review"] == [
        "sheath-too-small", "contrast-below-runs",
    ]  # fmt: skip
    capsys.readouterr()
    assert main(["show", str(tmp_path / "case")]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Caution: The 4 runs told add up to 45 mL, and the total said is 42 mL. e0006 e0011 e0026 e0033" in said
    assert "Note: By the chart of High pressure balloon 7 mm" in said
    assert "it is 7.29 mm at 26 atm. e0022" in said
    summary = (tmp_path / "case" / "summary.txt").read_text(encoding="utf-8")
    assert summary.index("caution") < summary.index("note     By the chart")


def test_a_catalogue_that_is_not_there_leaves_nothing_behind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    transcript = FIXTURES / "fistula-high-pressure" / "transcript.vtt"
    arguments = ["draft", str(transcript), "--out", str(tmp_path / "case"), "--catalogue", str(tmp_path / "no.csv")]
    assert main(arguments) == 2
    assert "no.csv: cannot be read" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
