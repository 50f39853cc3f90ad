"""Tables of our own and of others into a list; what spreadsheets do to them is noticed."""

import datetime as dt
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inkwitness.errors import BadInput, BadList, InkwitnessError, TooLarge
from inkwitness.holders.files import tables
from inkwitness.holders.files.columns import FIELDS, ColumnMap, find_columns
from inkwitness.holders.files.importing import Preview, list_of, preview, read_csv, table_of
from inkwitness.holders.files.rows import RowRules
from inkwitness.holders.values import PrivateLabel
from inkwitness.marks.grammar import Grammar, Pattern
from inkwitness.rulebook import headings
from inkwitness.yaml_text import BadRules

HEADER = ",".join(FIELDS)
ROW = "us-niosh,TC-84A-9981,,Vexholm,,,N95,VX-910,,,current,,letter,2031-03-12,Ines"
NIOSH = Grammar(
    "approval_number",
    "us-niosh",
    (Pattern(r"\bTC-84A-([0-9]{4})\b", "TC-84A-{1}"),),
)


def own(*rows: str) -> Preview:
    return preview("\n".join((HEADER, *rows)).encode())


def cell(column: str, value: str) -> Preview:
    values = dict(zip(FIELDS, ROW.split(","), strict=True)) | {column: f'"{value}"'}
    return own(",".join(values.values()))


def test_a_row_of_our_own_columns() -> None:
    row = (
        'eu-en149,,ZK/31/0457,Halcyra Respire,"Halcyra; HR","Lumbrel Care: LC-22, LC-23; Kestrane",'
        "FFP2 NR D,HR-F2; HR-F2V,9871,9862,current,2034-05-31,certificate,2031-03-12,Ines Okparo"
    )
    (entry,) = own(row).entries
    assert entry.other_names == ("Halcyra", "HR")
    assert entry.private_labels == (
        PrivateLabel("Lumbrel Care", ("LC-22", "LC-23")),
        PrivateLabel("Kestrane"),
    )
    assert entry.models == ("HR-F2", "HR-F2V")
    assert (entry.examination_body, entry.production_body) == ("9871", "9862")
    assert (entry.status, entry.valid_until) == ("current", dt.date(2034, 5, 31))


def test_the_list_of_the_sample_pictures_reads_without_a_problem() -> None:
    path = Path(__file__).parents[3] / "sample_images" / "holders.csv"
    found = preview(path.read_bytes())
    assert (found.problems, found.rows) == ((), len(found.entries))
    assert read_csv(path).fictional is True


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_encodings_and_signs_between_cells(codec: str, sign: str) -> None:
    text = "\n".join((HEADER, ROW.replace("Vexholm", "Vexhólm"))).replace(",", sign)
    (entry,) = preview(text.encode(codec)).entries
    assert (entry.holder, entry.models) == ("Vexhólm", ("VX-910",))


def test_an_encoding_that_does_not_say_itself_is_named() -> None:
    text = "\n".join((HEADER, ROW.replace("Vexholm", "Vexhólm")))
    found = preview(text.encode("cp1252"))
    assert found.entries[0].holder == "Vexhólm"
    assert "Windows-1252" in found.notes[0]


def test_a_table_of_others_with_title_rows_own_headers_and_several_models_in_a_cell() -> None:
    text = (
        "List of respirators;;;\n;as of 12 March 2031;;\n\n"
        "TC Number;Manufacturer;Type;Model Numbers\n"
        'TC-84A-9981;Vexholm Filtration Works;N95;"VX-910, VX-911\nVX-912"\n'
        "TC-84A-9982;Vexholm Filtration Works;P100;VX-940\n"
        ";;;\nAll rights with the publisher;;;\n"
    )
    mapping = ColumnMap({"filter_class": "type"}, {"scheme": "us-niosh", "status": "current"})
    found = preview(text.encode(), mapping=mapping)
    assert found.header_row == 4
    assert [entry.approval_number for entry in found.entries] == ["TC-84A-9981", "TC-84A-9982"]
    assert found.entries[0].models == ("VX-910", "VX-911", "VX-912")
    assert {entry.status for entry in found.entries} == {"current"}
    assert [(one.row, one.level) for one in found.problems] == [(8, "doubt")]  # the footnote


def test_a_row_a_model_gives_one_entry() -> None:
    text = (
        "TC Number,Manufacturer,Model\nTC-84A-9981,Vexholm Ltd,VX-910\nTC 84A 9981,VEXHOLM,VX-911"
    )
    found = preview(text.encode(), mapping=ColumnMap(fixed={"scheme": "us-niosh"}))
    assert len(found.entries) == 1
    assert found.entries[0].models == ("VX-910", "VX-911")
    assert "1 rows joined" in found.notes[-1]


