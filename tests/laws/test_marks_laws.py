"""Laws that hold for every mark."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.marks.transcription import Transcription, TranscriptionNotUnderstood, parse_transcription
from tests.marks.strategies import transcriptions


@given(transcriptions())
def test_a_mark_that_is_written_out_reads_back_as_the_same_mark(mark: Transcription) -> None:
    assert parse_transcription(str(mark)) == mark


@given(st.text(alphabet="AB12[]()./-|\\?: \nḅ\u0323vac,…", max_size=25))
def test_any_text_is_either_a_mark_that_prints_as_typed_or_an_error_that_points_into_it(text: str) -> None:
    try:
        mark = parse_transcription(text)
    except TranscriptionNotUnderstood:
        with pytest.raises(TranscriptionNotUnderstood) as caught:
            parse_transcription(text)
        assert 0 <= caught.value.at <= len(text)
        assert caught.value.wanted in str(caught.value)
    else:
        assert str(mark) == text
        assert parse_transcription(str(replace(mark, written=""))) == mark
