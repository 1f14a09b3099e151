"""What an inflation pump logged -> its inflations on the log's own clock, and what had to be repaired to read them.

A log is a stream of samples, or a list with one inflation a row. Nothing is guessed in silence: what cannot be read is
refused with its row, column and cure; what was put right or left out is said in ``repairs``.
"""

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from extractor.audit.inflations import Inflation, Samples, find_inflations
from extractor.errors import InputError
from extractor.table_file import Table, Wanted, read_table
from extractor.units import convert

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

Rows = Literal["samples", "inflations"]

#: How a header or a person writes a pressure unit -> its UCUM code.
PRESSURE_UNITS = {
    "atm": "atm", "atmosphere": "atm", "atmospheres": "atm", "bar": "bar", "bars": "bar", "kpa": "kPa",
    "kilopascal": "kPa", "kilopascals": "kPa", "psi": "[psi]", "mmhg": "mm[Hg]", "torr": "mm[Hg]",
}  # fmt: skip
UNIT_NAMES = {"[psi]": "psi", "mm[Hg]": "mmHg"}
UNIT_CHOICES = ("atm", "bar", "kPa", "psi", "mmHg")
_WANTED = Wanted(
    "pressure log",
    "a time and a pressure column",
    "write a header such as time_s,pressure_atm or name the columns with --time-column and --pressure-column",
)
_OTHER_UNITS = {"mbar", "hpa", "mpa", "pa", "cmh", "inhg", "kgf", "ksi", "millibar", "pascal"}
_TIME_UNITS = {
    "s": 1.0, "sec": 1.0, "secs": 1.0, "second": 1.0, "seconds": 1.0, "ms": 0.001, "msec": 0.001, "millis": 0.001,
    "milliseconds": 0.001, "min": 60.0, "mins": 60.0, "minute": 60.0, "minutes": 60.0, "h": 3600.0, "hours": 3600.0,
}  # fmt: skip

_PRESSURE_WORDS = {"pressure", "press", "p", *PRESSURE_UNITS, *_OTHER_UNITS}
_TIME_WORDS = {"time", "t", "timestamp", "datetime", "clock", "elapsed", "start", "begin", "at", *_TIME_UNITS}
_HOLD_WORDS = {"duration", "hold", "held", "dwell"}
_END_WORDS = {"end", "stop", "deflation", "deflated"}

#: Cells that say that nothing was measured.
_NOTHING = {"", "-", "--", "nan", "na", "n/a", "null", "none", "#n/a"}
#: No pump of ours goes beyond (common practice, no source); what is beyond is most likely another unit.
HIGHEST_ATM = 60.0
#: No gauge reads less than a vacuum: -1 atm, and a little for its zero.
LOWEST_ATM = -1.3
#: So many samples beyond a limit are faults of the sensor and left out; more are a wrong unit or zero.
_FAULTS = 0.005
#: What never goes higher holds no inflation.
_FAINT_ATM = 1.0
_MOST_INFLATIONS = 1_000
_LONGEST_S = 10 * 86_400.0
_HALF_DAY_S = 43_200.0
#: Rows further apart than this, all of them under pressure, are inflations.
_SAMPLED_S = 6.0
#: More rows than these, so many of them at rest, are samples, however far apart.
_FEW, _RESTS = 30, 0.2

_CLOCK = re.compile(r"([0-9]{1,3}):([0-5][0-9]):([0-5][0-9](?:[.,][0-9]+)?)(?: ?([AaPp])\.?[Mm]\.?)?")


@dataclass(frozen=True, eq=False)
class PressureLog:
    """One log. Times in ms on its own clock: from the log's 0, or from midnight of its first day.

    ``clock``: ``seconds``, ``time-of-day`` or ``date``; ``day`` the first day where the log tells one. ``silences``
    are (start_ms, end_ms) stretches without samples; a list has none, for it does not tell, and no ``samples``.
    """

    name: str
    sha256: str
    unit: str
    clock: str
    day: str | None
    rows: Rows
    start_ms: int
    end_ms: int
    inflations: tuple[Inflation, ...]
    silences: tuple[tuple[int, int], ...]
    repairs: tuple[str, ...]
    samples: Samples | None = None


