"""Hostile RDF is refused with a clear word before anything is recorded, and nothing is ever fetched."""

from __future__ import annotations

from pathlib import Path

import pytest

from kg.intake import rdf_in_parse
from kg.intake.rdf_in import plan_rdf
from kg.intake.rdf_in_parse import LARGEST_FILE, BadRdf
from tests.conftest import Scene

RDF_OPEN = b'<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" xmlns:x="http://x/">'
BOMB = (
    b'<!DOCTYPE r [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">'
    b'<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>'
)
OUTSIDE = b'<!DOCTYPE r [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
DEEP = 100_000
CASES = {
    "an entity bomb": ("a.rdf", BOMB + RDF_OPEN + b"</rdf:RDF>", "document type or entities"),
    "an entity from outside": ("a.rdf", OUTSIDE + RDF_OPEN + b"</rdf:RDF>", "document type or entities"),
    "a document type alone": (
        "a.rdf", b'<!DOCTYPE r SYSTEM "http://x/y.dtd">' + RDF_OPEN + b"</rdf:RDF>",
        "document type",
    ),
    "XML without an end": ("a.rdf", RDF_OPEN, "no XML that can be read"),
    "XML in another encoding": (
        "a.rdf", b'<?xml version="1.0" encoding="koi8-r"?>' + RDF_OPEN + b"</rdf:RDF>", "no RDF/XML that can be read",
    ),
    "deep XML": (
        "a.rdf", RDF_OPEN + b"<rdf:Description><x:p>" * 200 + b"</x:p></rdf:Description>" * 200 + b"</rdf:RDF>",
        "100 deep",
    ),
    "deep JSON arrays": ("a.jsonld", b"[" * DEEP + b"]" * DEEP, "100 deep"),
    "deep JSON objects": ("a.jsonld", b'{"http://p/p":' * DEEP + b"1" + b"}" * DEEP, "100 deep"),
    "a context elsewhere": (
        "a.jsonld", b'{"@context": "http://example.org/c.jsonld", "@id": "http://a/"}',
        "Nothing is fetched",
    ),
    "a context elsewhere in a list": (
        "a.jsonld", b'{"@context": [{}, "http://example.org/c"], "@id": "http://a/"}',
        "Nothing is fetched",
    ),
    "a context elsewhere further in": (
        "a.jsonld", b'{"http://p/p": {"@context": "http://example.org/c", "@id": "http://a/"}}', "Nothing is fetched",
    ),
    "an imported context": (
        "a.jsonld", b'{"@context": {"@import": "http://example.org/c"}, "@id": "http://a/"}',
        "Nothing is fetched",
    ),
    "JSON that is cut off": ("a.jsonld", b'{"@id": "http://a/"', "no JSON"),
    "a file as an IRI": ("a.ttl", b"<file:///etc/passwd> <http://p/> 1 .", "begins with http, https or urn"),
    "a script as an IRI": ("a.ttl", b"<javascript:alert(1)> <http://p/> 1 .", "begins with http, https or urn"),
    "a file as a datatype": (
        "a.ttl", b'<http://a/> <http://p/> "1"^^<file:///x> .',
        "begins with http, https or urn",
    ),
    "a control character in an IRI": ("a.ttl", b"<http://a/\\u001B> <http://p/> 1 .", "Invalid IRI code point"),
    "an IRI that turns the text round": ("a.nt", b'<http://a/\\u202Ex> <http://p/> "1" .', r"U\+202E"),
    "a relative IRI": ("a.ttl", b"<a> <http://p/> 1 .", "No scheme"),
    "a very long IRI": ("a.ttl", b"<http://a/" + b"x" * 3000 + b"> <http://p/> 1 .", "an IRI of 3,009 characters"),
    "deep Turtle lists": ("a.ttl", b"<http://a/> <http://p/> " + b"(" * DEEP + b")" * DEEP + b" .", "100 deep"),
    "deep triple terms": (
        "a.nt", b"<http://a/> <http://p/> " + b"<<( <http://a/> <http://p/> " * DEEP + b"1" + b" )>>" * DEEP + b" .",
        "100 deep",
    ),
    "one endless text": (
        "a.ttl", b'<http://a/> <http://p/> "' + b"x" * 20_000_000 + b'" .', "a text of more than 16,777,216 characters",
    ),
    "packed with gzip": ("a.nt", b"\x1f\x8b\x08\x00\x00", "packed with gzip"),
    "packed with zip": ("a.ttl", b"PK\x03\x04rest", "packed with zip"),
    "UTF-16": ("a.ttl", '<http://a/> <http://p/> "é" .'.encode("utf-16"), "not UTF-8"),
    "Latin-1": ("a.ttl", '<http://a/> <http://p/> "é" .'.encode("latin-1"), "byte 25 is 0xe9"),
    "zero bytes": ("a.ttl", b"\x00" * 50, "not UTF-8"),
    "nothing": ("a.ttl", b" \n", "is empty"),
    "another ending": ("a.doc", b"x", "no ending of an RDF file"),
    "Turtle that is cut off": ("a.ttl", b"<http://a/> <http://p/> 1", "no Turtle that can be read"),
}  # fmt: skip


