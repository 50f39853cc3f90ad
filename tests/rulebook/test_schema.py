"""A rules file that does not follow the schema: the error names file, line and what is expected."""

import re
import shutil
from pathlib import Path

import pytest

from inkwitness.rulebook import check_file, default_folder, load
from inkwitness.yaml_text import BadRules, parse_yaml

MX = "mx-nom116.yaml"


def place(folder: Path, name: str) -> Path:
    """A file of the folder: a scheme by its name alone, wherever its folder is."""
    (path,) = {*folder.glob(name), *folder.glob(f"schemes/**/{name}")}
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    copy = tmp_path / "rules"
    shutil.copytree(default_folder(), copy)
    return copy


def changed(folder: Path, old: str, new: str, name: str = MX) -> int:
    """Change a file once; the line (from 1) where the change stands."""
    path = place(folder, name)
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return text[: text.index(old)].count("\n") + 1


def error_of(folder: Path) -> str:
    with pytest.raises(BadRules) as caught:
        load(folder)
    return caught.value.message


def test_untouched_copy_loads_and_has_the_same_edition(folder: Path) -> None:
    assert load(folder).edition == load().edition


def test_edition_changes_with_any_letter(folder: Path) -> None:
    changed(folder, "says: Number of the norm.", "says: Number of the norm!")
    assert load(folder).edition != load().edition


def test_unknown_key(folder: Path) -> None:
    line = changed(folder, "  severity: caution", "  severity: caution\n  sevrity: caution")
    assert re.search(rf"{MX}:{line + 1}: .*sevrity.*not known", error_of(folder))


def test_missing_key(folder: Path) -> None:
    changed(folder, "authority: ", "verify: []\n#authority: ")
    message = error_of(folder)
    assert MX in message
    assert "twice" in message or "authority: this key is missing" in message


def test_unknown_severity(folder: Path) -> None:
    line = changed(folder, "  severity: caution", "  severity: grave")
    message = error_of(folder)
    assert f"{MX}:{line}:" in message
    assert "'conflict', 'missing', 'caution' or 'note'" in message


def test_key_that_stands_twice(folder: Path) -> None:
    line = changed(folder, "kind: respirator", "kind: respirator\nkind: respirator")
    assert f"{MX}:{line + 1}: the key 'kind' stands twice" in error_of(folder)


def test_no_yaml_at_all(folder: Path) -> None:
    place(folder, MX).write_text("scheme: [mx\n", encoding="utf-8")
    assert re.search(rf"{MX}:\d+: this is not YAML", error_of(folder))


def test_draft_with_a_conflict(folder: Path) -> None:
    changed(folder, "  severity: caution", "  severity: conflict")
    assert "a draft scheme has cautions and notes only" in error_of(folder)


def test_conflict_known_only_from_memory(folder: Path) -> None:
    changed(folder, "severity: caution\n  check: {digit_count", "severity: conflict\n  check: {digit_count", "br-nbr13698.yaml")  # fmt: skip  # noqa: E501
    assert "br-ca-digit-count: a conflict needs a source" in error_of(folder)


def test_two_kinds_of_check_in_one_rule(folder: Path) -> None:
    changed(folder, "  check: {value_not_in:", "  check: {nothing_read: {of: any}, value_not_in:")
    assert "exactly one of: requires_mark, value_in" in error_of(folder)


def test_rule_without_near_miss(folder: Path) -> None:
    path = place(folder, MX)
    text = path.read_text(encoding="utf-8")
    start = text.index("  not_raised:")
    stop = text.index("- id:", start)
    path.write_text(text[:start] + "  not_raised: []\n" + text[stop:], encoding="utf-8")
    assert "needs an example that raises it and a near miss" in error_of(folder)


def test_required_mark_that_no_rule_misses(folder: Path) -> None:
    changed(folder, "- mark: lot\n", "- mark: shelf_life\n  says: x\n  source: *letter\n  required_on: [facepiece]\n- mark: lot\n", "us-niosh.yaml")  # fmt: skip  # noqa: E501
    assert "shelf_life is required but no rule misses it" in error_of(folder)


def test_pattern_that_a_browser_cannot_run(folder: Path) -> None:
    changed(folder, "regex: '@start@NOM", "regex: '(?P<x>)@start@NOM")
    assert "only what Python re and ECMAScript share" in error_of(folder)


