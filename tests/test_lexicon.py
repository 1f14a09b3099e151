"""The trade as data: what is shipped loads and keeps its own examples; a mistake is told by file, table and key."""

from pathlib import Path

import pytest
from pydantic import ValidationError

from extractor.errors import LexiconError
from extractor.lexicon import MOST_FORMS, TABLES, Cue, Entry, Refusal, Unit, cautions, each_form, folder, load
from extractor.model import Status, Word
from extractor.reading.quantities import read_figures, unit_forms
from extractor.reading.refusals import Refusals
from extractor.reading.statements import Reader
from extractor.reading.terms import TermFinder
from extractor.reading.tokens import form_tokens, tokenise

LEXICON = load()
#: Tables whose entries are looked up as terms; the others have readers of their own.
TERMS = [table for table in TABLES if table not in {"refusal", "unit", "limit", "misheard", "pronunciation"}]


@pytest.fixture(scope="module")
def finder() -> TermFinder:
    return TermFinder(LEXICON)


@pytest.fixture(scope="module")
def reader() -> Reader:
    return Reader(LEXICON)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A site's own folder, still empty."""
    place = tmp_path / "site"
    place.mkdir()
    return place


# --- loading


@pytest.mark.parametrize("table", TABLES)
def test_every_table_is_shipped_with_entries(table: str) -> None:
    assert getattr(LEXICON, table)


def test_every_file_is_hashed_under_its_own_name() -> None:
    assert set(LEXICON.files) == {path.name for path in folder().glob("*.toml")}
    assert all(len(digest) == 64 for digest in LEXICON.files.values())


DRUG = '[[drug]]\nname = "saline"\nspoken = ["salty water"]\nunit = "mL"\n'
MISTAKES = {
    "bad TOML": ("[[drug]\n", "not valid TOML"),
    "not UTF-8": (b"[[drug]]\nname = '\xff'\n", "not valid TOML"),
    "unknown table": ('[[potion]]\nname = "x"\n', "unknown table [[potion]]; known are device,"),
    "not a list": ('[drug]\nname = "x"\n', "table [drug] must be written [[drug]]"),
    "a bare key": ("drug = 3\n", "table [drug] must be written [[drug]]"),
    "missing key": (DRUG + '[[drug]]\nspoken = ["x"]\nunit = "mg"\n', "[[drug]] number 2, key 'name': Field required"),
    "unknown key": (DRUG + "strength = 2\n", "[[drug]] number 1, key 'strength'"),
    "no such phone": (
        '[[pronunciation]]\nwords = ["x"]\nsaid = ["K QQ"]\n',
        "key 'said': Value error, 'QQ' is no",
    ),
    "nothing spoken": ('[[finding]]\nname = "x"\nspoken = []\n', "[[finding]] number 1, key 'spoken'"),
    "unit of a dose": (DRUG.replace('"mL"', '"drops"'), "[[drug]] number 1, key 'unit': Value error, unit 'drops'"),
    "code of a unit": (
        '[[unit]]\ncode = "furlong"\nquantity = "length"\nspoken = ["furlong"]\n',
        "[[unit]] number 1, key 'code': Value error, code 'furlong' is none of mm",
    ),
    "value of a limit": (
        '[[limit]]\nkind = "inflation"\nvalue = "mood"\nunit = "atm"\nlow = 1\nhigh = 2\n',
        "[[limit]] number 1, key 'value'",
    ),
    "status of a cue": ('[[cue]]\nstatus = "hoped"\nspoken = ["x"]\n', "[[cue]] number 1, key 'status'"),
}


@pytest.mark.parametrize(("text", "said"), MISTAKES.values(), ids=MISTAKES)
def test_a_mistake_is_told_by_file_table_and_key(site: Path, text: str | bytes, said: str) -> None:
    path = site / "ours.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(LexiconError) as told:
        load(site)
    assert str(told.value).startswith(f"{path}: ")
    assert said in str(told.value)


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(LexiconError, match="no such folder"):
        load(tmp_path / "nowhere")


def test_a_folder_without_lexicons_is_told(site: Path) -> None:
    with pytest.raises(LexiconError, match=r"holds no \.toml file"):
        load(site)


# --- a site's own folder


def test_a_site_adds_an_entry(site: Path) -> None:
    (site / "ours.toml").write_text(DRUG, encoding="utf-8")
    lexicon = load(site)
    assert [drug for drug in lexicon.drug if drug not in LEXICON.drug] == [lexicon.drug[-1]]
    assert lexicon.drug[-1].name == "saline"
    assert set(lexicon.files) == {*LEXICON.files, "site/ours.toml"}
    assert [term.found[0][1] for term in TermFinder(lexicon).find(tokenise(["salty", "water"]))] == [lexicon.drug[-1]]


def test_a_site_replaces_an_entry_of_ours(site: Path) -> None:
    text = '[[drug]]\nname = "heparin"\nspoken = ["heparin", "thinner"]\nunit = "mg"\n'
    (site / "drugs.toml").write_text(text, encoding="utf-8")
    lexicon = load(site)
    assert [drug.unit for drug in lexicon.drug if drug.name == "heparin"] == ["mg"]
    assert len(lexicon.drug) == len(LEXICON.drug)
    assert lexicon.files["drugs.toml"] == LEXICON.files["drugs.toml"]
    assert "site/drugs.toml" in lexicon.files


