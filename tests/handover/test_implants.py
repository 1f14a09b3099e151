"""Labels by the GS1 application identifiers, and the list of implants, read back by other programs."""

import csv
from datetime import date
from io import BytesIO, StringIO

import biip
import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from extractor.errors import InputError
from extractor.handover import gs1, implants
from extractor.handover.export import Wishes, export
from extractor.handover.particulars import Particulars
from extractor.handover.wording import plain
from extractor.model import Kind, SignedTimeline, Status, Timeline
from tests.handover.conftest import HOSTILE

GS = gs1.GROUP
LABEL = "(01)09506000134352(17)280131(10)LOT-7(21)0042"

READ = [
    pytest.param(LABEL, ("09506000134352", "LOT-7", "0042", date(2028, 1, 31)), id="with-brackets"),
    pytest.param(
        f"010950600013435217280131{'10LOT-7'}{GS}210042",
        ("09506000134352", "LOT-7", "0042", date(2028, 1, 31)),
        id="scanned",
    ),
    pytest.param(f"]d20109506000134352{GS}10A", ("09506000134352", "A", None, None), id="symbology-identifier"),
    pytest.param(
        "(01)09506000134352(17)280200", ("09506000134352", None, None, date(2028, 2, 29)), id="day-00-is-the-last"
    ),
    pytest.param("(10)A(B)C", (None, "A(B)C", None, None), id="brackets-in-a-lot"),
    pytest.param("(17)991231(10)A", (None, "A", None, date(1999, 12, 31)), id="the-century-before"),
    pytest.param("(17)761231(10)A", (None, "A", None, date(2076, 12, 31)), id="this-century"),
]


@pytest.mark.parametrize(("text", "wanted"), READ)
def test_a_label_is_read(text: str, wanted: tuple[object, ...]) -> None:
    label = gs1.parse(text)
    assert (label.device, label.lot, label.serial, label.expires_on) == wanted
    assert label.faults == ()


FAULTS = [
    pytest.param("(01)09506000134353", "its check digit does not fit", id="check-digit"),
    pytest.param("(01)0950600013435", "must have 14 letters", id="too-short"),
    pytest.param("(10)" + "A" * 21, "has at most 20 letters", id="lot-too-long"),
    pytest.param("(17)281301(10)A", "281301 is no date", id="month-13"),
    pytest.param("(17)280230(10)A", "280230 is no date", id="30-february"),
    pytest.param("(17)28023x(10)A", "28023x is no date", id="letters-in-a-date"),
    pytest.param("(10)A€", "holds a letter that is none of GS1's", id="strange-letter"),
    pytest.param("(10)A(10)B", "stands there twice", id="two-lots"),
    pytest.param("0109506000134352" + "99secret", "“99secret” is no application identifier", id="unknown-behind"),
]


@pytest.mark.parametrize(("text", "fault"), FAULTS)
def test_what_does_not_fit_is_told_and_kept(text: str, fault: str) -> None:
    assert any(fault in each for each in gs1.parse(text).faults)


@pytest.mark.parametrize("text", ["", "hello", "(99)x", "98"], ids=["empty", "words", "unknown", "digits"])
def test_what_is_no_label_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="no GS1 application identifier"):
        gs1.parse(text)


#: A number of 13 digits with its check digit, as an independent program makes it.
GTIN = st.text("0123456789", min_size=13, max_size=13).map(
    lambda digits: digits + str(biip.checksums.gs1_standard_check_digit(digits))
)
TEXT = st.text("ABCxyz019-./", min_size=1, max_size=20)
DAY = st.dates(date(2000, 1, 1), date(2049, 12, 31))


@given(GTIN, TEXT, TEXT, DAY)
def test_an_independent_parser_reads_the_same(gtin: str, lot: str, serial: str, day: date) -> None:
    scanned = f"01{gtin}17{day:%y%m%d}10{lot}{GS}21{serial}"
    other = biip.parse(scanned).gs1_message
    assert other is not None
    label = gs1.parse(scanned)
    read = {ai: other.element_strings.filter(ai=ai)[0] for ai in ("01", "10", "17", "21")}
    assert (label.device, label.lot, label.serial) == tuple(read[ai].value for ai in ("01", "10", "21"))
    assert label.expires_on == read["17"].date == day
    assert gs1.parse(f"(01){gtin}(17){day:%y%m%d}(10){lot}(21){serial}") == gs1.Label(
        f"(01){gtin}(17){day:%y%m%d}(10){lot}(21){serial}", gtin, lot, serial, None, day
    )


@given(st.text("0123456789", min_size=2, max_size=18))
def test_check_digits_are_those_of_another_program(digits: str) -> None:
    expected = str(biip.checksums.gs1_standard_check_digit(digits[:-1])) == digits[-1]
    assert gs1.check_digit_fits(digits) is expected


