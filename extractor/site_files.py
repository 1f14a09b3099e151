"""A site's own files -> what the checks need: its device catalogue (a table, or TOML) and its rules (TOML).

A catalogue has one row a label size. A column is a quantity with its unit, ``rated_atm`` or ``rated_bar``, and is read
in that unit; a column that is not known, or a unit that does not fit, is refused by name. docs/catalogue.md tells all.
"""

import hashlib
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from pydantic import ValidationError

from extractor.errors import InputError
from extractor.reconciling.catalogue import Catalogue, Row, spoken_text
from extractor.reconciling.checks import RULES
from extractor.reconciling.checks.site_rules import SiteRules
from extractor.table_file import Wanted, read_table
from extractor.units import convert


class Site(NamedTuple):
    """What a site says: its rules and devices, and the SHA-256 of each file they came from, by name."""

    rules: SiteRules = SiteRules()
    catalogue: Catalogue = Catalogue()
    files: Mapping[str, str] = {}


#: Codes of the checks that a site's rules and devices have a say in.
CODES = tuple(rule.code for rule in RULES)

#: A unit as a column's name writes it -> its UCUM code.
_UNITS = {
    "mm": "mm", "cm": "cm", "in": "[in_i]", "fr": "[Ch]", "atm": "atm", "bar": "bar", "kpa": "kPa", "psi": "[psi]",
}  # fmt: skip
_PRESSURES = ("atm", "bar", "kpa", "psi")
#: Quantity -> units its column may be in, and the field it fills. Pressures stay in their unit.
_COLUMNS: dict[str, tuple[tuple[str, ...], str]] = {
    "diameter": (("mm", "cm"), "diameter_mm"),
    "lengths": (("mm", "cm"), "lengths_mm"),
    "nominal": (_PRESSURES, "nominal"),
    "rated": (_PRESSURES, "rated"),
    "chart": (_PRESSURES, "chart"),
    "wire": (("in", "mm"), "wire_in"),
    "sheath": (("fr",), "sheath_fr"),
    "gauge": (("fr",), "gauge_fr"),
    "outer": (("mm", "fr", "in"), "outer_mm"),
}
_TEXTS = ("name", "kind", "spoken")
_TARGETS = {"diameter_mm": "mm", "lengths_mm": "mm", "wire_in": "[in_i]", "outer_mm": "mm"}
_MANY = ("lengths", "chart")
_KNOWN = (*_TEXTS, *(f"{name}_{'|'.join(units)}" for name, (units, _) in _COLUMNS.items()))
_WANTED = Wanted("device catalogue", "a name and a kind", "write a header such as name,kind,diameter_mm,rated_atm")
_MOST_ROWS = 50_000
_NOTHING = {"", "-", "--", "nan", "na", "n/a", "none"}


def read_site(catalogue: Path | None = None, rules: Sequence[Path] = ()) -> Site:
    """A site's files -> Site. A later file of rules adds to an earlier one, table by table. InputError as below."""
    files = {f"site/{path.name}": _sha256(path) for path in (*rules, *([catalogue] if catalogue else []))}
    return Site(read_rules(rules), read_catalogue(catalogue) if catalogue else Catalogue(), files)


def read_catalogue(path: Path) -> Catalogue:
    """A device catalogue of any form -> Catalogue. InputError names file, row and column, and the cure."""
    rows = _toml_rows(path) if path.suffix.lower() == ".toml" else _table_rows(path)
    found: list[Row] = []
    for where, cells in rows:
        if len(found) == _MOST_ROWS:
            raise InputError(f"{path}: more than {_MOST_ROWS:,} rows; give the devices of one site")
        found.append(_row(path, where, cells))
    if not found:
        raise InputError(f"{path}: holds no device; write one row a label size, docs/catalogue.md shows one")
    try:
        return Catalogue(rows=tuple(found))
    except ValidationError as error:
        raise InputError(f"{path}: {_reason(error)}; leave one") from error


def read_rules(paths: Sequence[Path]) -> SiteRules:
    """Files of site rules, in order -> SiteRules. InputError names file, table and key."""
    merged: dict[str, dict[str, Any]] = {}
    rules = SiteRules()
    for path in paths:
        for name, table in _toml(path).items():
            if not isinstance(table, dict):
                raise InputError(f"{path}: {name!r} stands outside a table; write it under one, such as [checks]")
            merged[name] = {**merged.get(name, {}), **table}
        try:
            rules = SiteRules.model_validate(merged)
        except ValidationError as error:
            first = error.errors()[0]
            key = ".".join(str(part) for part in first["loc"]) or "the whole file"
            raise InputError(f"{path}: {key}: {first['msg']}; docs/checks.md lists what may stand there") from error
        if unknown := next((code for code in rules.checks if code not in CODES), None):
            raise InputError(f"{path}: [checks] knows no {unknown!r}; known are {', '.join(CODES)}")
    return rules


# --- rows


def _toml(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror or error}); give a file of TOML") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(f"{path}: not valid TOML: {error}") from error


