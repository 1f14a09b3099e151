"""The one-page summary."""

from textwrap import dedent

from extractor.handover.summary import WIDTH, write_summary
from extractor.model import MadeBy, Recording, Timeline


def test_the_whole_page(small_timeline: Timeline) -> None:
    expected = """\
        DRAFT TIMELINE OF A PROCEDURE
        A draft until signed by the responsible clinician. It advises nothing: device instructions,
        local policy and licensed practice come first.

        Case      note-1.opus, 0:11 long
        Heard by  speech model base (cdcdcdcd); extractor 0.0.0
        Events    4 done, 1 considered, 1 negated

        NEEDS A LOOK
            0:02  e0003    Balloon inflation. 14 atm or 40 atm?
            0:07  gap      No words until 0:07. Speech-like sound.
            0:08  words    heard “Contrast”, read contact?
                  caution  The wire was never said to come out.

        STEPS
            0:00  e0001    Access; right groin
            0:01  e0002    Heparin
            0:02  e0003    Balloon inflation; right superficial femoral artery, mid; (6 × 80 mm),
                           14 atm?
            0:06  e0004    No dissection

        TOTALS
            0:08  e0006    contrast 85 mL

        14 atm? wants a look. (6 mm) was said earlier in the case, not at this step.
        """
    assert write_summary(small_timeline) == dedent(expected)


def test_a_case_without_events_says_so() -> None:
    made_by = MadeBy(extractor="0.0.0", speech_model=None, lexicons={})
    page = write_summary(Timeline(recording=Recording(sha256="", duration_ms=0), made_by=made_by, words=()))
    assert "Events    none\n" in page
    assert "a transcript, no speech model" in page
    assert "STEPS\n  none\n" in page


def test_no_line_is_wider_than_the_page(small_timeline: Timeline) -> None:
    assert max(map(len, write_summary(small_timeline).splitlines())) <= WIDTH
