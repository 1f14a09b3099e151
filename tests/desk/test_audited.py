"""A store given to ``extractor audit``: every case as it stands, its logs laid beside it, the same as from folders."""

from io import BytesIO
from pathlib import Path

import pytest

from extractor import draft_folder, pipeline, signing
from extractor.audit.cases import read_cases
from extractor.audit.report import write_report
from extractor.cli import main
from extractor.desk import edits
from extractor.desk.audited import is_store, stored_cases
from extractor.desk.store import Store, open_store
from extractor.model import Timeline

ANNA = "A. Operator"
FIXTURE = Path(__file__).parents[2] / "fixtures" / "fistula-high-pressure"


@pytest.fixture(scope="module")
def fistula() -> Timeline:
    return pipeline.draft([FIXTURE / "transcript.vtt"])


def keep(store: Store, timeline: Timeline, title: str, log: bytes | None = None) -> int:
    case = store.new_case(title, ANNA)
    if log is not None:
        store.add_file(case, "pump.csv", BytesIO(log), kind="log", by=ANNA)
    store.job_done(case, timeline)
    return case


@pytest.fixture
def filled(store: Store, fistula: Timeline, small_timeline: Timeline, tmp_path: Path) -> Store:
    """The fistula case with its log; a signed small one; one that waits; one whose log is none; one taken away."""
    keep(store, fistula, "Fistula", (FIXTURE / "pressure-log.csv").read_bytes())
    signed = keep(store, small_timeline, "Small")
    signing.make_key(tmp_path / "key")
    head, timeline = store.timeline(signed)
    left = dict.fromkeys(timeline.open_points, "nothing to hear")
    store.sign(
        signed,
        signing.sign(timeline, signing.read_key(tmp_path / "key"), name=ANNA, signed_at=store.now(), left_open=left),
        head,
        ANNA,
    )
    store.new_case("Waiting", ANNA)
    other = fistula.recording.model_copy(update={"sha256": "c" * 64})
    keep(store, fistula.model_copy(update={"recording": other}), "No log", b"no table")
    store.remove_case(keep(store, small_timeline, "Gone"), ANNA, "twice")
    return store


def where(store: Store, tmp_path: Path) -> str:
    """As somebody would name it: the folder, or the URL."""
    return str(tmp_path / "desk") if "sqlite" in store.name else store.name


def test_every_case_of_a_store_is_audited(filled: Store, tmp_path: Path) -> None:
    audit = read_cases([], stored_cases(where(filled, tmp_path), tmp_path / "desk"))
    names = {case.name.partition("/")[2]: case for case in audit.cases}
    assert set(names) == {"1 Fistula", "2 Small", "4 No log"}
    assert {name: case.state for name, case in names.items()} == {
        "1 Fistula": "draft", "2 Small": "signed", "4 No log": "draft",
    }  # fmt: skip
    verdicts = [row["verdict"] for row in audit.pressures() if "Fistula" in row["case"]]
    assert verdicts == ["agrees", "differs", "agrees", "agrees", "not-spoken"]
    assert names["2 Small"].reviewer == ANNA
    assert not names["4 No log"].compared
    waiting, no_log = audit.faults
    assert "3 Waiting" in waiting
    assert "4 No log" in no_log
    assert "pump.csv" in no_log


def test_what_people_changed_is_what_is_audited(folder_store: Store, fistula: Timeline, tmp_path: Path) -> None:
    case = keep(folder_store, fistula, "Fistula", (FIXTURE / "pressure-log.csv").read_bytes())
    folder_store.revise(case, 0, edits.Set(event="e0024", field="values.pressure.value", value=18), ANNA)
    audit = read_cases([], stored_cases(str(tmp_path / "desk")))
    (row,) = (row for row in audit.pressures() if row["event"] == "e0024")
    assert (row["spoken_atm"], row["verdict"]) == (18, "agrees")


def test_the_command_takes_stores_and_folders(
    filled: Store, fistula: Timeline, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = fistula.recording.model_copy(update={"sha256": "d" * 64})
    draft_folder.write(fistula.model_copy(update={"recording": other}), tmp_path / "cases" / "a")
    places = [where(filled, tmp_path), str(tmp_path / "cases")]
    for out in ("one", "two"):
        arguments = ["audit", *places, "--out", str(tmp_path / out), "--media", str(tmp_path / "desk")]
        assert main(arguments) == 0
    said = capsys.readouterr()
    assert "4 cases, 2 pressures that do not agree" in said.out
    assert said.err.splitlines()[1].startswith(
        f"not used: {Path(places[0]).name.partition('?')[0]}/4 No log: pump.csv: "
    )
    files = {path.name: path.read_bytes() for path in (tmp_path / "one").iterdir()}
    assert files == {path.name: path.read_bytes() for path in (tmp_path / "two").iterdir()}


def test_a_store_and_folders_of_the_same_cases_tell_the_same(
    folder_store: Store, fistula: Timeline, tmp_path: Path
) -> None:
    keep(folder_store, fistula, "a", (FIXTURE / "pressure-log.csv").read_bytes())
    draft_folder.write(fistula, tmp_path / "desk" / "1 a")
    arguments = [str(tmp_path / "desk" / "1 a"), str(FIXTURE / "pressure-log.csv")]
    assert main(["crosscheck", *arguments, "--out", str(tmp_path / "desk" / "check.json")]) == 0
    stored, foldered = read_cases([], stored_cases(str(tmp_path / "desk"))), read_cases([tmp_path / "desk"])
    for pair in zip(stored.pressures(), foldered.pressures(), strict=True):
        one, other = ({key: cell for key, cell in row.items() if key not in ("log", "note")} for row in pair)
        assert one == other
    assert set(write_report(stored)) == set(write_report(foldered))


def test_an_empty_store_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    open_store(tmp_path / "desk").close()
    assert is_store(str(tmp_path / "desk"))
    assert not is_store(str(tmp_path))
    assert main(["audit", str(tmp_path / "desk"), "--out", str(tmp_path / "report")]) == 2
    assert "no case that can be read" in capsys.readouterr().err
