"""Which papers a buyer asks for: data of each scheme, with a source and an example."""

import re
from dataclasses import replace

import pytest

from inkwitness import phrases
from inkwitness.consignment.papers.examples import beside_of, problems_of_wanted
from inkwitness.consignment.papers.judge import judge, name_of, says, source_of
from inkwitness.phrases import rules_folder
from inkwitness.reports.papers import papers_needed
from inkwitness.rulebook import Scheme, load
from inkwitness.rulebook.load import texts_of
from inkwitness.rulebook.paper import Paper, WantedPaper
from inkwitness.rulebook.papers import PaperExample, check_wanted

BOOK = load()
SAID = phrases.shipped()
WANTED = [(scheme, one) for scheme in BOOK.schemes for one in scheme.papers]
INVOICE = Paper("invoice", "Invoice")


@pytest.mark.parametrize(
    ("scheme", "wanted"), WANTED, ids=[f"{s.scheme}-{w.paper}" for s, w in WANTED]
)
def test_it_is_missed_until_it_is_there_and_must_say_what_the_print_says(
    scheme: Scheme, wanted: WantedPaper
) -> None:
    assert problems_of_wanted(scheme.scheme, wanted, BOOK) == []


def test_each_scheme_says_what_it_asks_for_in_every_language() -> None:
    assert [scheme.scheme for scheme in BOOK.schemes if not scheme.papers] == []
    for language, say in SAID.languages.items():
        lacking = [one.paper for _, one in WANTED if f"wanted.{one.paper}" not in say]
        assert lacking == [], language


#: Titles in the words of the law, by scheme: from memory but for Regulation (EU) 2016/425 (Annexes
#: V and IX) and NR-6, which other rules here were written from.
TITLES = {
    "eu-en149": {"EU type-examination certificate", "EU declaration of conformity"},
    "br-nbr13698": {"Certificado de Aprovação"},
    "jp-ds": {"型式検定合格証"},
    "cn-gb19083": {"医疗器械注册证"},
    "kr-kosha": {"안전인증서"},
    "med-en14683": {"EU declaration of conformity"},
}


def test_titles_are_those_of_the_law() -> None:
    for name, titles in TITLES.items():
        scheme = BOOK.scheme(name)
        assert scheme is not None
        assert titles <= {one.titles[0] for one in scheme.papers}


def test_what_is_known_from_memory_is_no_more_than_a_caution() -> None:
    """A draft has cautions and notes only, and nobody is refused for what was never looked up."""
    (scheme, one), *_ = [(s, w) for s, w in WANTED if w.source.known == "from-memory"]
    graver = replace(scheme, papers=(replace(one, lacking="missing"),))
    text = texts_of(rules_folder())[f"{scheme.scheme}.yaml"]
    (problem,) = check_wanted(text, graver, BOOK.papers)
    assert "no more than a caution" in problem


def test_a_field_that_no_rule_compares_cannot_be_said_to_have_to_agree() -> None:
    scheme = BOOK.scheme("cn-gb2626")
    assert scheme is not None
    report = scheme.papers[0]
    told = problems_of_wanted("cn-gb2626", replace(report, agrees=("standard",)), BOOK)
    assert told == [
        "cn-gb2626: cn.report: no rule is raised where its standard is not that of the print"
    ]


def test_of_goods_of_two_schemes_the_papers_of_both_are_asked_for() -> None:
    """Each claimed scheme counts by itself: a paper of one stands in for none of another."""
    face = "OSTREVANE SAFETY / OV-2 / N95 / NIOSH / TC-84A-9981 / LOT 5 / 国(05)検 TM982 捨 DS2"
    label = Paper("approval_label", "Approval Label", number="TC-84A-9981")
    for papers, absent in (((INVOICE,), {"us.label", "jp.passed"}), ((label,), {"jp.passed"})):
        found = judge(beside_of(PaperExample(*papers, print=face), BOOK), BOOK).findings
        told = {dict(one.values).get("wanted") for one in found} - {None}
        assert told == absent


def test_the_finding_names_the_paper_and_its_own_source() -> None:
    face = "BRISDAAL TEXTIEL / SC-2 / PFF2 (S) / CA 49981 / LOTE 2509A"
    (found,) = judge(beside_of(PaperExample(INVOICE, print=face), BOOK), BOOK).findings
    assert (found.severity, found.question) == ("missing", False)
    assert "NR-6" in source_of(found, BOOK)
    for say in SAID.languages.values():
        assert "Certificado de Aprovação" in says(found, say)


@pytest.mark.parametrize("scheme", [scheme.scheme for scheme in BOOK.schemes])
def test_a_seller_is_asked_for_them_and_for_nothing_in_general_words(scheme: str) -> None:
    say = SAID.of("en")
    told = papers_needed([scheme], BOOK, say).papers
    named = BOOK.scheme(scheme)
    assert named is not None
    assert told[: len(named.papers)] == tuple(name_of(one, say) for one in named.papers)
    assert say("papers.other") not in told


def test_a_title_in_other_letters_stands_where_text_is_copied_and_in_no_drawing() -> None:
    """A seller in China knows it by 检验报告; the font of a report may lack such letters."""
    say = SAID.of("en")
    drawn = papers_needed(["cn-gb2626", "jp-ds", "br-nbr13698"], BOOK, say).papers
    assert "".join(drawn).isascii() is False  # Aprovação
    assert not re.search("[\u3040-\u9fff]", "".join(drawn))
    copied = papers_needed(["cn-gb2626"], BOOK, say, titles=True).papers
    assert copied[0].endswith("of GB 2626 (检验报告)")
