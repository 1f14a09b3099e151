"""Record -> plain text, to paste where nothing else goes in. Tables become lines, so that no column is lost."""

import textwrap

from extractor.handover.record import Record, Table

WIDTH = 96


def write_text(record: Record) -> str:
    """Record -> text at most 96 letters wide; the notice first and last."""
    head = f"{'DRAFT: ' if record.is_draft else ''}{record.title}".upper()
    lines = [head, *textwrap.wrap(record.notice, WIDTH), ""]
    for label, text in record.facts:
        lines += textwrap.wrap(text, WIDTH, initial_indent=f"{label}: ", subsequent_indent="    ")
    for section in record.sections:
        lines += ["", section.title.upper()]
        for text in section.lines:
            lines += textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")
        lines += _table(section.table) if section.table else []
    return "\n".join([*lines, "", *textwrap.wrap(record.notice, WIDTH)]) + "\n"


def _table(table: Table) -> list[str]:
    lines: list[str] = []
    for row in table.rows:
        cells = [f"[{cell}]" if head == "Marks" else cell for head, cell in zip(table.heads, row, strict=True) if cell]
        text = "; ".join([f"{cells[0]}  {cells[1]}  {cells[2]}" if len(cells) > 2 else cells[0], *cells[3:]])
        lines += textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent=" " * 12, break_on_hyphens=False)
    return lines
