"""What is learned from corrections by hand: what is proposed, what refused, and that the next draft reads it right."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from extractor import lexicon as lexicons
from extractor import pipeline
from extractor.cli import main
from extractor.desk import edits, learning
from extractor.desk.people import Role
from extractor.desk.store import Store, open_store
from extractor.errors import InputError
from extractor.lexicon import Lexicon, load
from extractor.model import MadeBy, Recording, Timeline, Word
from extractor.reading.statements import reader_of

from .serving import Served, serve

AT = "2026-11-26T09:30:00+00:00"
#: Each line is a case.
MISHEARD = "Access right groin, six French sheath in. Now clopidrogo given, three hundred milligrams of clopidrogo."
ORDINARY = "Access right groin, six French sheath in. Then we gave hopper in five thousand units through the sheath."
ELSEWHERE = "He keeps a hopper in the garden, and talks of it."


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load()


def drafted(talk: str, lexicon: Lexicon) -> Timeline:
    words = tuple(Word(text=t, start_ms=n * 400, end_ms=n * 400 + 350) for n, t in enumerate(talk.split()))
    corrections, events, _ = pipeline.understand(words, reader_of(lexicon), lexicon)
    return Timeline(
        recording=Recording(sha256="ab" * 32, duration_ms=len(words) * 400),
        made_by=MadeBy(extractor="0", speech_model=None, lexicons={}),
        words=words,
        corrections=tuple(corrections),
        events=events,
    )


def put(timeline: Timeline, raw: dict[str, Any], by: str = "A. Operator") -> Timeline:
    step = edits.revision(timeline, edits.EDIT.validate_python(raw), at=AT, by=by, why="so it was")
    return edits.put(timeline, step)


def read(timeline: Timeline, heard: str, term: str, by: str = "A. Operator", time: int = 1) -> Timeline:
    """Somebody reads a term for words, where they stand for the nth time."""
    words, form = [word.text.strip(",.").lower() for word in timeline.words], heard.split()
    places = [n for n in range(len(words)) if words[n : n + len(form)] == form]
    first = places[time - 1]
    return put(timeline, {"do": "word", "words": [first, first + len(form)], "read": term}, by)


def learned(cases: Sequence[Timeline], lexicon: Lexicon) -> learning.Suggestion:
    (found,) = learning.suggestions(enumerate(cases, 1), lexicon)
    return found


# --- what is proposed


def test_a_form_nobody_says_is_proposed_with_how_often_and_where(lexicon: Lexicon) -> None:
    first = read(read(drafted(MISHEARD, lexicon), "clopidrogo", "clopidogrel"), "clopidrogo", "clopidogrel", "B", 2)
    second = read(drafted("Clopidrogo was given.", lexicon), "clopidrogo", "clopidogrel")
    found = learned([first, second], lexicon)
    assert (found.heard, found.read, found.near, found.refused) == ("clopidrogo", "clopidogrel", (), "")
    assert (found.cases, found.by, len(found.clips)) == ((1, 2), ("A. Operator", "B"), 3)
    assert found.entry.source == "put right by hand 3 times in 2 cases, by A. Operator, B"
    clip = found.clips[0]
    assert (clip.case, clip.revision, clip.words) == (1, 1, (8, 9))
    assert (clip.start_ms, clip.end_ms) == (8 * 400, 8 * 400 + 350)


def test_the_same_cases_teach_the_same_in_any_order(lexicon: Lexicon) -> None:
    cases = [(n, read(drafted(MISHEARD, lexicon), "clopidrogo", "clopidogrel")) for n in (1, 2)]
    assert learning.suggestions(cases, lexicon) == learning.suggestions(reversed(cases), lexicon)


def test_a_form_of_ordinary_words_is_proposed_beside_the_trade_only(lexicon: Lexicon) -> None:
    cases = [read(drafted(ORDINARY, lexicon), "hopper in", "heparin") for _ in range(2)]
    found = learned([*cases, drafted(ELSEWHERE, lexicon)], lexicon)
    assert (found.refused, found.near) == ("", ("french", "sheath", "units"))  # not "the", "five" or "through"


def test_words_beside_it_elsewhere_do_not_tell_it(lexicon: Lexicon) -> None:
    cases = [read(drafted(ORDINARY, lexicon), "hopper in", "heparin") for _ in range(2)]
    found = learned([*cases, drafted("The hopper in five thousand units stands there.", lexicon)], lexicon)
    assert "units" not in found.near
    assert "sheath" in found.near


def test_what_is_undone_teaches_nothing(lexicon: Lexicon) -> None:
    timeline = read(drafted(MISHEARD, lexicon), "clopidrogo", "clopidogrel")
    assert learning.suggestions([(1, put(timeline, {"do": "undo", "revision": 1}))], lexicon) == ()


def test_a_change_that_was_taken_back_teaches_nothing(lexicon: Lexicon) -> None:
    timeline = drafted("Access right groin, six French sheath in. Hepperin given, five thousand units.", lexicon)
    (event,) = [each for each in timeline.events if each.drug == "heparin"]
    timeline = put(timeline, {"do": "set", "event": event.id, "field": "drug", "value": "protamine"})
    assert learning.suggestions([(1, put(timeline, {"do": "undo", "revision": 1}))], lexicon) == ()


def test_what_the_lexicon_reads_already_is_left_out(lexicon: Lexicon) -> None:
    timeline = drafted("Quadication on the right.", lexicon).model_copy(update={"corrections": ()})
    timeline = read(timeline, "quadication", "claudication")
    assert learning.suggestions([(1, timeline)], lexicon) == ()


def test_a_drug_changed_by_hand_teaches_what_its_words_are(lexicon: Lexicon) -> None:
    """The draft repaired the words as another drug than it was."""
    timeline = drafted("Access right groin, six French sheath in. Hepperin given, five thousand units.", lexicon)
    (repair,) = [each for each in timeline.corrections if each.read == "heparin"]
    (event,) = [each for each in timeline.events if each.drug == "heparin"]
    found = learned([put(timeline, {"do": "set", "event": event.id, "field": "drug", "value": "protamine"})], lexicon)
    assert (found.heard, found.read, found.clips[0].words) == ("hepperin", "protamine", repair.words)


# --- what is refused

REFUSED = [
    pytest.param("hopper in", "heparin", 1, "words of the language alone, and was put right only once", id="once"),
    pytest.param("clopidrogo", "stent of gold", 1, "is no term of the lexicon", id="no-term"),
    pytest.param("hundred", "clopidogrel", 1, "it holds a figure", id="a-figure"),
    pytest.param("right groin", "claudication", 1, "it holds “right”, which is never repaired", id="a-side"),
    pytest.param("milligrams of", "claudication", 1, "it holds “milligrams”", id="a-unit"),
    pytest.param("sheath", "stent", 1, "it is a term itself", id="a-term"),
]


@pytest.mark.parametrize(("heard", "term", "times", "why"), REFUSED)
def test_what_would_change_other_words_is_refused(
    lexicon: Lexicon, tmp_path: Path, heard: str, term: str, times: int, why: str
) -> None:
    talk = f"{MISHEARD} Then hopper in five thousand units."
    found = learned([read(drafted(talk, lexicon), heard, term) for _ in range(times)], lexicon)
    assert why in found.refused
    with pytest.raises(InputError, match="cannot be read as"):
        learning.accept(tmp_path, found)
    assert not (tmp_path / "lexicons").exists()


def test_a_form_that_stands_elsewhere_in_the_same_company_is_refused(lexicon: Lexicon) -> None:
    cases = [read(drafted(ORDINARY, lexicon), "hopper in", "heparin") for _ in range(2)]
    found = learned([*cases, drafted(ORDINARY, lexicon)], lexicon)
    assert "it also stands in 1 places where nobody put it right" in found.refused
    assert "no word of the trade beside it tells" in found.refused


def test_a_form_that_would_not_be_found_again_is_refused(lexicon: Lexicon) -> None:
    found = learned([read(drafted("Then hepron's in the sheath.", lexicon), "hepron's", "heparin")], lexicon)
    assert "would not be found again" in found.refused


def test_a_form_read_as_two_terms_is_refused(lexicon: Lexicon) -> None:
    cases = [read(drafted(MISHEARD, lexicon), "clopidrogo", term) for term in ("clopidogrel", "aspirin")]
    found = learning.suggestions(enumerate(cases, 1), lexicon)
    assert [each.refused for each in found] == ["it was also read as clopidogrel", "it was also read as aspirin"]


# --- what is accepted


def test_the_next_draft_reads_what_was_accepted(lexicon: Lexicon, tmp_path: Path) -> None:
    corrected = [
        read(drafted(MISHEARD, lexicon), "clopidrogo", "clopidogrel"),
        *(read(drafted(ORDINARY, lexicon), "hopper in", "heparin") for _ in range(2)),
    ]
    for suggestion in learning.suggestions(enumerate([*corrected, drafted(ELSEWHERE, lexicon)], 1), lexicon):
        learning.accept(tmp_path, suggestion)
    folder = learning.learned_folder(tmp_path)
    assert folder == tmp_path / "lexicons"
    taught = load(folder)
    assert taught.misheard[: len(lexicon.misheard)] == lexicon.misheard  # nothing of ours is replaced
    drugs = [e.drug for talk in (MISHEARD, ORDINARY) for e in drafted(talk, taught).events if e.drug]
    assert set(drugs) == {"clopidogrel", "heparin"}
    assert not [e.drug for e in drafted(ORDINARY, lexicon).events if e.drug]  # untaught it is no drug
    assert drafted(ELSEWHERE, lexicon) == drafted(ELSEWHERE, taught)
    repair = drafted(ORDINARY, taught).corrections[0]
    assert (repair.heard, repair.read, repair.review) == ("hopper in", "heparin", True)
    assert learning.suggestions(enumerate(corrected, 1), taught) == ()


def test_a_counter_example_of_ours_stays_one(lexicon: Lexicon, tmp_path: Path) -> None:
    """Every sentence of the shipped lexicons that must hold no term is drafted alike with what was learned."""
    learning.accept(tmp_path, learned([read(drafted(MISHEARD, lexicon), "clopidrogo", "clopidogrel")], lexicon))
    taught = load(learning.learned_folder(tmp_path))
    talk = [text for table in lexicons.TABLES for entry in getattr(lexicon, table) for text in entry.counter_examples]
    assert talk
    untaught = [drafted(text, lexicon).events for text in talk]
    assert [drafted(text, taught).events for text in talk] == untaught


def test_accepted_twice_stands_once_and_each_stays(lexicon: Lexicon, tmp_path: Path) -> None:
    one = learned([read(drafted(MISHEARD, lexicon), "clopidrogo", "clopidogrel")], lexicon)
    other = learned([read(drafted("Fluoridosed stent in.", lexicon), "fluoridosed", "stent", "O'B \"\\")], lexicon)
    for suggestion in (one, other, one):
        path = learning.accept(tmp_path, suggestion)
    assert [entry for _, entry in lexicons.entries(path)] == [one.entry, other.entry]
    assert main(["lexicon", "check", str(path.parent)]) == 0


def test_what_somebody_wrote_into_the_file_stays(lexicon: Lexicon, tmp_path: Path) -> None:
    own = '# ours\n[[misheard]]\nread = "stent"\nheard = ["stemp"]\n\n[[part]]\nname = "tip"\nspoken = ["tip"]\n'
    path = tmp_path / "lexicons" / "learned.toml"
    path.parent.mkdir()
    path.write_text(own)
    learning.accept(tmp_path, learned([read(drafted(MISHEARD, lexicon), "clopidrogo", "clopidogrel")], lexicon))
    assert path.read_text().startswith(own)
    assert len(lexicons.entries(path)) == 3


def test_a_file_that_cannot_be_written_is_told(lexicon: Lexicon, tmp_path: Path) -> None:
    (tmp_path / "lexicons").write_text("no folder")
    found = learned([read(drafted(MISHEARD, lexicon), "clopidrogo", "clopidogrel")], lexicon)
    with pytest.raises(Exception, match="cannot be made"):
        learning.accept(tmp_path, found)


# --- the command


def test_the_command_lists_and_accepts(lexicon: Lexicon, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("sqlalchemy")
    where = str(tmp_path / "store")
    timeline = drafted("Clopidrogo given. Then hopper in five thousand units.", lexicon)
    kept_case(where, timeline)
    assert main(["lexicon", "suggest", "--store", where]) == 0
    said = capsys.readouterr().out
    assert "  1  “clopidrogo” → clopidogrel: put right by hand once in one case, by A. Operator\n" in said
    assert "     sound: case 1 at 0:00\n" in said
    assert "  -  “hopper in” → heparin: no, it is made of words of the language alone" in said
    assert main(["lexicon", "suggest", "--store", where, "--accept", "1"]) == 2
    assert main(["lexicon", "suggest", "--store", where, "--accept", "2", "--as", "K"]) == 2
    assert "--accept 2: there are 1 proposals" in capsys.readouterr().err
    assert main(["lexicon", "suggest", "--store", where, "--accept", "1", "--as", "A. Keeper"]) == 0
    assert "learned.toml: “clopidrogo” is read clopidogrel from the next draft on" in capsys.readouterr().out
    assert main(["lexicon", "suggest", "--store", where]) == 0
    assert "clopidrogo" not in capsys.readouterr().out


# --- the API


@pytest.fixture
def served(lexicon: Lexicon, tmp_path: Path) -> Iterator[Served]:
    timeline = drafted("Clopidrogo given. Then hopper in five thousand units.", lexicon)
    desk = serve(tmp_path / "store", timeline)
    correct(desk.store, desk.case)
    yield desk
    desk.store.close()


def test_a_keeper_is_told_and_accepts(served: Served, lexicon: Lexicon) -> None:
    client = served.client("A. Keeper", ("keeper",))
    proposed, refused = client.get("/api/suggestions").json()
    assert (proposed["heard"], proposed["read"], proposed["state"]) == ("clopidrogo", "clopidogrel", "proposed")
    assert (proposed["count"], proposed["cases"], proposed["near"]) == (1, 1, [])
    assert proposed["clips"] == [{"case": 1, "start_ms": 0, "end_ms": 350, "by": "A. Operator"}]
    assert (refused["state"], "put right only once" in refused["refused"]) == ("refused", True)
    answer = client.post(f"/api/suggestions/{proposed['id']}", json={"accept": True})
    assert (answer.status_code, answer.json()["state"]) == (200, "accepted")
    assert [each["heard"] for each in client.get("/api/suggestions").json()] == ["hopper in"]
    taught = load(learning.learned_folder(served.store.folder))
    assert [event.drug for event in drafted("Clopidrogo given.", taught).events] == ["clopidogrel"]
    log = [(row.who, row.what) for row in served.store.access_log()]
    assert ("A. Keeper", f"accepted the suggestion {proposed['id']}") in log


def test_what_is_declined_is_told_as_that_and_not_learned(served: Served) -> None:
    client = served.client("A. Keeper", ("keeper",))
    proposed = client.get("/api/suggestions").json()[0]
    assert client.post(f"/api/suggestions/{proposed['id']}", json={"accept": False}).json()["state"] == "declined"
    assert client.get("/api/suggestions").json()[0]["state"] == "declined"
    assert learning.learned_folder(served.store.folder) is None


def test_what_is_refused_cannot_be_accepted(served: Served) -> None:
    client = served.client("A. Keeper", ("keeper",))
    refused = client.get("/api/suggestions").json()[1]
    answer = client.post(f"/api/suggestions/{refused['id']}", json={"accept": True})
    assert answer.status_code == 422
    assert "put right only once" in answer.json()["error"]["message"]
    assert served.store.decisions() == {}
    assert client.post("/api/suggestions/0123456789ab", json={"accept": True}).status_code == 404


@pytest.mark.parametrize("role", ["operator", "educator", "auditor"])
def test_only_a_keeper_of_lexicons_may(served: Served, role: Role) -> None:
    client = served.client(f"An {role}", (role,))
    assert client.get("/api/suggestions").status_code == 403
    assert client.post("/api/suggestions/0123456789ab", json={"accept": True}).status_code == 403


def kept_case(where: str, timeline: Timeline) -> None:
    """A case in a store, with two corrections by hand."""
    with open_store(where) as store:
        case = store.new_case("A case", "A. Operator")
        store.job_done(case, timeline)
        correct(store, case)


def correct(store: Store, case: int) -> None:
    for words, term in (((0, 1), "clopidogrel"), ((3, 5), "heparin")):
        store.revise(case, store.timeline(case)[0], edits.ReadAs(words=words, read=term), "A. Operator")
