"""Record -> DOCX (ECMA-376), to be worked on further: headings, tables with a head row, the notice on every page."""

from io import BytesIO
from typing import Any

from extractor.handover.packed import repack
from extractor.handover.record import Record, Table


def write_docx(record: Record) -> bytes:
    """Record -> a Word document, the same to the byte at every run."""
    from docx import Document
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn
    from docx.shared import Cm, Pt

    document = Document()
    title = f"{'DRAFT: ' if record.is_draft else ''}{record.title}"
    about = document.core_properties
    about.title, about.author, about.comments, about.language = title, "", record.notice, record.language
    page = document.sections[0]
    page.page_width, page.page_height = Cm(21), Cm(29.7)
    page.left_margin = page.right_margin = Cm(1.8)
    document.styles["Normal"].font.size = Pt(10)
    header = page.header.paragraphs[0].add_run(record.notice)
    header.font.size, header.bold = Pt(8), record.is_draft
    page.footer.paragraphs[0].add_run(record.title).font.size = Pt(8)

    def repeated(row: Any) -> None:
        properties = row._tr.get_or_add_trPr()
        properties.append(OxmlElement("w:tblHeader"))

    def shade(cell: Any) -> None:
        shading = OxmlElement("w:shd")
        for name, value in (("val", "clear"), ("color", "auto"), ("fill", "FFF2CC")):
            shading.set(qn(f"w:{name}"), value)
        cell._tc.get_or_add_tcPr().append(shading)

    def add(table: Table) -> None:
        made = document.add_table(rows=1, cols=len(table.heads))
        made.style = "Table Grid"
        for cell, head in zip(made.rows[0].cells, table.heads, strict=True):
            cell.paragraphs[0].add_run(head).bold = True
        repeated(made.rows[0])
        for texts, marked in zip(table.rows, table.marked, strict=True):
            for cell, text in zip(made.add_row().cells, texts, strict=True):
                cell.paragraphs[0].add_run(text).font.size = Pt(8.5)
                if marked:
                    shade(cell)

    document.add_heading(title, 1)
    for label, text in record.facts:
        line = document.add_paragraph()
        line.add_run(f"{label}: ").bold = True
        line.add_run(text)
    for section in record.sections:
        document.add_heading(section.title, 2)
        for text in section.lines:
            document.add_paragraph(text)
        if section.table:
            add(section.table)
    content = BytesIO()
    document.save(content)
    return repack(content.getvalue())
