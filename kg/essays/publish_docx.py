"""A print as a document for a word processor, with real footnotes, in the house's styles.

The notes of a catalogue are numbered through: they could begin anew only with a section for each entry, and a widely
used word processor then numbers every note of the later sections 0.
"""

from __future__ import annotations

import base64
import io
import re
import zipfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from kg.essays.pandoc import run_pandoc
from kg.essays.pandoc_tree import items, picture_name, tree
from kg.essays.publish_plan import Manuscript
from kg.resources import resource

_CORE = """<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" \
xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/" \
xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><dc:title>{title}</dc:title><dc:creator>{author}</dc:creator>\
<dc:language>{lang}</dc:language><dcterms:created xsi:type="dcterms:W3CDTF">{moment}</dcterms:created>\
<dcterms:modified xsi:type="dcterms:W3CDTF">{moment}</dcterms:modified></cp:coreProperties>
"""
#: Pandoc writes the paths of its files here; a print tells nothing of the computer that made it.
_CUSTOM = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    '<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/custom-properties"></Properties>\n'
)
#: The day that the parts of the file bear, so that the same print has the same bytes.
_PART_DAY = (1980, 1, 1, 0, 0, 0)
_UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def docx_document(manuscript: Manuscript, folder: Path, moment: int) -> bytes:
    """The print as DOCX; ``moment`` is the second of its making that stands in it.

    :raises kg.essays.pandoc.PrintingNotInstalled: if there is no pandoc.
    :raises kg.essays.pandoc.PrintingFailed: if it refuses the print.
    """
    house = resource("sources/reference/house.docx")
    # fmt: off
    made = run_pandoc(
        _with_pictures(manuscript, tree(manuscript)), items(manuscript), manuscript.settings.chosen_style, folder,
        "docx", "--reference-doc", str(house), "--output", "-",
    )
    # fmt: on
    return _finished(made, manuscript, moment)


def _with_pictures(manuscript: Manuscript, part: Any) -> Any:
    """The tree with each picture within it, since nothing else is read."""
    within = {
        picture_name(
            one
        ): f"data:{one.picture.media_type};base64,{base64.b64encode(one.picture.content).decode()}"
        for one in manuscript.illustrations
        if one.picture is not None
    }

    def placed(node: Any) -> Any:
        if isinstance(node, dict) and node.get("t") == "Image":
            attributes, words, (name, title) = node["c"]
            return {"t": "Image", "c": [attributes, words, [within[name], title]]}
        if isinstance(node, dict):
            return {key: placed(value) for key, value in node.items()}
        return [placed(one) for one in node] if isinstance(node, list) else node

    return placed(part) if within else part


def _finished(made: bytes, manuscript: Manuscript, moment: int) -> bytes:
    """The document with its properties, every part of one day."""
    core = _CORE.format(
        title=_xml(manuscript.title),
        author=_xml(manuscript.settings.author or ""),
        lang=_xml(manuscript.settings.tag),
        moment=datetime.fromtimestamp(moment, UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
    )
    own = {"docProps/core.xml": core.encode(), "docProps/custom.xml": _CUSTOM.encode()}
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(made)) as before, zipfile.ZipFile(out, "w") as after:
        for part in before.infolist():
            content = own.get(part.filename) or before.read(part)
            kept = zipfile.ZipInfo(part.filename, _PART_DAY)
            kept.compress_type = zipfile.ZIP_DEFLATED
            after.writestr(kept, content)
    return out.getvalue()


def _xml(text: str) -> str:
    return escape(_UNSEEN.sub("", text))
