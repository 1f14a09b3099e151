"""Typst markup of ours and data -> PDF/UA-1 (ISO 14289-1), with the typesetter's own fonts: nothing of the machine.

What was said goes in as data, never as markup: nothing of it is read as a command. The same data give the same bytes.
"""

import json
import re
from typing import Any

from extractor.errors import OutputError

_NO_GLYPH = re.compile(r'the text `"(.*?)"` could not be displayed', re.DOTALL)
#: Scripts that the typesetter's own fonts hold: Latin to Arabic, and signs.
_HELD = ((0, 0x6FF), (0x1E00, 0x2BFF), (0xFB00, 0xFDFF), (0xFFFD, 0xFFFD))


def typeset(source: str, data: Any, cure: str) -> bytes:
    """Markup that reads ``sys.inputs.data``, the data -> a PDF.

    A letter for which there is no glyph stands as its number, ``[U+65E5]``. OutputError, with the cure, where it cannot
    be set.
    """
    import typst

    text = json.dumps(data, ensure_ascii=False)
    for _ in range(60):
        try:
            made: bytes = typst.compile(
                source.encode(),
                format="pdf",
                sys_inputs={"data": text},
                ignore_system_fonts=True,
                pdf_standards=["ua-1"],
            )
            return made
        except typst.TypstError as error:
            lacking = _NO_GLYPH.search(str(error))
            if not lacking:
                raise OutputError(f"it cannot be set as PDF ({error}); {cure}") from error
            strange = {letter for letter in text if not any(low <= ord(letter) <= high for low, high in _HELD)}
            for letter in strange or set(lacking[1]):
                text = text.replace(letter, f"[U+{ord(letter):04X}]")
    raise OutputError(f"it cannot be set as PDF: too many letters without a glyph; {cure}")
