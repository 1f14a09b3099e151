"""Logs in every form -> their inflations; and what cannot be read is refused with its row, column and cure."""

import time as clock
from collections.abc import Callable
from datetime import datetime, timedelta
from datetime import time as time_of_day
from pathlib import Path

import numpy as np
import openpyxl
import pyarrow
import pytest
from pyarrow import parquet

from extractor.audit.pressure_log import PressureLog, read_log
from extractor.errors import InputError

#: Two balloons, a sample a second: 0 to 240 s, peaks 12 atm at 66 s for 30 s, 8 atm at 154 s for 20 s.
SECONDS = list(range(240))
ATM = [
    round(float(level), 2)
    for level in np.interp(SECONDS, [0, 60, 66, 96, 99, 150, 154, 174, 176, 240], [0, 0, 12, 12, 0, 0, 8, 8, 0, 0])
]
TEN = datetime(2026, 3, 4, 10)
FACTORS = {"atm": 1, "bar": 1.01325, "kPa": 101.325, "psi": 14.69595, "mmHg": 760}


def text_of(rows: list[list[object]], sign: str = ",") -> str:
    return "".join(sign.join("" if cell is None else str(cell) for cell in row) + "\n" for row in rows)


def written(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8")
    return path


def rows_of(header: list[object], times: list[object], pressures: list[object]) -> list[list[object]]:
    return [header, *([each, pressure] for each, pressure in zip(times, pressures, strict=True))]


def peaks(log: PressureLog) -> list[tuple[float, float, float | None]]:
    return [(each.peak_ms / 1000, each.atm, each.hold_s) for each in log.inflations]


def both(start_s: float = 0) -> list[object]:
    wanted = ((66, 12, 31), (154, 8, 21))
    return [
        (pytest.approx(start_s + at, abs=1.1), pytest.approx(atm, abs=0.1), pytest.approx(hold, abs=2))
        for at, atm, hold in wanted
    ]


# --- every form of file


def csv(tmp: Path) -> Path:
    return written(tmp / "log.csv", text_of(rows_of(["time_s", "pressure_atm"], SECONDS, ATM)))


def tsv(tmp: Path) -> Path:
    return written(tmp / "log.tsv", text_of(rows_of(["time_s", "pressure_atm"], SECONDS, ATM), "\t"))


def semicolons_and_decimal_commas(tmp: Path) -> Path:
    comma = [str(each).replace(".", ",") for each in ATM]
    return written(tmp / "log.csv", text_of(rows_of(["Time (s)", "Pressure (atm)"], SECONDS, comma), ";"))


def remarks_above(tmp: Path) -> Path:
    rows = [["Pump log"], ["serial", "00017"], [], *rows_of(["t", "n", "P [atm]"], SECONDS, ATM)]
    rows[4:] = [[at, 1, atm] for at, atm in rows[4:]]
    return written(tmp / "log.csv", text_of(rows))


def utf_16(tmp: Path) -> Path:
    (tmp / "log.txt").write_bytes(text_of(rows_of(["time_s", "pressure_atm"], SECONDS, ATM), "\t").encode("utf-16"))
    return tmp / "log.txt"


def xlsx(tmp: Path) -> Path:
    book = openpyxl.Workbook()
    for row in rows_of(["time_s", "pressure_atm"], SECONDS, ATM):
        book.active.append(row)
    with (tmp / "log").open("wb") as file:
        book.save(file)
    return tmp / "log"


def parquet_file(tmp: Path) -> Path:
    parquet.write_table(pyarrow.table({"time_s": SECONDS, "pressure_atm": ATM, "note": ["x"] * 240}), tmp / "log.pq")
    return tmp / "log.pq"


def milliseconds(tmp: Path) -> Path:
    return written(tmp / "log.csv", text_of(rows_of(["time_ms", "atm"], [1000 * each for each in SECONDS], ATM)))


def minutes(tmp: Path) -> Path:
    return written(tmp / "log.csv", text_of(rows_of(["Elapsed (min)", "atm"], [each / 60 for each in SECONDS], ATM)))


FORMS = [
    pytest.param(make, id=make.__name__.replace("_", "-"))
    for make in (
        csv, tsv, semicolons_and_decimal_commas, remarks_above, utf_16, xlsx, parquet_file, milliseconds, minutes,
    )
]  # fmt: skip


@pytest.mark.parametrize("make", FORMS)
def test_every_form_is_read(make: Callable[[Path], Path], tmp_path: Path) -> None:
    log = read_log(make(tmp_path))
    assert (log.clock, log.day, log.rows, log.unit) == ("seconds", None, "samples", "atm")
    assert peaks(log) == both()


@pytest.mark.parametrize("header", ["pressure_{}", "Pressure ({})", "P [{}]", "{}", "balloon {}"])
@pytest.mark.parametrize("unit", FACTORS)
def test_units_are_read_off_the_header(unit: str, header: str, tmp_path: Path) -> None:
    pressures: list[object] = [each * FACTORS[unit] for each in ATM]
    path = written(tmp_path / "log.csv", text_of(rows_of(["time", header.format(unit)], list(SECONDS), pressures)))
    assert peaks(read_log(path)) == both()


@pytest.mark.parametrize("unit", FACTORS)
def test_units_are_told(unit: str, tmp_path: Path) -> None:
    pressures: list[object] = [each * FACTORS[unit] for each in ATM]
    path = written(tmp_path / "log.csv", text_of(rows_of(["time", "pressure"], list(SECONDS), pressures)))
    assert peaks(read_log(path, unit=unit)) == both()


# --- every form of time

TIMES = [
    pytest.param([f"{TEN + timedelta(seconds=each):%H:%M:%S}" for each in SECONDS], 36_000, None, id="clock"),
    pytest.param([f"{TEN + timedelta(seconds=each):%H:%M:%S}.250" for each in SECONDS], 36_000.25, None, id="fraction"),
    pytest.param([f"{TEN + timedelta(hours=4, seconds=each):%I:%M:%S %p}" for each in SECONDS], 50_400, None, id="pm"),
    pytest.param([(TEN + timedelta(seconds=each)).isoformat() for each in SECONDS], 36_000, "2026-03-04", id="iso"),
    pytest.param(
        [f"{(TEN + timedelta(seconds=each)).isoformat(sep=' ')}+01:00" for each in SECONDS],
        36_000, "2026-03-04", id="iso with a zone",
    ),
    pytest.param(
        [f"{TEN + timedelta(hours=13, minutes=59, seconds=each):%H:%M:%S}" for each in SECONDS],
        86_340, None, id="past midnight",
    ),
    pytest.param(
        [(TEN + timedelta(hours=13, minutes=59, seconds=each)).isoformat() for each in SECONDS],
        86_340, "2026-03-04", id="iso past midnight",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("times", "start_s", "day"), TIMES)
def test_times_of_day_count_from_midnight(times: list[object], start_s: float, day: str | None, tmp_path: Path) -> None:
    log = read_log(written(tmp_path / "log.csv", text_of(rows_of(["time", "pressure_atm"], times, list(ATM)))))
    assert peaks(log) == both(start_s)
    assert log.day == day


CELLS = [
    pytest.param([TEN + timedelta(seconds=each) for each in SECONDS], id="dates"),
    pytest.param([time_of_day(10, each // 60, each % 60) for each in SECONDS], id="times"),
]


@pytest.mark.parametrize("times", CELLS)
def test_cells_of_a_spreadsheet_that_are_times(times: list[object], tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for row in rows_of(["when", "time", "atm"], times, list(ATM))[:1]:
        book.active.append(row[1:])
    for each, atm in zip(times, ATM, strict=True):
        book.active.append([each, atm])
    book.save(tmp_path / "log.xlsx")
    assert peaks(read_log(tmp_path / "log.xlsx")) == both(36_000)


def test_times_of_parquet(tmp_path: Path) -> None:
    times = pyarrow.array([TEN + timedelta(seconds=each) for each in SECONDS], pyarrow.timestamp("us"))
    parquet.write_table(pyarrow.table({"timestamp": times, "bar": [each * 1.01325 for each in ATM]}), tmp_path / "log")
    assert peaks(read_log(tmp_path / "log")) == both(36_000)


# --- lists of inflations

LISTS = [
    pytest.param(
        "start,peak_atm,hold_s\n10:00:00,12,30\n10:05:00,8.5,\n", [(36_000, 12, 30), (36_300, 8.5, None)], id="holds"
    ),
    pytest.param("start_s,end_s,bar\n60,90,12.159\n300,420,8\n", [(60, 12, 30), (300, 7.9, 120)], id="ends"),
    pytest.param("time_s,psi\n60,176.35\n300,147\n900,147\n", [(60, 12, None), (300, 10, None), (900, 10, None)],
                 id="peaks alone"),
    pytest.param("start,end,atm\n23:59:50,00:00:20,12\n", [(86_390, 12, 30)], id="over midnight"),
    pytest.param("time_s,atm\n60,2\n300,12\n", [(60, 2, None), (300, 12, None)], id="a low one"),
    pytest.param("time_s,hold_s,atm\n300,5,8\n60,5,12\n", [(60, 12, 5), (300, 8, 5)], id="out of order"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "wanted"), LISTS)
def test_lists_are_read(text: str, wanted: list[tuple[float, float, float | None]], tmp_path: Path) -> None:
    log = read_log(written(tmp_path / "log.csv", text))
    assert log.rows == "inflations"
    assert peaks(log) == [(at, pytest.approx(atm, abs=0.05), hold) for at, atm, hold in wanted]


def test_what_a_row_is_can_be_told(tmp_path: Path) -> None:
    text = "time_s,atm\n0,0\n60,12\n120,12\n180,0\n"
    with pytest.raises(InputError, match="--rows"):
        read_log(written(tmp_path / "log.csv", text))
    assert len(read_log(tmp_path / "log.csv", rows="inflations").inflations) == 2
    assert len(read_log(tmp_path / "log.csv", rows="samples").inflations) == 1


@pytest.mark.parametrize("step", [1, 3, 10, 15], ids="every {} s".format)
def test_samples_are_told_from_inflations(step: int, tmp_path: Path) -> None:
    rows = [[each * 4, atm] for each, atm in zip(SECONDS, ATM, strict=True)][::step]
    long = [*rows, *([1000 + 10 * each, 0] for each in range(40))]
    assert read_log(written(tmp_path / "log.csv", text_of([["time_s", "atm"], *long]))).rows == "samples"


# --- what is put right is said


def changed(at: int, time: object = None, pressure: object = None) -> str:
    rows = rows_of(["time_s", "pressure_atm"], list(SECONDS), list(ATM))
    rows[at] = [rows[at][0] if time is None else time, rows[at][1] if pressure is None else pressure]
    return text_of(rows)


REPAIRED = [
    pytest.param(changed(5, pressure="NaN"), "1 of 240 rows have no time or no pressure", id="nan"),
    pytest.param(changed(5, pressure="n/a"), "1 of 240 rows have no time or no pressure", id="n/a"),
    pytest.param(changed(5, time="-"), "1 of 240 rows have no time or no pressure", id="no time"),
    pytest.param(changed(5, pressure="-7"), "1 samples below a vacuum were left out, the first in row 6", id="vacuum"),
    pytest.param(changed(5, pressure="4000"), "above 60 atm were left out, the first in row 6", id="too high"),
    pytest.param(changed(5, time="6.5"), "1 rows were out of order", id="order"),
]


@pytest.mark.parametrize(("text", "said"), REPAIRED)
def test_what_is_put_right_is_said(text: str, said: str, tmp_path: Path) -> None:
    log = read_log(written(tmp_path / "log.csv", text))
    assert said in " ".join(log.repairs)
    assert peaks(log) == both()


def test_a_unit_told_against_the_header_is_said(tmp_path: Path) -> None:
    log = read_log(csv(tmp_path), unit="bar")
    assert "was read in bar" in " ".join(log.repairs)
    assert log.inflations[0].atm == pytest.approx(12 / 1.01325, abs=0.1)


# --- what cannot be read is refused


def samples(header: str, time: Callable[[int], object], factor: float = 1) -> str:
    rows = ((time(each), atm * factor) for each, atm in zip(SECONDS, ATM, strict=True))
    return f"{header}\n" + "".join(f"{each},{pressure}\n" for each, pressure in rows)


REFUSED = [
    pytest.param(samples("time_s,pressure", int), "tells no unit", "--unit", id="no unit"),
    pytest.param(samples("time_s,pressure_mbar", int), "'pressure_mbar' is not read", "bar", id="unknown unit"),
    pytest.param(samples("time_s,atm_or_bar", int), "'atm_or_bar' is not read", "atm", id="two units"),
    pytest.param(samples("time_s,pressure_atm", int, 101), "row 63, column 'pressure_atm'", "--unit", id="kPa as atm"),
    pytest.param(samples("time_s,pressure_kPa", int), "never reaches 1 atm", "--unit", id="atm as kPa"),
    pytest.param(samples("time_s,pressure_atm", int, -1), "row 63, column 'pressure_atm'", "zero", id="negative"),
    pytest.param(samples("t,atm", lambda each: each if each < 7 else "10:00:07"), "row 9", "one form", id="mixed"),
    pytest.param(samples("t,atm", lambda each: "10:00:07" if each < 7 else TEN), "row 9", "one form", id="dates mixed"),
    pytest.param(samples("time,atm", lambda each: f"10:{each % 60:02}"), "row 2, column 'time'", "10:32:05", id="h:mm"),
    pytest.param(samples("time,atm", lambda each: "soon"), "'soon' is no number", "leave it empty", id="no time"),
    pytest.param(samples("time,atm", lambda each: "2026-13-04T10:00"), "is no time", "seconds", id="no date"),
    pytest.param(samples("time,atm", lambda each: each * 10_000), "28 days", "time_ms", id="milliseconds as seconds"),
    pytest.param(samples("time,atm", lambda each: each % 50), "time goes back", "file of its own", id="logs in a row"),
    pytest.param(samples("time,atm", lambda each: 7), "never changes", "--time-column", id="one time"),
    pytest.param(samples("time,time,atm", int), "'time'", "rename", id="two times"),
    pytest.param("time,atm,atm\n0,1,1\n", "two columns are named 'atm'", "rename", id="two of one name"),
    pytest.param("time,atm,bar\n0,1,1\n", "'atm' and 'bar' can each", "--pressure-column", id="two pressures"),
    pytest.param("t,clock,bar\n0,1,1\n", "'t' and 'clock' can each", "--time-column", id="two clocks"),
    pytest.param("0,12\n1,12\n", "no row of it names a time and a pressure", "header", id="no header"),
    pytest.param("time,flow\n1,12\n", "no row of it names a time", "--pressure-column", id="no pressure"),
    pytest.param("time_s,atm\n", "empty", "with times", id="header alone"),
    pytest.param("time_s,atm\n,\n,\n", "empty", "with times", id="empty rows"),
    pytest.param("time_s,atm\n1,\n2,\n", "no row has both", "both", id="no pressures"),
    pytest.param("", "empty", "CSV", id="empty file"),
    pytest.param(changed(7, pressure="12,5"), "row 8: 3 cells", "semicolons", id="decimal comma among commas"),
    pytest.param(changed(7, pressure="high"), "row 8, column 'pressure_atm': 'high' is no number", "empty", id="word"),
    pytest.param(changed(7, pressure="inf"), "row 8, column 'pressure_atm': infinite", "empty", id="infinite"),
    pytest.param(
        "time_s,atm\n" + "".join(f"{each}0,12\n" for each in range(1001)), "more than 1,000", "one case", id="too many"
    ),
    pytest.param("time_s,end_s,atm\n60,50,12\n", "ends before it begins", "put its row right", id="ends before"),
    pytest.param("time,end_s,atm\n10:00:00,50,12\n", "in two forms", "in one", id="two forms of time"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "cause", "cure"), REFUSED)
def test_what_cannot_be_read_is_refused(text: str, cause: str, cure: str, tmp_path: Path) -> None:
    path = written(tmp_path / "log.csv", text)
    with pytest.raises(InputError) as error:
        read_log(path)
    assert str(error.value).startswith(str(path))
    assert cause in str(error.value)
    assert cure in str(error.value).split(";", 1)[-1]


FILES = [
    pytest.param(b"\x00\x01\x02\x03" * 50, "not a table", id="bytes"),
    pytest.param(b"time,atm\n1,\xff\xfe\n", "row 2", id="not UTF-8"),
    pytest.param(b"PK\x03\x04 nothing", "not a readable spreadsheet", id="broken XLSX"),
    pytest.param(b"PAR1 nothing", "not readable Parquet", id="broken Parquet"),
    pytest.param(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "old spreadsheet", id="XLS"),
]


@pytest.mark.parametrize(("content", "cause"), FILES)
def test_what_is_no_table_is_refused(content: bytes, cause: str, tmp_path: Path) -> None:
    (tmp_path / "log").write_bytes(content)
    with pytest.raises(InputError, match=cause) as error:
        read_log(tmp_path / "log")
    assert ";" in str(error.value)


@pytest.mark.parametrize("make", [xlsx, parquet_file], ids=["XLSX", "Parquet"])
def test_a_damaged_file_is_refused_or_read(make: Callable[[Path], Path], tmp_path: Path) -> None:
    """Whatever is damaged: an answer or one clear line. Its name tells nothing of its form."""
    whole = make(tmp_path).read_bytes()
    random = np.random.default_rng(5)
    path = tmp_path / "damaged"
    refused = []
    for _ in range(30):
        content = bytearray(whole)
        for place in random.integers(4, len(content), 4):
            content[place] = random.integers(256)
        path.write_bytes(content[: random.integers(100, 2 * len(content))])
        try:
            read_log(path)
        except InputError as error:
            refused.append(str(error))
    assert refused
    assert [line for line in refused if str(path) not in line or ";" not in line] == []


@pytest.mark.parametrize("place", ["missing", "."], ids=["missing", "a folder"])
def test_a_place_that_is_no_file_is_refused(place: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_log(tmp_path / place)


def test_columns_of_any_name_can_be_told(tmp_path: Path) -> None:
    path = written(tmp_path / "log.csv", samples("zeit,atm,druck\n".replace("atm,", "").strip(), int))
    assert peaks(read_log(path, time_column="zeit", pressure_column="Druck", unit="atm")) == both()


OPTIONS = [
    pytest.param({"unit": "inches"}, "--unit inches", id="unit"),
    pytest.param({"rows": "both"}, "--rows both", id="rows"),
    pytest.param({"time_column": "nowhere"}, "--time-column", id="column"),
]


@pytest.mark.parametrize(("options", "named"), OPTIONS)
def test_options_that_fit_nothing_are_refused(options: dict[str, str], named: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=named):
        read_log(csv(tmp_path), **options)  # type: ignore[arg-type]


# --- size


@pytest.mark.parametrize(
    ("rows", "wanted"),
    [
        pytest.param(100_000, 8, id="a hundred thousand"),
        pytest.param(1_000_000, 84, id="a million", marks=pytest.mark.slow),
    ],
)
def test_many_rows(rows: int, wanted: int, tmp_path: Path) -> None:
    """A hundred samples a second. The time is generous, for a machine that others use too: a million takes 1.5 s."""
    at = np.arange(rows) / 100
    atm = np.interp(at % 240, SECONDS, ATM) + np.random.default_rng(3).normal(0, 0.1, len(at))
    lines = (f"{each:.2f},{pressure:.3f}" for each, pressure in zip(at.tolist(), atm.tolist(), strict=True))
    path = written(tmp_path / "log.csv", "\n".join(("time_s,pressure_atm", *lines)))
    started = clock.process_time()
    log = read_log(path)
    assert clock.process_time() - started < 1 + 10e-6 * rows
    assert len(log.inflations) == wanted