@pytest.mark.parametrize(("name", "content", "told"), CASES.values(), ids=CASES)
def test_hostile_rdf_is_refused_and_nothing_is_recorded(
    scene: Scene, tmp_path: Path, name: str, content: bytes, told: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    before = scene.daybook.shelf.names()
    with pytest.raises(BadRdf, match=told) as caught:
        plan_rdf(scene.daybook.view(), path, "A")
    assert len(str(caught.value)) < 700
    assert not any(ord(sign) < 0x20 for sign in str(caught.value))
    assert scene.daybook.shelf.names() == before


def test_a_file_of_one_endless_line_is_refused_by_its_size_unread(scene: Scene, tmp_path: Path) -> None:
    path = tmp_path / "long.nt"
    with path.open("wb") as file:
        file.truncate(2**30)
    with pytest.raises(BadRdf, match=f"1,073,741,824 bytes; at most {LARGEST_FILE:,}"):
        plan_rdf(scene.daybook.view(), path, "A")


def test_more_statements_than_are_taken_are_refused(
    scene: Scene, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rdf_in_parse, "MOST_STATEMENTS", 2)
    path = tmp_path / "many.nt"
    path.write_text(
        '<http://a/> <http://p/> "1" , "2" , "3" .'.replace(" , ", " .\n<http://a/> <http://p/> ")
    )
    with pytest.raises(BadRdf, match="more than 2 statements"):
        plan_rdf(scene.daybook.view(), path, "A")


def test_a_folder_is_no_file(scene: Scene, tmp_path: Path) -> None:
    (tmp_path / "folder.ttl").mkdir()
    with pytest.raises(BadRdf, match="no regular file"):
        plan_rdf(scene.daybook.view(), tmp_path / "folder.ttl", "A")


def test_brackets_inside_texts_and_comments_are_no_nesting(scene: Scene, tmp_path: Path) -> None:
    path = tmp_path / "flat.ttl"
    text = '<https://kilnmark.example/thing/lady> <https://kilnmark.example/vocabulary#noted> "{}" .\n# {}\n'
    path.write_text(text.format("[" * 500, "((<<" * 500), encoding="utf-8")
    note = plan_rdf(scene.daybook.view(), path, "A").note
    assert note is not None
    assert note.drafts[0].value == "[" * 500


def test_a_byte_order_mark_before_utf8_is_passed_over(scene: Scene, tmp_path: Path) -> None:
    path = tmp_path / "marked.nt"
    line = '<https://kilnmark.example/thing/lady> <https://kilnmark.example/vocabulary#noted> "é" .\n'
    path.write_bytes(b"\xef\xbb\xbf" + line.encode())
    assert plan_rdf(scene.daybook.view(), path, "A").note is not None