@given(st.text(max_size=60))
def test_no_text_breaks_the_reader(text: str) -> None:
    try:
        gs1.parse(text)
    except InputError:
        return


# --- the list


def used(timeline: Timeline) -> list[str]:
    kinds = (Kind.INSERT, Kind.INFLATION, Kind.STENT, Kind.EMBOLISE)
    return [
        event.id
        for event in timeline.events
        if event.status is Status.DONE and (event.kind in kinds or (event.kind is Kind.CLOSURE and event.device))
    ]


def stent(timeline: Timeline) -> str:
    return next(each.id for each in timeline.events if each.kind is Kind.STENT and each.status is Status.DONE)


def wishes(timeline: Timeline, label: str = LABEL, day: str | None = "2026-11-26") -> Wishes:
    started = f"{day}T09:30:00+00:00" if day else None
    return Wishes(particulars=Particulars.model_validate({"started_at": started, "barcodes": {stent(timeline): label}}))


def read_csv(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(content.decode(), newline=""), strict=True))


def test_every_device_and_size_is_read_back(demo: SignedTimeline) -> None:
    read = read_csv(export(demo, "implants-csv", wishes(demo))[""])
    assert [row["event"] for row in read] == used(demo)
    events = {event.id: event for event in demo.events}
    for row in read:
        event = events[row["event"]]
        assert row["device"] == (event.device or "")
        for key in ("gauge", "wire_diameter", "diameter", "length", "count", "volume"):
            value = event.values.get(key)
            assert (row[key], row[f"{key}_unit"]) == (
                (str(value.value).removesuffix(".0"), value.unit) if value else ("", "")
            )
    (implant,) = (row for row in read if row["use"] == "implant")
    assert implant["event"] == stent(demo)


def test_the_workbook_holds_the_same(demo: SignedTimeline) -> None:
    read = read_csv(export(demo, "implants-csv", wishes(demo))[""])
    sheet = openpyxl.load_workbook(BytesIO(export(demo, "implants-xlsx", wishes(demo))[""]))["Implants"]
    _, heads, *lines = sheet.iter_rows(values_only=True)
    assert list(heads) == [column.name for column in implants.COLUMNS]
    for row, line in zip(read, lines, strict=True):
        cells = ["" if cell is None else str(cell).lower() if isinstance(cell, bool) else str(cell) for cell in line]
        assert [cell.removesuffix(".0") for cell in cells] == [
            cell.removesuffix(".0").removeprefix("'") for cell in row.values()
        ]


EXPIRY = [
    pytest.param("2028-01-31", "false", "", id="the-last-day"),
    pytest.param("2028-02-01", "true", "expired on 2028-01-31, used on 2028-02-01", id="the-day-after"),
    pytest.param(None, "", "the day of the case is not known", id="no-day"),
]


@pytest.mark.parametrize(("day", "expired", "caution"), EXPIRY)
def test_an_expired_device_is_flagged(demo: SignedTimeline, day: str | None, expired: str, caution: str) -> None:
    read = read_csv(export(demo, "implants-csv", wishes(demo, day=day))[""])
    (row,) = (row for row in read if row["label"])
    assert (row["device_identifier"], row["lot"], row["serial"]) == ("09506000134352", "LOT-7", "0042")
    assert (row["expires_on"], row["expired"]) == ("2028-01-31", expired)
    assert row["cautions"].startswith(caution)
    assert bool(row["cautions"]) is bool(caution)


def test_what_was_not_scanned_is_left_empty(demo: SignedTimeline) -> None:
    for row in read_csv(export(demo, "implants-csv")[""]):
        assert {row[name] for name in ("device_identifier", "lot", "serial", "expires_on", "label", "expired")} == {""}


def test_a_barcode_of_no_device_is_refused(demo: SignedTimeline) -> None:
    with pytest.raises(InputError, match="e9999 is no device that was used"):
        export(demo, "implants-csv", Wishes(particulars=Particulars(barcodes={"e9999": LABEL})))


def test_hostile_text_is_intact_and_inert(hostile: SignedTimeline) -> None:
    wanted = [plain(text) for text in HOSTILE]
    rows = list(csv.reader(StringIO(export(hostile, "implants-csv")[""].decode(), newline="")))
    at = rows[0].index("device")
    guarded = ["'" + text if text.startswith(tuple("=+-@'＝")) else text for text in wanted]
    assert [row[at] for row in rows[1:]] == guarded
    assert not [cell for row in rows for cell in row if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    sheet = openpyxl.load_workbook(BytesIO(export(hostile, "implants-xlsx")[""]))["Implants"]
    _, _, *lines = sheet.iter_rows()
    assert [line[at].value for line in lines] == [text.replace("_x0041_", "_x005F_x0041_") for text in wanted]
    assert {cell.data_type for line in lines for cell in line} <= set("snb")