def read_log(
    path: Path,
    *,
    unit: str | None = None,
    time_column: str | None = None,
    pressure_column: str | None = None,
    rows: str | None = None,
) -> PressureLog:
    """A log file -> PressureLog. ``unit`` (one of ``UNIT_CHOICES``) and the columns are read off the header where None.

    InputError names file, row and column, and the cure.
    """

    if rows not in (None, "samples", "inflations"):
        raise InputError(f"--rows {rows}: not a kind of row; give samples or inflations")
    choose = partial(_choose_columns, path, time_column, pressure_column)
    table = read_table(path, choose, _WANTED)
    repairs: list[str] = []
    code = _pressure_unit(table, unit, repairs)
    at_s, clock, day = _read_times(table)
    atm = _read_numbers(table, "pressure") * convert(1.0, code, "atm")
    hold_s = _read_holds(table, at_s, clock)
    keep = _usable(table, at_s, atm, code, repairs)
    if clock == "time-of-day":
        at_s = _past_midnight(at_s, keep)
    order = _in_order(table, at_s, keep, listed=hold_s is not None, repairs=repairs)
    at_s, atm = at_s[order], atm[order]
    hold_s = None if hold_s is None else hold_s[order]
    if len(at_s) > 1 and at_s[-1] == at_s[0]:
        raise InputError(
            f"{path}: the column {table.names['time']!r} never changes; name the right one (--time-column)"
        )
    if float(at_s[-1] - at_s[0]) > _LONGEST_S:
        raise InputError(
            f"{path}: its times span {(at_s[-1] - at_s[0]) / 86_400:,.0f} days; give the log of one case; where "
            f"the column {table.names['time']!r} is no seconds, say so in its name, such as time_ms"
        )
    kind: Rows = "samples" if rows == "samples" else "inflations"
    if rows is None:
        kind = _kind_of_rows(table, at_s, atm, hold_s is not None)
    silences: tuple[tuple[int, int], ...] = ()
    if kind == "samples":
        found, silences = find_inflations(Samples(at_s, atm), repairs)
    else:
        found = _listed(table, at_s, atm, hold_s)
    if len(found) > _MOST_INFLATIONS:
        raise InputError(f"{path}: more than {_MOST_INFLATIONS:,} inflations; give the log of one case")
    return PressureLog(
        name=path.name,
        sha256=hashlib.sha256(path.read_bytes()).hexdigest(),
        unit=code,
        clock=clock,
        day=day,
        rows=kind,
        start_ms=round(float(at_s[0]) * 1000),
        end_ms=max([round(float(at_s[-1]) * 1000), *(each.down_ms or each.peak_ms for each in found)]),
        inflations=tuple(found),
        silences=silences,
        repairs=tuple(repairs),
        samples=Samples(at_s, atm) if kind == "samples" else None,
    )


# --- the header


def _words(name: str) -> list[str]:
    name = name.replace("kPa", "kpa").replace("mmHg", "mmhg").replace("mm[Hg]", "mmhg").replace("KPA", "kpa")
    return re.findall(r"[a-z]+", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).lower())


def _role(name: str) -> str | None:
    words = set(_words(name))
    if words & _HOLD_WORDS:
        return "hold"
    if words & _PRESSURE_WORDS and "time" not in words:
        return "pressure"
    if words & _END_WORDS:
        return "end"
    if words & _TIME_WORDS:
        return "time"
    return "date" if "date" in words else None