def _toml_rows(path: Path) -> Iterable[tuple[str, Mapping[str, Any]]]:
    tables = _toml(path)
    rows = tables.get("device")
    if set(tables) != {"device"} or not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError(f"{path}: a catalogue in TOML holds [[device]] tables and nothing else")
    for number, row in enumerate(rows, 1):
        _check_columns(path, list(row))
        yield f"[[device]] number {number}", row


def _table_rows(path: Path) -> Iterable[tuple[str, Mapping[str, Any]]]:
    table = read_table(path, partial(_choose, path), _WANTED)
    columns = list(table.cells)
    for index in range(len(table.cells["name"])):
        cells = {column: table.cells[column][index] for column in columns}
        if any(not _is_nothing(cell) for cell in cells.values()):
            if table.decimal_comma:
                cells = {name: cell if name in _TEXTS else _with_point(cell) for name, cell in cells.items()}
            yield f"row {table.first_row + index}", cells


def _choose(path: Path, names: Sequence[str]) -> dict[str, int] | None:
    """A row of names -> column to place; None where it names no device."""
    lower = [name.strip().lower() for name in names]
    if not {"name", "kind"} <= set(lower):
        return None
    _check_columns(path, [name for name in lower if name])
    return {name: place for place, name in enumerate(lower) if name}


def _check_columns(path: Path, names: Sequence[str]) -> None:
    quantities: dict[str, str] = {}
    for name in names:
        quantity = name if name in _TEXTS else name.rpartition("_")[0]
        units = _COLUMNS.get(quantity, ((), ""))[0]
        if name not in _TEXTS and name.rpartition("_")[2] not in units:
            cure = f"; its units are {', '.join(units)}" if units else f"; known are {', '.join(_KNOWN)}"
            raise InputError(f"{path}: the column {name!r} is not known{cure}")
        if quantity in quantities:
            raise InputError(f"{path}: the columns {quantities[quantity]!r} and {name!r} tell the same; leave one")
        quantities[quantity] = name


def _row(path: Path, where: str, cells: Mapping[str, Any]) -> Row:
    fields: dict[str, Any] = {}
    pressures = set()
    for column, cell in cells.items():
        if _is_nothing(cell):
            continue
        if column in _TEXTS:
            fields[column] = _forms(cell) if column == "spoken" else " ".join(str(cell).split())
            continue
        quantity, _, unit = column.rpartition("_")
        field = _COLUMNS[quantity][1]
        try:
            read = [_numbers(part) for part in (_parts(cell) if quantity in _MANY else [cell])]
        except ValueError as error:
            raise InputError(f"{path}, {where}, column {column!r}: {error}") from error
        pressures |= {unit} if unit in _PRESSURES else set()
        target = _TARGETS.get(field, _UNITS[unit])
        numbers = [tuple(convert(number, _UNITS[unit], target) for number in part) for part in read]
        if any(len(part) != (2 if field == "chart" else 1) for part in numbers):
            raise InputError(
                f"{path}, {where}, column {column!r}: {str(cell)[:60]!r} is not read; write "
                + ("pressure:diameter in mm, with semicolons between" if field == "chart" else "one number")
            )
        fields[field] = numbers if field == "chart" else [part[0] for part in numbers]
        if quantity not in _MANY:
            fields[field] = fields[field][0]
    if len(pressures) > 1:
        raise InputError(f"{path}, {where}: pressures in {' and '.join(sorted(pressures))}; give a row's in one unit")
    if pressures:
        fields["pressure_unit"] = _UNITS[pressures.pop()]
    try:
        return Row.model_validate(fields)
    except ValidationError as error:
        raise InputError(f"{path}, {where}: {_reason(error)}") from error


# --- cells


def _is_nothing(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and cell.strip().lower() in _NOTHING) or cell != cell


def _with_point(cell: Any) -> Any:
    return cell.replace(",", ".") if isinstance(cell, str) else cell


def _forms(cell: Any) -> tuple[str, ...]:
    """Spoken forms, with semicolons between or as a list -> as speech is compared with them."""
    parts = cell if isinstance(cell, list) else str(cell).split(";")
    return tuple(form for part in parts if (form := spoken_text(str(part))))


def _parts(cell: Any) -> Sequence[Any]:
    """A cell that holds several -> them: "20; 40", [20, 40], "6:6.9; 8:7", [[6, 6.9], [8, 7]]."""
    return cell if isinstance(cell, list) else str(cell).split(";")


def _numbers(part: Any) -> tuple[float, ...]:
    """ "7", 7, "8:7.2" or [8, 7.2] -> its numbers. ValueError says what is no number."""
    pieces = part if isinstance(part, list) else str(part).split(":")
    try:
        if any(isinstance(piece, bool) for piece in pieces):
            raise ValueError
        return tuple(float(piece) for piece in pieces)
    except (TypeError, ValueError):
        raise ValueError(f"{str(part)[:40]!r} is no number; put a number there or leave it empty") from None


def _reason(error: ValidationError) -> str:
    first = error.errors()[0]
    key = str(first["loc"][0]) if first["loc"] else ""
    reason = first["msg"].removeprefix("Value error, ")
    return f"{key}: {reason}" if key else reason


def _sha256(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror or error}); give a site's file") from error