# --- the examples beside the entries


def sentences(key: str, *tables: str) -> list[object]:
    """Every example (or counter-example) of some tables as (entry, sentence)."""
    return [
        pytest.param(entry, sentence, id=f"{table} {_label(entry)}: {sentence}")
        for table in tables
        for entry in getattr(LEXICON, table)
        for sentence in getattr(entry, key)
    ]


def _label(entry: Entry) -> str:
    return next(str(getattr(entry, key)) for key in ("name", "status", "code") if hasattr(entry, key))


def found(finder: TermFinder, sentence: str) -> list[Entry]:
    return [entry for term in finder.find(tokenise(sentence.split())) for _, entry in term.found]


@pytest.mark.parametrize(("entry", "sentence"), sentences("examples", *TERMS))
def test_an_entry_is_found_in_its_example(finder: TermFinder, entry: Entry, sentence: str) -> None:
    assert entry in found(finder, sentence)


@pytest.mark.parametrize(("entry", "sentence"), sentences("counter_examples", *TERMS))
def test_an_entry_is_not_found_in_its_counter_example(finder: TermFinder, entry: Entry, sentence: str) -> None:
    assert entry not in found(finder, sentence)


@pytest.mark.parametrize(("entry", "sentence"), sentences("examples", "unit"))
def test_a_unit_is_found_right_after_the_number(entry: Unit, sentence: str) -> None:
    figures = read_figures(tokenise(sentence.split()), unit_forms(LEXICON))
    assert entry.code in {part.unit for figure in figures for part in figure.parts}


@pytest.mark.parametrize(("entry", "sentence"), sentences("examples", "cue"))
def test_a_cue_tells_the_status_of_something_in_its_example(reader: Reader, entry: Cue, sentence: str) -> None:
    words = [Word(text=text, start_ms=i * 300, end_ms=i * 300 + 250) for i, text in enumerate(sentence.split())]
    read, _ = reader.read(words)
    assert entry.status in {item.status for part in read for item in part.items}


@pytest.mark.parametrize(("entry", "sentence"), sentences("examples", "refusal"))
def test_a_refusal_opens_its_example(entry: Refusal, sentence: str) -> None:
    alone = LEXICON.model_copy(update={"refusal": (entry,)})
    assert Refusals(alone).opening(form_tokens(sentence.lower()))[0] == entry.name


@pytest.mark.parametrize(("entry", "sentence"), sentences("counter_examples", "refusal"))
def test_a_refusal_does_not_open_its_counter_example(entry: Refusal, sentence: str) -> None:
    alone = LEXICON.model_copy(update={"refusal": (entry,)})
    assert Refusals(alone).opening(form_tokens(sentence.lower())) == ("", 0)


def test_there_are_examples_to_check() -> None:
    """An empty table of examples would pass every test above."""
    assert len(sentences("examples", *TERMS)) > 10
    assert len(sentences("examples", "unit")) > 30


@pytest.mark.parametrize(
    ("form", "forms"),
    [
        pytest.param("goes back", ["goes back"], id="one as it is"),
        pytest.param("(we|i) won't", ["we won't", "i won't"], id="either"),
        pytest.param("you may (now|) have", ["you may now have", "you may have"], id="left out"),
        pytest.param("(a|b) (c|d)", ["a c", "a d", "b c", "b d"], id="each with each"),
        pytest.param("it('s| is)  up", ["it's up", "it is up"], id="within a word"),
    ],
)
def test_one_form_may_stand_for_several(form: str, forms: list[str]) -> None:
    assert list(each_form(Cue(status=Status.PLANNED, spoken=(form,)).spoken)) == forms


def test_no_shipped_line_writes_too_many_forms() -> None:
    assert list(cautions()) == []


#: (a table, the ways of each bracket, whether the line is cautioned against)
WIDE = [
    pytest.param("qualifier", (MOST_FORMS // 2, 2), False, id="as many as may be"),
    pytest.param("qualifier", (MOST_FORMS // 2 + 1, 2), True, id="more"),
    pytest.param("action", (MOST_FORMS, 2), False, id="of a table that is read as it stands"),
]


@pytest.mark.parametrize(("table", "ways", "cautioned"), WIDE)
def test_a_line_that_multiplies_is_named_with_its_cure(
    site: Path, table: str, ways: tuple[int, ...], cautioned: bool
) -> None:
    line = " ".join(f"({'|'.join(f'w{number}' for number in range(many))})" for many in ways)
    few = f'[[{table}]]\nname = "few"\nspoken = ["few"]\n'
    (site / "ours.toml").write_text(few + few.replace("few", "wide", 1).replace("few", line))
    told = list(cautions(site))
    assert len(told) == cautioned
    for caution in told:
        assert "ours.toml: [[qualifier]] number 2, key 'spoken': " in caution
        assert "writes 2,002 forms" in caution
        assert "in several lines" in caution


@pytest.mark.parametrize("form", ["(a|(b|c)) d", "(a|b", "a b)"], ids=["within brackets", "not closed", "not opened"])
def test_brackets_that_would_never_be_said_are_refused(form: str) -> None:
    with pytest.raises(ValidationError, match="bracket"):
        Cue(status=Status.PLANNED, spoken=(form,))