@pytest.mark.parametrize(
    ("column", "values"),
    [
        ("holder", ("Vexholm", "Quarrimond")),
        ("status", ("current", "rescinded")),
        ("filter_class", ("N95", "P100")),
        ("valid_until", ("2031-01-01", "2031-02-01")),
        ("production_body", ("9871", "9862")),
    ],
)
def test_rows_of_one_number_that_disagree_are_an_error_that_names_both(
    column: str, values: tuple[str, str]
) -> None:
    rows = []
    for value in values:
        cells = dict(zip(FIELDS, ROW.split(","), strict=True)) | {column: value}
        rows.append(",".join(cells.values()))
    (problem,) = own(*rows).errors
    assert (problem.row, f"'{column}'" in problem.column) == (3, True)
    assert "row 2" in problem.message


@pytest.mark.parametrize(
    ("column", "value", "level", "says"),
    [
        ("holder", "", "error", "empty"),
        ("scheme", "NIOSH approved", "error", "no scheme id"),
        ("status", "valid-ish", "error", "no status"),
        ("valid_until", "04/05/2031", "error", "one reading only"),
        ("checked_on", "2031-02-30", "error", "one reading only"),
        ("production_body", "42", "error", "0042"),
        ("production_body", "ABC", "doubt", "four digits"),
        ("models", "Mar-95", "doubt", "date"),
        ("models", "VX-910; 2031-03-05", "doubt", "date"),
        ("models", "1.20E+05", "error", "digits lost"),
        ("approval_number", "1.2E+15", "error", "digits lost"),
        ("approval_number", "3-Mar", "doubt", "date"),
    ],
)
def test_every_problem_names_row_and_column_and_what_to_do(
    column: str, value: str, level: str, says: str
) -> None:
    found = cell(column, value)
    (problem,) = found.problems
    assert (problem.row, problem.level) == (2, level)
    assert f"'{column}'" in problem.column
    assert says in problem.message
    assert len(found.entries) == (1 if level == "doubt" else 0)


@pytest.mark.parametrize("value", ["12E4", "VX-910", "3-95", "0042", "5.10"])
def test_models_that_spreadsheets_would_spoil_are_fine_as_text(value: str) -> None:
    found = cell("models", value)
    assert (found.problems, found.entries[0].models) == ((), (value,))


def test_a_date_in_words_is_read_and_one_with_two_readings_is_not() -> None:
    assert cell("valid_until", "4 May 2031").entries[0].valid_until == dt.date(2031, 5, 4)
    assert cell("valid_until", "4.5.2031").errors


def test_a_number_that_has_lost_its_zeros_is_a_doubt_where_the_rule_book_knows_its_form() -> None:
    rules = RowRules(grammars=(NIOSH,), on=dt.date(2031, 3, 18))
    text = f"{HEADER}\n{ROW.replace('TC-84A-9981', '42')}".encode()
    (problem,) = preview(text, rules=rules).problems
    assert (problem.level, "not printed like" in problem.message) == ("doubt", True)
    assert preview(f"{HEADER}\n{ROW}".encode(), rules=rules).problems == ()


def test_a_scheme_that_the_rule_book_has_not_and_a_check_in_the_future_are_errors() -> None:
    rules = RowRules(schemes=("eu-en149",), on=dt.date(2031, 3, 11))
    found = preview(f"{HEADER}\n{ROW}".encode(), rules=rules)
    assert ["scheme" in one.column or "checked_on" in one.column for one in found.errors] == [
        True,
        True,
    ]


def test_an_entry_that_cannot_be_looked_up_is_an_error() -> None:
    (problem,) = own(",,,Vexholm".replace(",,,", "us-niosh,,,", 1) + "," * 11).errors
    assert "look up by" in problem.message


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"\n\n  \n", "empty"),
        (b"just a line of text\nand another", "No header row"),
        (HEADER.encode(), "no entry below"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"x" * 50, "old kind"),
        (b"scheme,holder\nus-niosh,Vex\0holm", "zero"),
        (b"\xff\xfea\xd8b\xd8", "does not fit"),
        (f'{HEADER}\nus-niosh,"open'.encode(), "quotation mark"),
        (b"PK\x03\x04 no archive", "cannot be read"),
        (b"holder,models\nVexholm,VX-910", "no column for scheme"),
        (b"scheme,manufacturer,maker\nus-niosh,a,b", "both look like holder"),
        (b'{"format": "another"}', "Field required"),
        (b'{"format": "another", "name": "x", "entries": []}', "is not"),
        (b"{", "Invalid JSON"),
    ],
)
def test_a_file_that_is_no_list_says_why(data: bytes, says: str) -> None:
    with pytest.raises(BadList, match=says):
        list_of(preview(data), name="x")


def test_limits_on_rows_letters_and_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "MOST_ROWS", 3)
    with pytest.raises(BadList, match="Row 4"):
        own(ROW, ROW, ROW)
    with pytest.raises(BadList, match="Row 2, column D"):
        cell("holder", "x" * 5000)
    monkeypatch.setattr(tables, "MOST_BYTES", 100)
    with pytest.raises(TooLarge, match="MiB"):
        own(ROW)


