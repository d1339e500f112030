"""Documents as other programs read them: LibreOffice turns a DOCX into a text document (OASIS OpenDocument 1.3, part 3,
section 6.3.2, ``text:note`` with ``text:note-class="footnote"``), and poppler's pdftotext reads the pages.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import zipfile
from pathlib import Path

import pytest

from kg.essays.compose import draft
from kg.essays.plan import Bench
from kg.essays.publish import set_in
from kg.essays.publish_plan import Manuscript, Settings, manuscript
from kg.essays.syntax import read_catalogue


@pytest.fixture(scope="module")
def plan(demo_bench: Bench) -> Manuscript:
    """The demo's lady, drafted and ready for print with notes."""
    text = draft(demo_bench, "piece-lady-with-blue-snood")
    return manuscript(demo_bench.whole, read_catalogue(text), Settings(style="mhra-notes"))


def program(name: str) -> str:
    """A program of this machine; without it the test is skipped, and fails where everything must be run."""
    found = shutil.which(name)
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail(f"There is no {name}; .ci/run installs it.")
        pytest.skip(f"There is no {name} on this machine.")
    return found


def notes_printed(plan: Manuscript) -> int:
    """The notes of the same print as Markdown, which no other program makes."""
    return len(re.findall(r"^\[\^\d+\]: ", set_in(plan, "markdown").decode(), re.MULTILINE))


def test_a_word_processor_finds_every_footnote_of_a_document(plan: Manuscript, tmp_path: Path) -> None:
    made = tmp_path / "lady.docx"
    made.write_bytes(set_in(plan, "docx"))
    home = f"-env:UserInstallation={(tmp_path / 'home').as_uri()}"
    command = [
        program("soffice"),
        home,
        "--headless",
        "--convert-to",
        "odt",
        "--outdir",
        str(tmp_path),
        str(made),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=240)
    text = zipfile.ZipFile(tmp_path / "lady.odt").read("content.xml").decode()
    assert text.count('text:note-class="footnote"') == notes_printed(plan) > 10


def test_every_note_of_the_pages_is_read_by_another_program(plan: Manuscript, tmp_path: Path) -> None:
    made = tmp_path / "lady.pdf"
    made.write_bytes(set_in(plan, "pdf"))
    command = [program("pdftotext"), "-layout", str(made), "-"]
    text = subprocess.run(command, check=True, capture_output=True, timeout=60).stdout.decode()
    numbers = iter(map(int, re.findall(r"^ *(\d+) [A-ZÀ-Ý‘“]", text, re.MULTILINE)))
    lost = [number for number in range(1, notes_printed(plan) + 1) if number not in numbers]
    assert lost == [], "each note begins a line, after the one before"
    assert "Lady with the blue snood" in text
