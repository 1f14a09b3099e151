"""What the voice does not tell and a site adds: the patient and the order, and how its records look.

Both come as TOML. Patient identifiers come from here, never from speech. What is not given stays missing.
"""

import tomllib
from datetime import date
from typing import Annotated, Literal, TypeVar

from pydantic import AfterValidator, AwareDatetime, Field, ValidationError

from extractor.errors import InputError
from extractor.model import Frozen


def _oid(text: str) -> str:
    parts = text.split(".")
    if len(text) > 64 or not all(part.isascii() and part.isdigit() and str(int(part)) == part for part in parts):
        raise ValueError("not a DICOM UID (PS3.5 9.1): numbers parted by points, at most 64 letters")
    return text


Uid = Annotated[str, AfterValidator(_oid)]
Line = Annotated[str, Field(min_length=1, max_length=1000, pattern=r"^[^\x00-\x1f]*$")]


class Patient(Frozen):
    """Who was treated. ``id_issuer`` is whoever gave the number: a hospital's name or its URI."""

    id: Line | None = None
    id_issuer: Line | None = None
    family_name: Line | None = None
    given_name: Line | None = None
    birth_date: date | None = None
    sex: Literal["female", "male", "other", "unknown"] | None = None

    @property
    def name(self) -> str:
        return ", ".join(filter(None, (self.family_name, self.given_name)))


class Particulars(Frozen):
    """One case's own data. ``started_at`` is when the recording began: it gives every event its time of day.

    ``barcodes``: event id -> the GS1 string of the device's label, as a scanner gives it or with its brackets.
    """

    patient: Patient = Patient()
    procedure: Line | None = None
    indication: Line | None = None
    consent: Line | None = None
    sedation: Line | None = None
    operator: Line | None = None
    assistants: tuple[Line, ...] = ()
    site: Line | None = None
    started_at: AwareDatetime | None = None
    accession_number: Line | None = None
    study_uid: Uid | None = None
    barcodes: dict[str, Line] = Field(default_factory=dict)


#: Sections of a record, in the order they stand in where a template names no other; ``record`` makes them.
SECTIONS = (
    "missing", "indication", "access", "findings_before", "devices", "inflations", "implants", "drugs", "contrast",
    "radiation", "findings_after", "complications", "closure", "aftercare", "steps", "talked_of", "left_open",
    "changes", "signature",
)  # fmt: skip


def _known(names: tuple[str, ...]) -> tuple[str, ...]:
    if strange := [name for name in names if name not in SECTIONS]:
        raise ValueError(f"no section {strange[0]}; there are {' '.join(SECTIONS)}")
    return names


Sections = Annotated[tuple[str, ...], AfterValidator(_known)]


class Template(Frozen):
    """How a site's records look. ``sections`` in their order; ``steps`` holds every event, so leave it in."""

    title: Line = "Procedure record"
    spelling: Literal["british", "american"] = "british"
    sections: Sections = SECTIONS
    #: What a record must hold: where it is not there, it is listed as missing.
    required: tuple[str, ...] = (
        "patient", "procedure", "started_at", "operator", "indication", "consent", "sedation", "access", "devices",
        "findings_before", "drugs", "contrast", "radiation", "findings_after", "complications", "closure", "aftercare",
    )  # fmt: skip
    titles: dict[str, Line] = Field(default_factory=dict)
    aftercare: tuple[Line, ...] = ()


Made = TypeVar("Made", Particulars, Template)


def read(kind: type[Made], text: str, source: str) -> Made:
    """TOML -> Particulars or Template. InputError names the file, the field and what is wrong with it."""
    try:
        return kind.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"{source}: not TOML ({error})") from error
    except ValidationError as error:
        first = error.errors()[0]
        raise InputError(f"{source}: {'.'.join(map(str, first['loc']))}: {first['msg']}") from error