@pytest.mark.parametrize(
    ("mapping", "says"),
    [
        (ColumnMap({"colour": "x"}), "no field"),
        (ColumnMap({"holder": "Nobody"}, {"scheme": "us-niosh"}), "not in the header"),
        (ColumnMap({"holder": "#ZZ"}, {"scheme": "us-niosh"}), "no column ZZ"),
        (ColumnMap(header_row=99), "no header"),
    ],
)
def test_a_mapping_that_cannot_be_says_why(mapping: ColumnMap, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        preview(f"{HEADER}\n{ROW}".encode(), mapping=mapping)


def test_columns_can_be_named_by_their_letters_where_there_is_no_header() -> None:
    mapping = ColumnMap({"approval_number": "#A", "holder": "#B"}, {"scheme": "us-niosh"})
    found = preview(b"TC-84A-9981,Vexholm\nTC-84A-9982,Vexholm", mapping=mapping)
    assert [entry.approval_number for entry in found.entries] == ["TC-84A-9981", "TC-84A-9982"]


def test_fictional_rows_cannot_enter_a_live_list_nor_stand_among_others() -> None:
    marked = ROW.replace("letter", "FICTIONAL demo").replace("9981", "9982")
    with pytest.raises(BadList, match="FICTIONAL"):
        list_of(own(ROW, marked), name="x")
    with pytest.raises(BadList, match="FICTIONAL"):
        list_of(own(marked), name="x", fictional=False)
    assert list_of(own(marked), name="x").fictional is True
    assert list_of(own(ROW), name="x").fictional is False


def test_the_day_of_a_list_is_the_oldest_of_its_current_entries_unless_said() -> None:
    older = ROW.replace("9981", "9982").replace("2031-03-12", "2031-01-02")
    ended = ROW.replace("9981", "9983").replace("2031-03-12", "2020-01-02")
    ended = ended.replace("current", "rescinded")
    found = own(ROW, older, ended)
    assert list_of(found, name="x").checked_on == dt.date(2031, 1, 2)
    assert list_of(found, name="x", checked_on=dt.date(2031, 3, 12)).checked_on == dt.date(
        2031, 3, 12
    )


def test_a_file_with_errors_gives_no_list_and_names_them_all(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(f"{HEADER}\n{ROW.replace('current', 'odd')}\n{ROW.replace('Vexholm', '')}")
    with pytest.raises(BadList) as raised:
        read_csv(path)
    assert "list.csv" in raised.value.message
    assert "Row 2" in raised.value.message
    assert "Row 3" in raised.value.message
    with pytest.raises(BadList, match="No such file"):
        read_csv(tmp_path / "none.csv")


def tried(data: bytes) -> tuple[Preview | None, str]:
    """The preview, or what our own error says; any other error is raised."""
    try:
        return preview(data), ""
    except InkwitnessError as error:
        return None, error.message


@settings(max_examples=200)
@given(st.binary(max_size=300))
def test_any_bytes_give_a_preview_or_one_of_our_errors(data: bytes) -> None:
    found, said = tried(data)
    assert (found is None) == bool(said)


@settings(max_examples=200)
@given(st.lists(st.lists(st.text(max_size=6), max_size=16), max_size=6))
def test_any_cells_below_a_header_give_a_preview_or_one_of_our_errors(
    rows: list[list[str]],
) -> None:
    text = "\n".join([HEADER, *(",".join(row) for row in rows)])
    found, said = tried(text.encode("utf-8", "surrogatepass"))
    assert said or (found is not None and all(one.row > 1 for one in found.problems))


@pytest.mark.parametrize(
    ("number", "holder", "until"),
    [
        # the words of four languages for approval number, holder, valid until: common practice
        ("Número de aprobación", "Fabricante", "Válido hasta"),
        ("Numéro d'approbation", "Titulaire", "Valable jusqu'au"),
        ("Número de aprovação", "Fabricante", "Validade"),
        ("Zulassungsnummer", "Hersteller", "Gültig bis"),
    ],
)
def test_headings_of_other_languages_are_known_with_their_accents(
    number: str, holder: str, until: str
) -> None:
    theirs = f"scheme,{number},{holder},{until}\nus-niosh,TC-84A-9981,Vexholm,2034-05-31\n"
    found = find_columns(table_of(theirs.encode()), ColumnMap())
    assert set(found.at) == {"scheme", "approval_number", "holder", "valid_until"}


def test_a_heading_under_two_fields_is_refused(tmp_path: Path) -> None:
    path = tmp_path / headings.FILE
    path.write_text("headings:\n  holder: [maker]\n  models: [Maker]\n  colour: [shade]\n")
    with pytest.raises(BadRules) as caught:
        headings.load(FIELDS, tmp_path)
    assert [line.partition(" ")[2] for line in str(caught.value).splitlines()] == [
        "'Maker' stands under holder too",
        f"no field 'colour', but {', '.join(FIELDS)}",
    ]
