"""Make house.docx, the styles of printed essays, from the document that pandoc starts from.

Run it where pandoc and python-docx are installed: ``python sources/reference/make_house.py``.
"""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

from docx import Document
from docx.enum.style import WD_STYLE_TYPE
from docx.enum.text import WD_ALIGN_PARAGRAPH
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Mm, Pt, RGBColor

from kg.essays.pandoc import pandoc_program

HERE = Path(__file__).parent
#: A serif that word processors have; each falls back to another serif where it lacks.
FACE = "Palatino Linotype"
INK, QUIET = RGBColor(0x1D, 0x1B, 0x18), RGBColor(0x67, 0x62, 0x5A)
#: Style, size, space before, space after, italic.
SIZES = (
    ("Normal", 10.5, 0, 0, False),
    ("Body Text", 10.5, 0, 5, False),
    ("First Paragraph", 10.5, 0, 5, False),
    ("Compact", 10.5, 0, 2, False),
    ("Title", 26, 120, 20, False),
    ("Heading 1", 19, 24, 14, False),
    ("Heading 2", 13, 16, 5, False),
    ("Heading 3", 10.5, 12, 4, True),
    ("Block Text", 10, 6, 6, False),
    ("Footnote Text", 8.5, 0, 1, False),
    ("Bibliography", 10, 0, 4, False),
    ("Image Caption", 9, 2, 14, False),
    ("Captioned Figure", 10.5, 14, 2, False),
    ("Definition Term", 10.5, 4, 0, True),
    ("Definition", 10.5, 0, 3, False),
    ("Header", 8.5, 0, 0, True),
    ("Footer", 8.5, 0, 0, False),
)


def main() -> None:
    """Write house.docx beside this file."""
    # fmt: off
    default = subprocess.run(
        [pandoc_program(), "--print-default-data-file", "reference.docx"], capture_output=True, check=True,
    ).stdout
    # fmt: on
    document = Document(io.BytesIO(default))
    for name, size, before, after, is_italic in SIZES:
        _style(document, name, size, before, after, is_italic)
    _pages(document)
    document.save(str(HERE / "house.docx"))


def _style(document, name, size, before, after, is_italic):  # type: ignore[no-untyped-def]
    known = {style.name: style for style in document.styles}
    style = known.get(name) or document.styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH)
    style.font.name, style.font.size = FACE, Pt(size)
    style.font.color.rgb = QUIET if name in ("Header", "Footer") else INK
    style.font.bold, style.font.italic = False, is_italic
    fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
    for attribute in list(fonts.attrib):
        if attribute.endswith("Theme"):
            del fonts.attrib[attribute]
    for which in ("ascii", "hAnsi", "cs", "eastAsia"):
        fonts.set(qn(f"w:{which}"), FACE)
    form = style.paragraph_format
    form.space_before, form.space_after = Pt(before), Pt(after)
    form.line_spacing = 1.1 if "Heading" in name or name in ("Title", "Footnote Text") else 1.25
    if name in ("Title", "Image Caption"):
        form.alignment = WD_ALIGN_PARAGRAPH.LEFT
    if name == "Bibliography":
        form.left_indent, form.first_line_indent = Mm(6), Mm(-6)
    if name.startswith("Heading"):
        form.keep_with_next = True
        form.page_break_before = name == "Heading 1"
    if name in ("Body Text", "First Paragraph"):
        form.widow_control = True


def _pages(document):  # type: ignore[no-untyped-def]
    section = document.sections[0]
    # Pandoc's own document begins the notes anew in every section; a catalogue numbers them through.
    for notes in section._sectPr.findall(qn("w:footnotePr")):
        section._sectPr.remove(notes)
    section.page_width, section.page_height = Mm(210), Mm(297)
    section.top_margin, section.bottom_margin = Mm(30), Mm(30)
    section.left_margin = section.right_margin = Mm(34)
    section.header_distance = section.footer_distance = Mm(15)
    section.different_first_page_header_footer = True
    head = section.header.paragraphs[0]
    head.style = document.styles["Header"]
    head.alignment = WD_ALIGN_PARAGRAPH.RIGHT
    _field(head, 'STYLEREF "Heading 1"')
    for foot in (section.footer.paragraphs[0], section.first_page_footer.paragraphs[0]):
        foot.style = document.styles["Footer"]
        foot.alignment = WD_ALIGN_PARAGRAPH.CENTER
        _field(foot, "PAGE")


def _field(paragraph, instruction):  # type: ignore[no-untyped-def]
    for kind, text in (("begin", None), (None, instruction), ("separate", None), ("end", None)):
        run = paragraph.add_run()
        if kind:
            mark = OxmlElement("w:fldChar")
            mark.set(qn("w:fldCharType"), kind)
        else:
            mark = OxmlElement("w:instrText")
            mark.set(qn("xml:space"), "preserve")
            mark.text = f" {text} "
        run._r.append(mark)


if __name__ == "__main__":
    main()
