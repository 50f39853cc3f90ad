"""The chain's JSON is that of RFC 8785 (2020), and rows written before it stay as they were."""

import datetime as dt
import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import insert

from inkwitness.errors import BadInput, Differs
from inkwitness.records import chain, tables
from inkwitness.records.chain import WriteContext, canonical, local_actor
from inkwitness.records.database import open_database

CONTEXT = WriteContext(
    local_actor("Ines Okparo"), dt.datetime(2031, 3, 18, 9, 0, tzinfo=dt.UTC), -420_000
)
OLD_FORM = '{"label":"Ostrevane é","least":1e-07,"probability":1.0,"wide":1e+16}'


def old_canonical(content: object) -> str:
    """The form of rows written before RFC 8785 came in: as Python writes JSON, keys sorted."""
    return json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


@pytest.mark.parametrize(
    ("content", "text"),
    [
        # RFC 8785 appendix B: numbers as ECMAScript writes them
        ({"n": [1.0, 4.5, 2e-3, 1e-27, 1e21, 333333333.33333329]},
         '{"n":[1,4.5,0.002,1e-27,1e+21,333333333.3333333]}'),
        ({"n": [-0.0, 1e16, 1e-7]}, '{"n":[0,10000000000000000,1e-7]}'),
        # RFC 8785 3.2.3: keys in the order of their UTF-16 code units
        ({"\ufb33": 1, "\U0001f600": 2, "\r": 3, "1": 4, "\u20ac": 5, "\u0080": 6},
         '{"\\r":3,"1":4,"\u0080":6,"\u20ac":5,"\U0001f600":2,"\ufb33":1}'),
        # 3.2.2.2: only what must be escaped is, in lower case
        ({"s": "\u20ac$\u000f\nA'B\"\\/"}, '{"s":"\u20ac$\\u000f\\nA\'B\\"\\\\/"}'),
    ],
)  # fmt: skip
def test_content_is_written_as_the_standard_says(content: Any, text: str) -> None:
    assert canonical(content) == text


@pytest.mark.parametrize("content", [2**53, float("nan"), float("inf"), "half \ud83d"])
def test_what_the_standard_cannot_hold_is_refused_with_what_to_do(content: object) -> None:
    with pytest.raises(BadInput, match="Send whole numbers"):
        canonical({"value": content})


@pytest.mark.parametrize("content", [{1: 2}, b"bytes"])
def test_what_only_the_program_can_have_made_is_its_own_fault(content: Any) -> None:
    with pytest.raises(rfc8785.CanonicalizationError):
        canonical(content)


whole = st.integers(-(2**53) + 1, 2**53 - 1)
words = st.text()  # hypothesis makes no lone surrogates unless asked
flat = st.none() | st.booleans() | whole | words
# Keys of ours are plain names: where none is beyond U+FFFF, both forms sort them alike.
keys = st.text(st.characters(max_codepoint=0xD7FF))


@given(st.recursive(flat, lambda inner: st.lists(inner) | st.dictionaries(keys, inner)))
def test_both_forms_are_the_same_where_no_fraction_stands(content: Any) -> None:
    assert canonical(content) == old_canonical(content)


@given(words, words, st.none() | whole, words, words)
def test_what_is_hashed_is_the_same_in_both_forms(
    actor: str, at: str, offset: int | None, content: str, id_: str
) -> None:
    row = {"actor": actor, "at": at, "clock_offset_ms": offset, "content": content, "id": id_}
    text = rfc8785.dumps(row).decode()
    row["previous"] = "0" * 64
    expected = hashlib.sha256(f"{row['previous']}\n{text}".encode()).hexdigest()
    assert chain._hash(row) == expected


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_comes_back_as_it_was(number: float) -> None:
    text = canonical([number])
    assert chain.parsed(text) == [number]
    assert canonical(chain.parsed(text)) == text


def test_rows_of_both_forms_stand_in_one_chain(tmp_path: Path) -> None:
    database = open_database(tmp_path / "d.sqlite")
    actor = old_canonical({"id": "local:ines okparo", "name": "Ines Okparo", "roles": ["screener"]})
    at = "2031-03-18T09:00:00.000+00:00"
    signed = old_canonical(
        {"actor": actor, "at": at, "clock_offset_ms": 12, "content": OLD_FORM, "id": "old"}
    )
    first = hashlib.sha256(b"inkwitness chain consignments").hexdigest()
    row = {
        "id": "old", "content": OLD_FORM, "actor": actor, "at": at, "clock_offset_ms": 12,
        "previous": first, "hash": hashlib.sha256(f"{first}\n{signed}".encode()).hexdigest(),
    }  # fmt: skip
    content = json.loads(OLD_FORM)
    with database.writing() as conn:
        conn.execute(insert(tables.consignments).values(**row))
        again, new = chain.append(conn, tables.consignments, "old", content, CONTEXT)
        assert (again.hash, new) == (row["hash"], False)
        with pytest.raises(Differs):
            chain.append(conn, tables.consignments, "old", content | {"least": 2e-7}, CONTEXT)
        entry, _ = chain.append(conn, tables.consignments, "new", content, CONTEXT)
        assert entry.content == content
        assert chain.append(conn, tables.consignments, "new", content, CONTEXT) == (entry, False)
        state = chain.check_chain(conn, tables.consignments)
    assert (state.rows, state.broken_at) == (2, None)
    with database.reading() as conn:
        texts = conn.exec_driver_sql("SELECT content FROM consignments").scalars().all()
    assert texts == [
        OLD_FORM,
        '{"label":"Ostrevane é","least":1e-7,"probability":1,"wide":10000000000000000}',
    ]
