"""Cautions follow the events that people change: looked for again after a change, each under its number for good.

A caution is told by its number, ``check-7``, and so is the mark that somebody looked at it. So none moves: one that no
longer fits is withdrawn where it stands, and stands up again there should it fit once more, word for word and about the
same events; a new one comes behind all others. A mark can then never slide onto another caution.
"""

from collections.abc import Iterable
from typing import Literal

from extractor import pipeline
from extractor.model import Change, Check, Timeline, WordRange
from extractor.site_files import CODES, Site

#: Said where a site's own rules or devices had a part in the draft and are not at hand now.
_NOT_AGAIN = Check(
    code="checks-not-again",
    severity="review",
    message=(
        "Events were changed by hand, and what does not fit was not looked for again: "
        "the site's rules and devices that the draft was checked with are not at hand."
    ),
)


def rechecked(timeline: Timeline, site: Site | None = None) -> tuple[Change, ...]:
    """A timeline whose events were changed -> the changes that make its cautions those of its events as they stand.

    Those that came from elsewhere (the files, the pressure logs) stay. ``site`` holds the rules and devices that it was
    drafted with; where they are others, nothing is looked for and a caution says so.
    """
    if not timeline.made_by.site:
        site = None  # it was drafted without any, whatever there is now
    elif dict(site.files if site else {}) != timeline.made_by.site:
        known = any(check.code == _NOT_AGAIN.code for check in timeline.checks)
        return () if known else tuple(_new((_NOT_AGAIN,), len(timeline.checks)))
    figures = [check.words for check in timeline.checks if check.words]
    fitting = {_content(check): check for check in pipeline.check(timeline.events, timeline.words, site, figures)}
    changes = []
    for number, check in enumerate(timeline.checks, 1):
        if check.code in CODES:
            found = fitting.pop(_content(check), None)
            severity: Literal["note", "review", "withdrawn"] = found.severity if found else "withdrawn"
            if severity != check.severity:
                changes.append(Change(at=f"checks.{number}.severity", before=check.severity, after=severity))
    return (*changes, *_new(fitting.values(), len(timeline.checks)))


def _content(check: Check) -> tuple[str, str, tuple[str, ...], WordRange | None]:
    return check.code, check.message, check.events, check.words


def _new(checks: Iterable[Check], so_many: int) -> Iterable[Change]:
    for number, check in enumerate(checks, so_many + 1):
        yield Change(at=f"checks.{number}", after=check.model_dump(mode="json"))
