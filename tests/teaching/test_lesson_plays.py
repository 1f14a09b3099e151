"""The teaching folder in a browser's own player, opened from disk: film, clips, captions, a jump to a step."""

import json
import shutil
from pathlib import Path

import pytest

from extractor import lexicon, pipeline
from extractor.teaching import pack

FIXTURE = Path(__file__).parents[2] / "fixtures" / "fistula-high-pressure"

#: Loads every film of the page; tells length and width of each, and where the big one stands after a jump.
PLAYED = """async () => {
  const loaded = film => new Promise(done => {
    film.onloadeddata = film.onerror = done; setTimeout(done, 10000); film.preload = "auto"; film.load();
  });
  document.querySelectorAll("details").forEach(each => { each.open = true; });
  const told = {};
  for (const film of document.querySelectorAll("details video, td video")) {
    await loaded(film);
    told[film.getAttribute("src")] = [film.duration, film.videoWidth];
  }
  const player = document.getElementById("player");
  await loaded(player);
  player.muted = true;
  document.querySelector(".mark.inflation").click();
  await new Promise(done => setTimeout(done, 1500));
  player.pause();
  const captions = [...player.textTracks].find(each => each.kind === "captions");
  return JSON.stringify({clips: told, at: player.currentTime, length: player.duration, width: player.videoWidth,
                         cues: captions.cues.length, said: document.getElementById("said").textContent});
}"""


@pytest.mark.slow
def test_a_browser_plays_the_lesson_from_disk(tmp_path: Path) -> None:
    program = shutil.which("chromium")
    if not program:
        pytest.skip("chromium is not here: Debian's package of that name")
    from playwright.sync_api import sync_playwright

    timeline = pipeline.draft([FIXTURE / "transcript.vtt"])
    film = FIXTURE / "recording.webm"
    made = pack.teach(timeline, tmp_path, tmp_path / "lesson", lexicon.load(), sounds=[film], picture=True)
    options = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
    with sync_playwright() as browsers:
        browser = browsers.chromium.launch(executable_path=program, args=options)
        page = browser.new_page()
        faults: list[str] = []
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.goto((tmp_path / "lesson" / "index.html").as_uri())
        told = json.loads(page.evaluate(PLAYED))
        browser.close()
    assert faults == []
    assert len(told["clips"]) == made.clips
    assert all(length > 1 and width == 480 for length, width in told["clips"].values())
    first = next(event for event in timeline.events if event.kind == "inflation" and event.status == "done")
    assert told["length"] == pytest.approx(timeline.recording.duration_ms / 1000, abs=1)
    assert first.start_ms / 1000 <= told["at"] <= first.start_ms / 1000 + 4
    assert told["width"] == 480
    assert told["cues"] > 30
    assert told["said"]
