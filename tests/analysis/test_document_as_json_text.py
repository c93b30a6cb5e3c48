"""JSON text is read strictly: nothing is said twice, nothing is no number."""
from __future__ import annotations

import pytest

from analysis.document import CaseFaults, read_json


@pytest.mark.parametrize(("text", "words"), [
    ('{"a": 1,\n "a": 2}', 'the key "a" stands twice'),
    ('{"b": {"a": 1, "a": 2}}', 'the key "a" stands twice'),
    ('{"a": NaN}', "NaN is not a number"),
    ('{"a": -Infinity}', "-Infinity is not a number"),
    ('{"a": 1e400}', "1e400 is not a number"),
    ('{"a": 1,\n "b"}', "line 2, column 5"),
    ("", "line 1, column 1"),
    ("[" * 100_000, "groups inside groups"),
    ("1" * 5_000, "far too long"),
    (" " * 1_000_001, "larger than 1 MB"),
    (b"\xff\xfe{}", "UTF-8"),
    (b"\xc3\xa9" * 500_001, "larger than 1 MB"),
])
def test_text_that_is_no_sound_json_is_refused_with_the_place(text: str | bytes, words: str) -> None:
    with pytest.raises(CaseFaults) as caught:
        read_json(text)
    (fault,) = caught.value.faults
    assert words in fault.problem and fault.mend.endswith(".")


def test_sound_json_is_read_with_or_without_a_byte_order_mark() -> None:
    assert read_json('{"a": [1, 2.5, null, "é"]}') == {"a": [1, 2.5, None, "é"]}
    assert read_json(b"\xef\xbb\xbf{}") == read_json("\ufeff{}") == {}
