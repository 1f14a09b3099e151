"""What is handed over: an invented case and a hostile one, each signed with a key that is the same at every run."""

from datetime import date, datetime
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from extractor import draft_folder, lexicon, pipeline, signing
from extractor.handover.export import Wishes
from extractor.handover.particulars import Particulars, Patient
from extractor.listening.transcripts import read_transcript
from extractor.model import Change, Revision, SignedTimeline, Site, Timeline

KEY = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
WHEN = "2026-11-26T09:30:00+00:00"

#: What a word, a name or a reason may hold when somebody means ill, and what merely looks odd.
HOSTILE = (
    "=HYPERLINK(\"http://example.org\",\"x\")", "+1+1", "-2+3", "@SUM(A1)", "'quoted", "＝1+1", "#N/A", "_x0041_",
    "<script>alert(1)</script>", "</w:t><b>&amp;&lt;", "--> 00:00", "]]>", "#import \"/etc/passwd\" #emph[x] $x$ \\*_`",
    "{\\an8}top", "עברית ומילים", "\u202eevil\u202c", "tab\tand\x00nul\x1b[31m", "a^b\\c=d", "naïve 6 × 40 µm",
    "{{7*7}}",
)  # fmt: skip


#: What an export may ask for that nobody says.
GIVEN = Wishes(
    particulars=Particulars(
        started_at=datetime.fromisoformat("2026-11-26T09:30:00.250+01:00"),
        site="Invented Hospital, Room 2",
        procedure="Angioplasty",
        patient=Patient(
            id="T-1", id_issuer="Invented Hospital", family_name="Invented", given_name="Pat",
            birth_date=date(1950, 1, 31), sex="female",
        ),
    )
)  # fmt: skip


def sign(timeline: Timeline) -> SignedTimeline:
    """Signed by an invented operator: the first open point left open, the others looked at."""
    first, *others = timeline.open_points or (None,)
    left_open = {first: "not to be made out"} if first else {}
    return signing.sign(
        timeline, KEY, name="A. Operator", signed_at=WHEN, looked_at=[each for each in others if each],
        left_open=left_open,
    )  # fmt: skip


@pytest.fixture(scope="session")
def demo_draft(fixtures: Path) -> Timeline:
    """The shipped case that the documents show, drafted from its transcript."""
    return pipeline.interpret(read_transcript(fixtures / "calf-claudication" / "transcript.vtt"), lexicon.load())


@pytest.fixture(scope="session")
def demo(demo_draft: Timeline) -> SignedTimeline:
    return sign(demo_draft)


@pytest.fixture
def demo_case(demo_draft: Timeline, demo: SignedTimeline, tmp_path: Path) -> Path:
    """The folder of the signed case."""
    draft_folder.write(demo_draft, tmp_path / "demo")
    draft_folder.rewrite(demo, tmp_path / "demo")
    return tmp_path / "demo"


@pytest.fixture
def small(small_timeline: Timeline) -> SignedTimeline:
    return sign(small_timeline)


@pytest.fixture
def hostile(small_timeline: Timeline) -> SignedTimeline:
    """Each hostile text once as device, drug, finding, place and heard words; twice as many events as texts."""
    model = small_timeline.events[2]
    events = []
    for number, text in enumerate(HOSTILE):
        values = {key: value.model_copy(update={"heard": text}) for key, value in model.values.items()}
        told = {"device": text, "drug": text, "finding": text, "site": Site(name=text, part=text), "values": values}
        events.append(model.model_copy(update={"id": f"e{number + 1:04}", **told}))
    words = tuple(
        word.model_copy(update={"text": text}) for word, text in zip(small_timeline.words, HOSTILE, strict=False)
    )
    checks = tuple(small_timeline.checks[0].model_copy(update={"message": text}) for text in HOSTILE)
    trail = tuple(
        Revision(number=number, at=text, by=text, what=text, why=text, changes=(Change(at="events.e0001.drug"),))
        for number, text in enumerate(HOSTILE, 1)
    )
    changes = {"events": tuple(events), "checks": checks, "words": words + small_timeline.words[len(words) :]}
    return sign(small_timeline.model_copy(update={**changes, "revisions": trail}))