def _choose_columns(
    path: Path, time_column: str | None, pressure_column: str | None, names: Sequence[str]
) -> dict[str, int] | None:
    """A row of names -> role to place, or None where it is no header."""
    named = {"time": time_column, "pressure": pressure_column}
    wanted: dict[str, int] = {}
    places: dict[str, list[int]] = {}
    for place, name in enumerate(names):
        role = _role(name)
        if role:
            places.setdefault(role, []).append(place)
    places.setdefault("time", places.pop("date", []))
    for role, asked in named.items():
        if asked is not None:
            places[role] = [place for place, each in enumerate(names) if each.lower() == asked.strip().lower()]
    if not (places.get("time") and places.get("pressure")):
        return None
    for role, option in (("time", "--time-column"), ("pressure", "--pressure-column"), ("hold", ""), ("end", "")):
        found = places.get(role, [])
        if len({names[place].lower() for place in found}) < len(found):
            raise InputError(f"{path}: two columns are named {names[found[0]]!r}; rename one of them")
        if len(found) > 1:
            cure = f"name one with {option}" if option else "leave one"
            listed = " and ".join(repr(names[place]) for place in found)
            raise InputError(f"{path}: the columns {listed} can each be the {role}; {cure}")
        if found:
            wanted[role] = found[0]
    return wanted


def _pressure_unit(table: Table, unit: str | None, repairs: list[str]) -> str:
    name = table.names["pressure"]
    words = _words(name)
    said = {PRESSURE_UNITS[word] for word in words if word in PRESSURE_UNITS}
    if unit is not None:
        code = PRESSURE_UNITS.get(unit.strip().lower())
        if code is None:
            raise InputError(
                f"--unit {unit}: not a unit of pressure that is read; give one of {', '.join(UNIT_CHOICES)}"
            )
        if (said and said != {code}) or set(words) & _OTHER_UNITS:
            repairs.append(f"The column {name!r} was read in {unit}, as --unit says and its name does not.")
        return code
    if set(words) & _OTHER_UNITS or len(said) > 1:
        raise InputError(
            f"{table.path}: the unit of the column {name!r} is not read; give the log in {', '.join(UNIT_CHOICES)}"
        )
    if not said:
        raise InputError(
            f"{table.path}: the column {name!r} tells no unit; name it such as pressure_atm, or give --unit "
            f"({', '.join(UNIT_CHOICES)})"
        )
    return said.pop()


def _time_unit(name: str) -> float:
    return next((_TIME_UNITS[word] for word in reversed(_words(name)) if word in _TIME_UNITS), 1.0)


# --- cells


def _is_nothing(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and cell.strip().lower() in _NOTHING)


def _read_numbers(table: Table, role: str) -> "Array":
    """A column -> float64, NaN where nothing was measured. The first cell that is no number is named."""
    import numpy as np

    cells = table.cells[role]
    try:
        return np.array([np.nan if cell is None or cell == "" else cell for cell in cells], float)
    except (TypeError, ValueError):
        pass
    numbers = np.full(len(cells), np.nan)
    for index, cell in enumerate(cells):
        if _is_nothing(cell):
            continue
        try:
            if not isinstance(cell, str | int | float) or isinstance(cell, bool):
                raise ValueError
            text = str(cell).strip()
            numbers[index] = float(text.replace(",", ".") if table.decimal_comma else text)
        except ValueError:
            raise InputError(
                f"{table.place(role, index)}: {str(cell)[:40]!r} is no number; put a number there or leave it empty"
            ) from None
    return numbers


def _form(cell: Any) -> str:
    """How a time is written: seconds, time-of-day or date."""
    if isinstance(cell, datetime | date):
        return "date"
    if isinstance(cell, time | timedelta):
        return "time-of-day"
    if isinstance(cell, int | float):
        return "seconds"
    text = str(cell).strip()
    return "time-of-day" if ":" in text[:4] else "date" if re.match(r"[0-9]{4}-[0-9]{2}", text) else "seconds"


