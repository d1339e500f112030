"""Essays in print: a document, a web page, pages, or Markdown, with notes, sources, illustrations and terms."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path

from kg.daybook.view import WorkingView
from kg.errors import KilnmarkError
from kg.essays.publish_markdown import markdown_text
from kg.essays.publish_plan import Manuscript, Settings, manuscript
from kg.essays.syntax import Essay

#: The forms of a print, with the endings of their files.
FORMS = {"docx": ".docx", "pdf": ".pdf", "html": ".html", "markdown": ".md"}


class FormUnknown(KilnmarkError):
    """A form of print was asked for that there is not."""


def published(
    view: WorkingView,
    essays: Iterable[Essay],
    form: str,
    settings: Settings | None = None,
) -> bytes:
    """Essays in a form of print.

    :raises kg.essays.publish_plan.NotToBePrinted: if something in them must not stand in print.
    :raises kg.essays.pandoc.PrintingNotInstalled: if a program is missing.
    :raises kg.essays.pandoc.PrintingFailed: if a program refuses the print.
    :raises FormUnknown: if there is no such form.
    """
    return set_in(manuscript(view, essays, settings), form)


def set_in(made: Manuscript, form: str) -> bytes:
    """A manuscript in a form of print.

    :raises kg.essays.pandoc.PrintingNotInstalled: if a program is missing.
    :raises kg.essays.pandoc.PrintingFailed: if a program refuses the print.
    :raises FormUnknown: if there is no such form.
    """
    if form not in FORMS:
        raise FormUnknown(f"The form {form!r} found; expected one of {', '.join(FORMS)}.")
    if form == "markdown":
        return markdown_text(made).encode()
    with tempfile.TemporaryDirectory(prefix="kilnmark-print-") as folder:
        if form == "docx":
            from kg.essays.publish_docx import docx_document

            return docx_document(made, Path(folder), _moment())
        if form == "pdf":
            from kg.essays.publish_pdf import pdf_pages

            return pdf_pages(made, Path(folder), _moment())
        from kg.essays.publish_html import html_page

        return html_page(made, Path(folder))


def _moment() -> int:
    """The second of making that a print bears: the one that SOURCE_DATE_EPOCH names, else now."""
    named = os.environ.get("SOURCE_DATE_EPOCH", "")
    return int(named) if named.isascii() and named.isdecimal() and len(named) < 12 else int(time.time())
