"""Editions in the records: proposed, accepted, rebuilt; stock judged again; official look-ups."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import text

from inkwitness.errors import BadInput, BadList, Differs, NotFound
from inkwitness.holders.editions import next_edition
from inkwitness.holders.values import HolderList
from inkwitness.records import chain, checks, lists
from inkwitness.records.consignments import Refused
from inkwitness.records.database import Database, open_database
from inkwitness.records.store import new_id
from inkwitness.records.tables import list_editions, list_proposals
from inkwitness.use_cases import look_ups
from inkwitness.use_cases.intake import on_paper
from inkwitness.use_cases.judged import rechecks
from inkwitness.use_cases.look_ups import Asked, Attachment
from tests.holders import stock
from tests.holders.house_list import E1, E2, E5, HOUSE_LIST
from tests.holders.stock import CONTEXT, KEEPER
from tests.holders.strategies import lists as any_lists

LIVE = replace(HOUSE_LIST, edition=None)


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    opened = open_database(tmp_path / "inkwitness.sqlite")
    yield opened
    opened.close()


def put(database: Database, held: HolderList) -> str:
    """Propose and accept a list; answers the id of the edition."""
    with database.writing() as conn:
        proposal, _ = lists.propose(conn, new_id(), held, CONTEXT)
        return lists.accept(conn, new_id(), proposal.id, KEEPER)[0].id


def test_there_is_no_list_before_one_is_accepted(database: Database) -> None:
    with database.writing() as conn:
        lists.propose(conn, new_id(), LIVE, CONTEXT)
        assert lists.current(conn) is None
        assert [len(lists.open_proposals(conn)), lists.editions(conn)] == [1, []]


def test_an_accepted_proposal_is_the_edition_in_force(database: Database) -> None:
    put(database, LIVE)
    with database.reading() as conn:
        assert lists.current(conn) == replace(LIVE, edition=1)
        (edition,) = lists.editions(conn)
        assert lists.open_proposals(conn) == []
    assert (edition.proposed_by, edition.accepted_by) == ("Ines Okparo", "Bo Terrazin")
    assert edition.entries == len(LIVE.entries)


def test_a_proposal_shows_its_difference_and_changes_nothing_until_accepted(
    database: Database,
) -> None:
    put(database, LIVE)
    ended = replace(E5, status="rescinded", valid_until=dt.date(2031, 3, 18))
    with database.writing() as conn:
        proposal, _ = lists.propose(conn, new_id(), replace(LIVE, entries=(ended,)), CONTEXT)
        kinds = [change.kind for change in lists.changes_of(conn, proposal.id)]
        assert (kinds.count("changed"), kinds.count("added")) == (1, 0)
        assert lists.current(conn) == replace(LIVE, edition=1)


def test_two_people_for_a_change_where_accounts_are_on(database: Database) -> None:
    with database.writing() as conn:
        proposal, _ = lists.propose(conn, new_id(), LIVE, CONTEXT)
        with pytest.raises(Refused, match="second list keeper"):
            lists.accept(conn, new_id(), proposal.id, CONTEXT, two_people=True)
        edition, _ = lists.accept(conn, new_id(), proposal.id, KEEPER, two_people=True)
    assert edition.content["edition"] == 1


def test_a_proposal_made_against_an_older_edition_is_not_accepted(database: Database) -> None:
    put(database, LIVE)
    with database.writing() as conn:
        late, _ = lists.propose(conn, new_id(), replace(LIVE, name="late"), CONTEXT)
    put(database, replace(LIVE, name="earlier"))
    with database.writing() as conn, pytest.raises(Differs, match="Propose the change again"):
        lists.accept(conn, new_id(), late.id, KEEPER)


def test_the_same_again_changes_nothing(database: Database) -> None:
    id_, edition_id = new_id(), new_id()
    with database.writing() as conn:
        first = lists.propose(conn, id_, LIVE, CONTEXT)
        assert lists.propose(conn, id_, LIVE, CONTEXT) == (first[0], False)
        made, new = lists.accept(conn, edition_id, id_, KEEPER)
        assert (lists.accept(conn, edition_id, id_, KEEPER), new) == ((made, False), True)
        assert lists.propose(conn, id_, LIVE, CONTEXT) == (first[0], False)
        with pytest.raises(BadList, match="changes nothing"):
            lists.propose(conn, new_id(), LIVE, CONTEXT)
        with pytest.raises(NotFound, match="no edition 2"):
            lists.edition(conn, 2)


def test_a_list_that_was_changed_behind_our_back_is_not_used(database: Database) -> None:
    put(database, LIVE)
    with database.writing() as conn:
        conn.execute(text("DROP TRIGGER refuse_update_list_proposals"))
        conn.execute(text("UPDATE list_proposals SET content = replace(content, 'P100', 'N95')"))
    with database.reading() as conn:
        with pytest.raises(BadList, match="backup"):
            lists.current(conn)
        assert chain.check_chain(conn, list_proposals).broken_at == 1
        assert chain.check_chain(conn, list_editions).broken_at is None


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(any_lists(), min_size=1, max_size=4))
def test_any_edition_can_be_rebuilt(tmp_path: Path, several: list[HolderList]) -> None:
    database = open_database(tmp_path / f"{new_id()}.sqlite")
    expected: list[HolderList] = []
    with database.writing() as conn:
        for held in several:
            base = expected[-1] if expected else None
            coming = next_edition(base, held)
            if base is not None and replace(coming, edition=base.edition) == base:
                continue
            proposal, _ = lists.propose(conn, new_id(), held, CONTEXT)
            lists.accept(conn, new_id(), proposal.id, KEEPER)
            expected.append(coming)
        rebuilt = [lists.edition(conn, number + 1) for number in range(len(expected))]
    database.close()
    assert rebuilt == expected


def test_a_new_edition_judges_confirmed_stock_again_and_keeps_what_was_said(
    database: Database,
) -> None:
    """The situation: an approval is rescinded after stock that bears it was released."""
    put(database, LIVE)
    tamberlow = ("TC-84A-9898n", "Tamberlow", "TM-95", "N95")
    vexholm = ("TC-84A-9981", "Vexholm", "VX-910", "N95")
    with database.writing() as conn:
        held = lists.current(conn)
        where = stock.consignment(conn, "Ward stock")
        hit = stock.add(conn, held, tamberlow, count=600, consignment_id=where)
        stock.add(conn, held, vexholm, count=1000)
        stock.add(conn, held, tamberlow, confirmed=False)
        before = checks.of_photo(conn, hit)
    ended = replace(E5, status="rescinded", valid_until=dt.date(2031, 3, 18))
    edition_id = put(database, replace(LIVE, entries=(ended,), checked_on=dt.date(2031, 3, 20)))
    with database.reading() as conn:
        now = lists.current(conn)
    assert now is not None
    later = replace(KEEPER, at=dt.datetime(2031, 3, 20, 8, 0, tzinfo=dt.UTC))
    seen: list[tuple[int, int]] = []
    count = rechecks.recheck_all(
        database, stock.judge(), edition_id, now, later, today=dt.date(2031, 3, 20),
        progress=lambda done, all_: seen.append((done, all_)),
    )  # fmt: skip
    with database.reading() as conn:
        (changed,) = rechecks.changed_stock(conn, edition_id)
        after = checks.of_photo(conn, hit)
        results = rechecks.results(conn, edition_id)
    assert (count, seen[-1], len(results)) == (2, (2, 2), 2)
    assert (changed.count, changed.consignment_label) == (600, "Ward stock")
    assert changed.result.before[0] == "listed_agrees"
    assert changed.result.after == ("listed_ended", "conflict")
    assert after[1:] == before, "earlier results are never rewritten"
    assert after[0].content["judgement"]["on"] == "2031-03-20"
    assert after[0].content["why"] == "list_edition"
    again = rechecks.recheck_all(
        database, stock.judge(), edition_id, now, later, today=dt.date(2031, 3, 20)
    )
    assert again == 0, "what was done is not done again"


def test_an_official_look_up_keeps_who_when_what_and_the_answer(database: Database) -> None:
    asked = Asked("us-niosh", "TC-84A-9981", "Certified Equipment List", "https://example.invalid")
    picture = Attachment("ab" * 32, "screen.png", "image/png", 1200)
    with database.writing() as conn:
        entry, _ = look_ups.keep(
            conn, new_id(), asked, "listed_same", CONTEXT,
            looked_up_at=CONTEXT.at, words="VX-910, N95", attachments=[picture],
        )  # fmt: skip
        (found,) = look_ups.all_of_them(conn)
        (for_release,) = on_paper.for_release(conn)
    assert (found, found.context.actor.name) == (entry, "Ines Okparo")
    assert found.content["attachments"][0]["sha256"] == "ab" * 32
    assert (for_release.looked_up, for_release.answer) == ("TC-84A-9981", "listed_same")


@pytest.mark.parametrize("answer", ["not_listed", "listed_ended", "listed_other", "no_answer"])
def test_a_look_up_is_kept_as_it_was_answered(database: Database, answer: look_ups.Answer) -> None:
    with database.writing() as conn:
        look_ups.keep(
            conn, new_id(), Asked("us-niosh", "TC-84A-9981", "CEL"), answer, CONTEXT,
            looked_up_at=CONTEXT.at, words="as it stood there",
        )  # fmt: skip
        assert [(one.answer, one.on) for one in on_paper.for_release(conn)] == [
            (answer, CONTEXT.at.date())
        ]


@pytest.mark.parametrize(
    ("asked", "words", "at", "says"),
    [
        (Asked("us-niosh", " ", "CEL"), "x", CONTEXT.at, "what was looked up"),
        (Asked("us-niosh", "TC", ""), "x", CONTEXT.at, "which list"),
        (Asked("us-niosh", "TC", "CEL"), "", CONTEXT.at, "what the list said"),
        (Asked("us-niosh", "TC", "CEL"), "x", CONTEXT.at + dt.timedelta(days=1), "future"),
    ],
)
def test_a_look_up_without_its_facts_is_refused(
    database: Database, asked: Asked, words: str, at: dt.datetime, says: str
) -> None:
    with database.writing() as conn, pytest.raises(BadInput, match=says):
        look_ups.keep(conn, new_id(), asked, "listed_same", CONTEXT, looked_up_at=at, words=words)


def test_fictional_rows_cannot_enter_a_stored_live_list(database: Database) -> None:
    put(database, replace(LIVE, entries=(E1,)))
    marked = replace(LIVE, entries=(replace(E2, source="FICTIONAL"),))
    with database.writing() as conn, pytest.raises(BadList, match="FICTIONAL"):
        lists.propose(conn, new_id(), marked, CONTEXT)