def _read_times(table: Table, role: str = "time") -> tuple["Array", str, str | None]:
    """A column of times -> s on the log's clock (NaN: empty), its form, and the first day where there is one."""
    import numpy as np

    cells = table.cells[role]
    first = next((index for index, cell in enumerate(cells) if not _is_nothing(cell)), None)
    if first is None:
        raise InputError(f"{table.path}: the column {table.names[role]!r} is empty; give a log with times")
    form = _form(cells[first])
    if form == "seconds":
        try:
            return _read_numbers(table, role) * _time_unit(table.names[role]), form, None
        except InputError:
            _refuse_mixed(table, role, first)
            raise
    found = np.full(len(cells), np.nan)
    read = _seconds_of_day if form == "time-of-day" else _seconds_of_date
    last_cell, last = object(), 0.0
    for index, cell in enumerate(cells):
        if _is_nothing(cell):
            continue
        # Many samples share one second: read it once.
        if cell != last_cell:
            value = read(cell)
            if value is None:
                _refuse_mixed(table, role, first)
                raise InputError(f"{table.place(role, index)}: {str(cell)[:40]!r} is no time; {_TIME_CURE}")
            last_cell, last = cell, value
        found[index] = last
    if form == "time-of-day":
        return found, form, None
    midnight = datetime(1970, 1, 1) + timedelta(days=float(np.nanmin(found) // 86_400))
    return found - (midnight - datetime(1970, 1, 1)).total_seconds(), form, midnight.date().isoformat()


def _read_holds(table: Table, at_s: "Array", clock: str) -> "Array | None":
    """How long each row's inflation was held, s, from its own column or its end; NaN where empty, None: no column."""
    import numpy as np

    if "hold" in table.cells:
        return _read_numbers(table, "hold") * _time_unit(table.names["hold"])
    if "end" not in table.cells:
        return None
    ends_s, end_clock, _ = _read_times(table, "end")
    if end_clock != clock:
        raise InputError(
            f"{table.path}: columns {table.names['time']!r} and {table.names['end']!r} tell time in two forms; "
            f"write both in one"
        )
    over_midnight = (ends_s < at_s) & (clock != "seconds")
    holds: Array = ends_s - at_s + np.where(over_midnight, 2 * _HALF_DAY_S, 0)
    return holds


_TIME_CURE = "write times as seconds, as 10:32:05 or as 2026-03-04T10:32:05"


def _refuse_mixed(table: Table, role: str, first: int) -> None:
    """Names the first time that is written otherwise than the first one; nothing where there is none."""
    cells = table.cells[role]
    for index, cell in enumerate(cells):
        if not _is_nothing(cell) and _form(cell) != _form(cells[first]):
            raise InputError(
                f"{table.place(role, index)}: {str(cell)[:40]!r} is written otherwise than {str(cells[first])[:40]!r} "
                f"in row {table.first_row + first}; {_TIME_CURE}, all in one form"
            )


def _seconds_of_day(cell: Any) -> float | None:
    if isinstance(cell, timedelta):
        return cell.total_seconds()
    if isinstance(cell, time):
        return cell.hour * 3600 + cell.minute * 60 + cell.second + cell.microsecond * 1e-6
    match = _CLOCK.fullmatch(str(cell).strip()) if isinstance(cell, str) else None
    if not match:
        return None
    hours, minutes, seconds, half = int(match[1]), int(match[2]), float(match[3].replace(",", ".")), match[4]
    if half:
        hours = hours % 12 + (12 if half in "pP" else 0)
    return hours * 3600 + minutes * 60 + seconds


def _seconds_of_date(cell: Any) -> float | None:
    """Wall-clock seconds since 1970: a zone, where one is written, is that of the wall."""
    if isinstance(cell, str):
        try:
            cell = datetime.fromisoformat(cell.strip().replace(",", "."))
        except ValueError:
            return None
    if not isinstance(cell, datetime):
        return None
    return (cell.replace(tzinfo=None) - datetime(1970, 1, 1)).total_seconds()


# --- what is usable


def _usable(table: Table, at_s: "Array", atm: "Array", code: str, repairs: list[str]) -> "Array":
    """Which rows have both a time and a pressure that can be; what is left out is said, what is too much refused."""
    import numpy as np

    name = table.names["pressure"]
    if np.isinf(atm).any() or np.isinf(at_s).any():
        role = "pressure" if np.isinf(atm).any() else "time"
        index = int(np.flatnonzero(np.isinf(atm if role == "pressure" else at_s))[0])
        raise InputError(f"{table.place(role, index)}: infinite; put a number there or leave it empty")
    blank = np.isnan(at_s) | np.isnan(atm)
    rows = int((~(np.isnan(at_s) & np.isnan(atm))).sum())
    if blank.all():
        raise InputError(f"{table.path}: no row has both a time and a pressure; give a log with both")
    if empty := int(blank.sum()) - (len(blank) - rows):
        repairs.append(f"{empty:,} of {rows:,} rows have no time or no pressure and were left out.")
    usable = ~blank
    for beyond, what, cure in (
        (atm > HIGHEST_ATM, f"above {HIGHEST_ATM:g} atm", "no balloon pump reads so high: is the unit right (--unit)?"),
        (atm < LOWEST_ATM, "below a vacuum", "is the unit right (--unit), and the sensor's zero?"),
    ):
        beyond &= usable
        if count := int(beyond.sum()):
            index = int(np.flatnonzero(beyond)[0])
            if count > _FAULTS * usable.sum():
                read = f"{table.cells['pressure'][index]} {UNIT_NAMES.get(code, code)}"
                raise InputError(f"{table.place('pressure', index)}: {read} is {atm[index]:,.1f} atm, {what}; {cure}")
            repairs.append(f"{count:,} samples {what} were left out, the first in row {table.first_row + index}.")
            usable = usable & ~beyond
    if not usable.any() or float(atm[usable].max()) < _FAINT_ATM:
        raise InputError(
            f"{table.path}: the column {name!r} never reaches {_FAINT_ATM:g} atm; "
            f"is its unit right (--unit), and is it the right file?"
        )
    return np.asarray(usable)


def _past_midnight(at_s: "Array", keep: "Array") -> "Array":
    """Times of day that begin again at 0 -> hours that go on past 24."""
    import numpy as np

    moved = at_s.copy()
    kept = at_s[keep]
    moved[keep] = kept + 2 * _HALF_DAY_S * np.cumsum(np.diff(kept, prepend=kept[:1]) < -_HALF_DAY_S)
    return moved


def _in_order(table: Table, at_s: "Array", keep: "Array", *, listed: bool, repairs: list[str]) -> "Array":
    """The places of usable rows in order of time."""
    import numpy as np

    places = np.flatnonzero(keep)
    back = np.flatnonzero(np.diff(at_s[places]) < 0)
    if len(back):
        if len(back) > max(1, 0.01 * len(places)) and not listed:
            raise InputError(
                f"{table.place('time', int(places[back[0] + 1]))}: time goes back here and {len(back)} times in all; "
                f"give each log as a file of its own"
            )
        repairs.append(f"{len(back):,} rows were out of order in time and were put in order.")
        places = places[np.argsort(at_s[places], kind="stable")]
    return places


def _kind_of_rows(table: Table, at_s: "Array", atm: "Array", listed: bool) -> Rows:
    import numpy as np

    if listed:
        return "inflations"
    apart = float(np.median(np.diff(at_s))) if len(at_s) > 1 else np.inf
    rests = float((atm < 0.25 * atm.max()).mean())
    if len(at_s) > _FEW and rests > (0 if apart <= _SAMPLED_S else _RESTS):
        return "samples"
    if apart > _SAMPLED_S and atm.min() >= _FAINT_ATM:
        return "inflations"
    raise InputError(
        f"{table.path}: it does not tell whether a row is a sample or an inflation; "
        f"give --rows samples or --rows inflations"
    )


def _listed(table: Table, at_s: "Array", atm: "Array", hold_s: "Array | None") -> list[Inflation]:
    found = []
    for index, (start, pressure) in enumerate(zip(at_s.tolist(), atm.tolist(), strict=True)):
        hold = None if hold_s is None or hold_s[index] != hold_s[index] else float(hold_s[index])
        if hold is not None and hold < 0:
            raise InputError(f"{table.path}: an inflation at {start:g} s ends before it begins; put its row right")
        if pressure < _FAINT_ATM:
            continue
        ms = round(start * 1000)
        down = None if hold is None else ms + round(hold * 1000)
        found.append(Inflation(start_ms=ms, peak_ms=ms, down_ms=down, atm=round(pressure, 2), hold_s=hold))
    return found
