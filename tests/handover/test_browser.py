"""Captions, chapters and events in a browser's own player, and the record in its own reader."""

import base64
import html
import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from extractor.handover.chapters import chapters
from extractor.handover.export import Wishes, export
from extractor.handover.wording import event_name, plain
from extractor.model import SignedTimeline

OPTIONS = (
    "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --virtual-time-budget=8000 --dump-dom"
).split()
#: Loads the tracks as a player does and tells what it made of them.
PAGE = """<!DOCTYPE html><meta charset="utf-8"><video>{tracks}</video><pre></pre><script>
const told = [];
for (const each of document.querySelectorAll("track")) {{
  each.addEventListener("load", () => {{
    told.push([each.kind, [...each.track.cues].map(cue => {{
      const shown = cue.getCueAsHTML();
      return [cue.id, cue.startTime, cue.endTime, shown.textContent, shown.querySelectorAll("b,i,script").length];
    }})]);
    document.querySelector("pre").textContent = JSON.stringify(told);
  }});
  each.track.mode = "hidden";
}}
</script>"""


def browse(page: str, folder: Path) -> str:
    """A page -> what the browser made of it, as HTML."""
    if not shutil.which("chromium"):
        pytest.skip("chromium is not here: Debian's package of that name")
    (folder / "page.html").write_text(page, encoding="utf-8")
    profile = f"--user-data-dir={folder / 'profile'}"
    command = ["chromium", *OPTIONS, profile, (folder / "page.html").as_uri()]
    return subprocess.run(command, check=True, capture_output=True, text=True, timeout=90).stdout


def played(timeline: SignedTimeline, folder: Path) -> dict[str, list[Any]]:
    """Kind of track -> its cues: id, start and end in seconds, text, elements that were made of what was said."""
    files = {"captions": export(timeline, "captions")[""]}
    made = export(timeline, "chapters")
    files |= {"chapters": made[""], "metadata": made["-events.vtt"]}
    tracks = "".join(
        f'<track kind="{kind}" src="data:text/vtt;base64,{base64.b64encode(content).decode()}">'
        for kind, content in files.items()
    )
    shown = re.search(r"<pre>(.*)</pre>", browse(PAGE.format(tracks=tracks), folder), re.DOTALL)
    assert shown
    return dict(json.loads(html.unescape(shown[1])))


@pytest.mark.slow
@pytest.mark.parametrize("case", ["demo", "hostile"])
def test_a_player_takes_the_tracks(case: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    timeline: SignedTimeline = request.getfixturevalue(case)
    tracks = played(timeline, tmp_path)
    assert set(tracks) == {"captions", "chapters", "metadata"}
    assert {cue[4] for cues in tracks.values() for cue in cues} == {0}
    wanted = chapters(timeline)
    assert [(cue[1] * 1000, cue[2] * 1000) for cue in tracks["chapters"]] == [
        (pytest.approx(start), pytest.approx(end))
        for start, end, _ in sorted(wanted, key=lambda each: (each[0], -each[1]))
    ]
    assert {cue[0] for cue in tracks["metadata"]} == {event.id for event in timeline.events}
    spoken = "".join("".join(cue[3].split()) for cue in tracks["captions"])
    if case == "demo":
        assert all("".join(word.text.split()) in spoken for word in timeline.words)


@pytest.mark.slow
def test_a_browser_shows_the_record_and_runs_nothing(hostile: SignedTimeline, tmp_path: Path) -> None:
    page = browse(export(hostile, "record-html", Wishes(spoken=True))[""].decode(), tmp_path)
    assert "<script" not in page
    shown = html.unescape(re.sub(r"<[^>]*>", "", page))
    assert all(plain(event_name(event)) in shown for event in hostile.events)
