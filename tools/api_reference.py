"""The desk's routes -> the table in docs/desk.md. ``python tools/api_reference.py FILE`` rewrites it there."""

import re
import sys
from pathlib import Path

from fastapi.routing import APIRoute

from extractor.desk.app import rights, routers

TABLE = re.compile(r"(?<=<!-- routes -->\n).*?(?=<!-- end of routes -->)", re.DOTALL)


def table() -> str:
    """Every route with the right it asks for and what it does, as Markdown."""
    rows = ["| route | right | what |", "|---|---|---|"]
    for route in (route for router in routers() for route in router.routes if isinstance(route, APIRoute)):
        (method,) = route.methods - {"HEAD"}
        right = ", ".join(sorted(rights(route))) or "none"
        rows.append(f"| `{method} /api{route.path}` | {right} | {route.summary} |")
    return "\n".join(rows) + "\n"


if __name__ == "__main__":
    page = Path(sys.argv[1])
    page.write_text(TABLE.sub(lambda _: table(), page.read_text(encoding="utf-8")), encoding="utf-8")
