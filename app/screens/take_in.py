"""The screen *Take in*: a table, a bibliography or a passage, tried before anything is recorded."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import streamlit as st

from app.address import as_of
from app.daybook import desk
from app.drawing import taking_in as drawn
from app.drawing.fields import Fields
from app.drawing.mapping import mapping_chosen
from app.drawing.passage import passage
from app.drawing.recording import attempt, done, failed
from app.drawing.uploads import uploader
from app.drawing.words import notice, plain, refusal
from app.sign_in import admitted, at_the_desk, signature
from kg.asking.roles import UNSIGNED, Act, Colleague
from kg.asking.taking_in import (
    MOST_BYTES,
    Doubt,
    Trial,
    Upload,
    checked_upload,
    choices_in,
    record_bibliography_of,
    record_table,
    try_bibliography,
    try_table,
    wishes_of,
)
from kg.daybook.record import Entry
from kg.errors import KilnmarkError

Progress = Callable[[str, int, int], None]

#: Where the file that came up last is kept, so that it outlasts another screen; what it was tried as; its doubts.
FILE, TRIED, DOUBTS = "take_in file", "take_in tried", "take_in doubts"

WAYS = {"table": "A table", "bibliography": "A bibliography", "passage": "A passage"}


def screen() -> None:
    """The whole screen."""
    st.title("Take in")
    if not admitted(Act.ADD):
        return
    fields = Fields("take_in")
    done("take_in")
    way = fields.one_of("way", "What is it?", WAYS, horizontal=True)
    if way == "passage":
        passage(fields)
    else:
        _file(fields, way)


def _file(fields: Fields, way: str) -> None:
    """A file: brought up, tried, recorded."""
    upload = _brought_up(way)
    if upload is None:
        st.html(notice("No file yet", _WHAT[way]))
        return
    try:
        mapping = mapping_chosen(fields, upload) if way == "table" else None
        if way == "table" and mapping is None:
            return
        tried = _tried(way, upload, mapping or "", _chosen(fields, upload))
    except KilnmarkError as error:
        st.html(refusal("It cannot be taken in as it stands", error))
        return
    st.html(drawn.trial(tried))
    _doubts(fields, upload, tried)
    _record(way, upload, mapping or "", fields, tried)


_WHAT = {
    "table": """<p>CSV or TSV in UTF-8, or an Excel workbook (.xlsx), with the headings in the first row. Then you
choose what each column says. Nothing is recorded before you have seen what it comes to.</p>""",
    "bibliography": """<p>BibTeX, RIS or CSL-JSON, as a catalogue or a reference list exports it. Each record becomes
a source. Nothing is recorded before you have seen what it comes to.</p>""",
}

_TYPES = {
    "table": ["csv", "tsv", "tab", "txt", "xlsx"],
    "bibliography": ["bib", "bibtex", "ris", "json", "csljson", "txt"],
}


def _brought_up(way: str) -> Upload | None:
    """The file that was brought up last for this way, checked again here."""
    brought = uploader("File", _TYPES[way], f"take_in-file-{way}", MOST_BYTES // 10**6)
    kept: dict[str, Upload] = st.session_state.setdefault(FILE, {})
    if brought is not None:
        try:
            kept[way] = checked_upload(brought.name, brought.getvalue())
        except KilnmarkError as error:
            kept.pop(way, None)
            st.html(refusal("This file is not taken", error))
    elif way in kept:
        st.html(f"<p>Brought up before: {plain(kept[way].name)}.</p>")
    return kept.get(way)


def _tried(way: str, upload: Upload, mapping: str, chosen: tuple[tuple[str, str], ...]) -> Trial:
    """The dry run, worked out anew only when the file, the mapping, a choice or the daybook is another."""
    key = (way, upload.name, upload.digest, mapping, chosen, desk().standpoint().view.revision)
    kept = st.session_state.get(TRIED)
    if kept is None or kept[0] != key:
        who = Colleague(at_the_desk().name or UNSIGNED)
        with _progress("Trying it; nothing is recorded") as tell:
            if way == "table":
                found = try_table(desk(), upload, mapping, who, tell)
            else:
                found = try_bibliography(desk(), upload, wishes_of(chosen), who, tell)
        kept = st.session_state[TRIED] = (key, found)
    found_trial: Trial = kept[1]
    return found_trial


def _doubts(fields: Fields, upload: Upload, tried: Trial) -> None:
    """For each record that may be a source on record: which, or none."""
    seen: dict[tuple[str, str], Doubt] = st.session_state.setdefault(DOUBTS, {})
    seen.update({(upload.digest, doubt.record): doubt for doubt in tried.doubts})
    mine = [doubt for (digest, _), doubt in seen.items() if digest == upload.digest]
    if not mine:
        return
    st.header("May be on record")
    st.html("<p>Each is kept apart unless you say otherwise.</p>")
    for doubt in mine:
        texts = {choice.slug: choice.text for choice in choices_in(doubt)}
        fields.choice(
            f"same {doubt.record}",
            f"{plain(doubt.record)}: {plain(doubt.label)}",
            texts,
            placeholder="Not decided",
        )


def _chosen(fields: Fields, upload: Upload) -> tuple[tuple[str, str], ...]:
    """What was chosen of the records of this file that may be on record."""
    seen: dict[tuple[str, str], Doubt] = st.session_state.get(DOUBTS, {})
    records = [record for digest, record in seen if digest == upload.digest]
    return tuple((one, fields.value(f"same {one}")) for one in records if fields.value(f"same {one}"))


def _record(way: str, upload: Upload, mapping: str, fields: Fields, tried: Trial) -> None:
    leave_out = False
    if way == "bibliography" and tried.faults:
        leave_out = fields.tick("leave-out", "Leave out the records that cannot be read")
    failed("take_in")
    is_signed = signature()
    waits = way == "bibliography" and bool(tried.faults) and not leave_out
    cannot = tried.is_refused or tried.is_empty or not is_signed or waits
    if not st.button("Record it as one entry", key="take_in-record", type="primary", disabled=cannot):
        return

    def work() -> Entry | None:
        with _progress("Recording") as tell:
            if way == "table":
                return record_table(desk(), at_the_desk(), upload, mapping, as_of(), tell)
            wishes = wishes_of(_chosen(fields, upload))
            return record_bibliography_of(
                desk(), at_the_desk(), upload, wishes, as_of(), tell, leave_out=leave_out
            )

    if attempt("take_in", work):
        st.session_state[FILE].pop(way, None)
        st.session_state.pop(TRIED, None)
    st.rerun()


@contextmanager
def _progress(title: str) -> Iterator[Progress]:
    """A bar on the screen, as a function that long work calls with (what, done, of)."""
    bar = st.progress(0.0, text=title)

    def tell(what: str, count: int, of: int) -> None:
        bar.progress(min(count / of, 1.0) if of else 0.0, text=plain(f"{title}: {what}"))

    yield tell
    bar.empty()
