"""A draft's folder -> the picture of the terminal that README.md shows: ``python tools/pictures.py DRAFT FILE.svg``."""

import io
import re
import sys
from pathlib import Path

from rich._export_format import CONSOLE_SVG_FORMAT

from extractor import draft_folder, terminal

# rich's own template names fonts on somebody's server: a page must need nothing from outside.
TEMPLATE = re.sub(r"@font-face \{\{.*?\}\}\s*|<!--.*?-->", "", CONSOLE_SVG_FORMAT, flags=re.DOTALL)


def picture(folder: Path) -> str:
    """The draft in a folder, as ``extractor show`` prints it -> SVG."""
    console = terminal.console(record=True)
    console.file = io.StringIO()
    console.print(terminal.timeline_view(draft_folder.read(folder)))
    return console.export_svg(title="extractor show case", code_format=TEMPLATE, unique_id="show") + "\n"


if __name__ == "__main__":
    Path(sys.argv[2]).parent.mkdir(parents=True, exist_ok=True)
    Path(sys.argv[2]).write_text(picture(Path(sys.argv[1])), encoding="utf-8")
