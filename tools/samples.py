"""The invented case of the tests -> docs/samples, one file a format, and the picture of the record's first page.

``python -m tools.samples``. Signed with the tests' key, nobody's; the particulars are those of docs/exports.md.
"""

import subprocess
from pathlib import Path

from extractor import lexicon, pipeline
from extractor.handover.export import Wishes, export
from extractor.handover.particulars import Particulars, read
from extractor.listening.transcripts import read_transcript
from tests.handover.conftest import sign

ROOT = Path(__file__).parent.parent
SAMPLES = ROOT / "docs" / "samples"
FORMATS = {
    "record-pdf": "record.pdf", "record-html": "record.html", "record-docx": "record.docx", "record-text": "record.txt",
    "implants-csv": "implants.csv", "implants-xlsx": "implants.xlsx", "fhir": "bundle.json", "dicom": "log.dcm",
    "events-csv": "events.csv", "events-jsonl": "events.jsonl", "events-xlsx": "events.xlsx",
    "events-parquet": "events.parquet", "captions": "captions.vtt", "chapters": "chapters.vtt", "srt": "captions.srt",
}  # fmt: skip


def particulars() -> Particulars:
    """Those that docs/exports.md shows."""
    page = (ROOT / "docs" / "exports.md").read_text(encoding="utf-8")
    return read(Particulars, page.partition("```toml\n# particulars\n")[2].partition("```")[0], "docs/exports.md")


def main() -> None:
    case = ROOT / "fixtures" / "calf-claudication" / "transcript.vtt"
    timeline = sign(pipeline.interpret(read_transcript(case), lexicon.load()))
    SAMPLES.mkdir(exist_ok=True)
    for form, name in FORMATS.items():
        for end, content in export(timeline, form, Wishes(particulars=particulars())).items():
            (SAMPLES / f"{name}{end}").write_bytes(content)
    command = ["pdftoppm", "-r", "80", "-png", "-singlefile", str(SAMPLES / "record.pdf")]
    subprocess.run([*command, str(ROOT / "docs" / "img" / "record")], check=True)


if __name__ == "__main__":
    main()