def test_pattern_that_is_none_beside_forms_that_it_should_read(folder: Path) -> None:
    # found by the fuzzer of the rules: the forms were tried on a pattern that does not compile
    changed(folder, "regex: '@start@NOM", "regex: '(@start@NOM")
    assert "is no pattern: missing )" in error_of(folder)


def test_group_that_the_pattern_has_not(folder: Path) -> None:
    changed(folder, "normal: 'NOM-116-STPS-{1}'", "normal: 'NOM-116-STPS-{7}'")
    assert "group 7 is used but the pattern has" in error_of(folder)


def test_signs_that_exclude_each_other_stand_behind_the_class(folder: Path) -> None:
    line = changed(folder, "either_behind: [[NR, R]", "either_behind: [[NR, RX]", "eu-en149.yaml")
    assert f"eu-en149.yaml:{line}: 'RX' is not among behind_class" in error_of(folder)


def test_scheme_that_does_not_exist(folder: Path) -> None:
    changed(folder, "unless_claimed: [mx-nom116", "unless_claimed: [xx-nowhere", "us-niosh.yaml")
    assert "no scheme 'xx-nowhere'" in error_of(folder)


def test_sentence_with_a_value_that_the_check_has_not(folder: Path) -> None:
    line = changed(folder, "The norm reads {printed}", "The norm reads {minimum}", "messages/en/findings.yaml")  # fmt: skip  # noqa: E501
    assert (
        f"en/findings.yaml:{line}: mx-edition-unknown: there is no value {{minimum}}"
        in error_of(folder)
    )


def test_rule_without_a_sentence(folder: Path) -> None:
    changed(folder, "  mx-old-edition:", "  mx-older-edition:", "messages/en/findings.yaml")
    message = error_of(folder)
    assert "no rule is called 'mx-older-edition'" in message
    assert "no sentence for 'mx-old-edition'" in message


def test_one_file_in_the_company_of_the_others(folder: Path) -> None:
    book, scheme = check_file(place(folder, MX))
    assert scheme == "mx-nom116"
    assert book.scheme("mx-nom116") is not None
    changed(folder, "  severity: caution", "  severity: grave")
    with pytest.raises(BadRules, match="severity"):
        check_file(place(folder, MX))


@pytest.mark.parametrize("where", [".", "schemes", "schemes/of/this/house"])
def test_a_scheme_is_found_in_whatever_folder_of_schemes_it_lies(folder: Path, where: str) -> None:
    """And beside `common.yaml`, where schemes stood before they had a folder."""
    (folder / where).mkdir(parents=True, exist_ok=True)
    shutil.move(place(folder, MX), folder / where / MX)
    assert load(folder).schemes == load().schemes


def test_two_files_of_one_name(folder: Path) -> None:
    shutil.copy(place(folder, MX), folder)
    assert f"schemes/{MX}:1: another file is called {MX}; keep one" in error_of(folder)


def test_folder_without_rules(tmp_path: Path) -> None:
    with pytest.raises(BadRules, match=r"there is no common\.yaml"):
        load(tmp_path)


def test_every_scalar_is_text() -> None:
    """YAML 1.1 would make no of `no` and a date of `2020-01-01` (yaml.org/spec/1.1, 10.3.2)."""
    assert parse_yaml("a: no\nb: 2020-01-01\nc: 010\n", "x").content == {
        "a": "no",
        "b": "2020-01-01",
        "c": "010",
    }


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a: &x [*x]", "holds itself"),
        ("a: &x\n  b: *x", "holds itself"),
        # ten lists of three aliases each: 3**10 places
        (
            "a0: &a0 [x, x, x]\n"
            + "".join(f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}, *a{n - 1}]\n" for n in range(1, 11)),
            "fewer aliases",
        ),
    ],
    ids=["a list in itself", "a mapping in itself", "aliases of aliases"],
)
def test_an_alias_that_has_no_end_is_an_error_and_no_crash(text: str, says: str) -> None:
    with pytest.raises(BadRules, match=says):
        parse_yaml(text, "x.yaml")


def test_register_that_no_file_has(folder: Path) -> None:
    changed(folder, "register: uk-bodies-new, raised_when", "register: xx-bodies, raised_when", "eu-en149.yaml")  # fmt: skip  # noqa: E501
    assert "no register 'xx-bodies'" in error_of(folder)


def test_pattern_of_a_register_that_a_browser_cannot_run(folder: Path) -> None:
    changed(folder, "matches: '-2006$'", "matches: '(?P<x>)-2006$'", "registers.yaml")
    assert "only what Python re and ECMAScript share" in error_of(folder)
