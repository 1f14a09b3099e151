"""A draft and its recording -> what the desk shows of them, as PNG for docs/desk.md, taken from the running page.

``python -m tools.desk_pictures DRAFT RECORDING FOLDER``; Debian's chromium takes the pictures.
"""

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from extractor import draft_folder
from tests.desk.browsing import CHROMIUM, OPTIONS, Desk, press, serving, until

#: File -> (page behind the case's address, size of the window, keys pressed before).
PICTURES = {
    "desk-review.png": ("", (1280, 800), ("n",)),
    "desk-sign.png": ("/sign", (1280, 800), ()),
    "desk-phone.png": ("", (390, 844), ("n",)),
}


def take(draft: Path, recording: Path, folder: Path) -> None:
    """Writes the pictures into the folder."""
    with (
        tempfile.TemporaryDirectory() as store,
        serving(Path(store) / "store") as desk,
        sync_playwright() as playwright,
    ):
        case = desk.store.new_case("An invented case", "A. Operator")
        with recording.open("rb") as file:
            desk.store.add_file(case, recording.name, file, by="A. Operator")
        desk.store.job_done(case, draft_folder.read(draft))
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=OPTIONS)
        for name in PICTURES:
            _take_one(desk, browser, case, folder / name)
        browser.close()


def _take_one(desk: Desk, browser: Browser, case: int, picture: Path) -> None:
    path, (width, height), keys = PICTURES[picture.name]
    size = {"width": width, "height": height}
    page = desk.visit(browser, f"/cases/{case}{path}", viewport=size, color_scheme="light")
    if keys:
        until(page, "!acts.player.missing")
        press(page, *keys)
    page.wait_for_timeout(1000)  # the waveform and the record come after the page
    page.screenshot(path=picture)
    page.context.close()


if __name__ == "__main__":
    take(*map(Path, sys.argv[1:]))
