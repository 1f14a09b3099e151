"""Record -> one HTML page that loads nothing, no script, font or picture, and tells the browser to load nothing."""

from html import escape

from extractor.handover.record import Record, Section, Table

_STYLE = """
:root { color-scheme: light dark; --line: #8a8f98; --mark: #fff2cc; --markink: #4a3500; }
@media (prefers-color-scheme: dark) { :root { --mark: #4a3d14; --markink: #ffe9a8; } }
body { font: 15px/1.45 system-ui, sans-serif; margin: 0 auto; max-width: 62rem; padding: 0 1rem 3rem; }
.notice { border-bottom: 2px solid; font-size: .85rem; padding: .5rem 0; }
.draft .notice { font-weight: 700; }
h1 { font-size: 1.5rem; margin: 1rem 0 .5rem; } h2 { font-size: 1.05rem; margin: 1.6rem 0 .3rem; }
dl { display: grid; gap: .15rem 1rem; grid-template-columns: max-content 1fr; margin: 0; }
dt { font-weight: 600; } dd { margin: 0; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; font-size: .87rem; font-variant-numeric: tabular-nums; width: 100%; }
th, td { border-bottom: 1px solid var(--line); padding: .22rem .6rem .22rem 0; text-align: left; vertical-align: top; }
thead th { border-bottom: 2px solid; } td:first-child, td:nth-child(2) { white-space: nowrap; }
tr.look td { background: var(--mark); color: var(--markink); }
p { margin: .2rem 0; overflow-wrap: anywhere; } td, dd { overflow-wrap: anywhere; unicode-bidi: isolate; }
@media print {
  .notice { background: #fff; position: fixed; top: 0; width: 100%; } body { padding-top: 3rem; }
  h2 { break-after: avoid; } tr { break-inside: avoid; }
}
"""


def write_html(record: Record) -> str:
    """Record -> an HTML document (WHATWG HTML), self-contained; the notice is repeated on every printed page."""
    facts = "".join(f"<dt>{escape(label)}</dt><dd>{escape(text)}</dd>\n" for label, text in record.facts)
    title = escape(f"{'DRAFT: ' if record.is_draft else ''}{record.title}")
    return f"""<!DOCTYPE html>
<html lang="{record.language}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>{_STYLE}</style>
</head>
<body{' class="draft"' if record.is_draft else ""}>
<header class="notice">{escape(record.notice)}</header>
<main>
<h1>{title}</h1>
<dl>
{facts}</dl>
{"".join(map(_section, record.sections))}</main>
<footer class="end">{escape(record.notice)}</footer>
</body>
</html>
"""


def _section(section: Section) -> str:
    lines = "".join(f"<p>{escape(text)}</p>\n" for text in section.lines)
    table = _table(section.table) if section.table else ""
    return f"<section>\n<h2>{escape(section.title)}</h2>\n{lines}{table}</section>\n"


def _table(table: Table) -> str:
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in table.heads)
    rows = "".join(
        f"<tr{' class=look' if marked else ''}>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>\n"
        for row, marked in zip(table.rows, table.marked, strict=True)
    )
    return f'<div class="scroll"><table>\n<thead><tr>{heads}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table></div>\n'
