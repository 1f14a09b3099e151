"""A zip container that a library made -> the same to the byte at every run: fixed dates, no time of writing."""

import re
import zipfile
from io import BytesIO

#: The earliest date a zip entry can carry (APPNOTE 4.4.6): no time of writing is told.
_DATE = (1980, 1, 1, 0, 0, 0)
_WRITTEN = re.compile(rb"<dcterms:(created|modified)\b[^>]*>[^<]*</dcterms:\1>")


def repack(content: bytes) -> bytes:
    """XLSX or DOCX (ECMA-376 part 2) -> the same without any time of writing."""
    packed = BytesIO()
    with zipfile.ZipFile(BytesIO(content)) as old, zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "docProps/core.xml":
                part = _WRITTEN.sub(b"", part)
            entry = zipfile.ZipInfo(name, _DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, part)
    return packed.getvalue()
