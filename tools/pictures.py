"""A draft's folder -> the picture of the terminal that README.md shows: ``python tools/pictures.py DRAFT FILE.svg``."""

import io
import re
import sys
from pathlib import Path

from rich._export_format import CONSOLE_SVG_FORMAT

from extractor import draft_folder, terminal
from extractor.model import Timeline

# rich's own template names fonts on somebody's server: a page must need nothing from outside.
TEMPLATE = re.sub(r"@font-face \{\{.*?\}\}\s*|<!--.*?-->", "", CONSOLE_SVG_FORMAT, flags=re.DOTALL)


# A whole case is taller than a page.
SHOWN_MS = 125_000


def picture(folder: Path) -> str:
    """The beginning of the draft in a folder, as ``extractor show`` prints it -> SVG."""
    console = terminal.console(record=True)
    console.file = io.StringIO()
    console.print(terminal.timeline_view(beginning(draft_folder.read(folder))))
    title = "extractor show case (its first two minutes)"
    return console.export_svg(title=title, code_format=TEMPLATE, unique_id="show") + "\n"


def beginning(timeline: Timeline) -> Timeline:
    """A timeline -> what it holds of the first two minutes."""
    kept = {event.id for event in timeline.events if event.start_ms < SHOWN_MS}
    repairs = [each for each in timeline.corrections if timeline.words[each.words[0]].start_ms < SHOWN_MS]
    return timeline.model_copy(
        update={
            "events": tuple(event for event in timeline.events if event.id in kept),
            "gaps": tuple(gap for gap in timeline.gaps if gap.start_ms < SHOWN_MS),
            "corrections": tuple(repairs),
            "checks": tuple(check for check in timeline.checks if kept.issuperset(check.events)),
        }
    )


if __name__ == "__main__":
    Path(sys.argv[2]).parent.mkdir(parents=True, exist_ok=True)
    Path(sys.argv[2]).write_text(picture(Path(sys.argv[1])), encoding="utf-8")
