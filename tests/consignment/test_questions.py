"""Questions to the holder: each waits for its own answer, and no other answer ends what it said.

The conditions are decisions of this project (no source).
"""

from hypothesis import given
from hypothesis import strategies as st

from inkwitness.consignment.dispositions import Act, answer_differs, awaited, unsettled


def ask(id_: str) -> Act:
    return Act("ask_holder", id=id_)


def answer(id_: str, about: str, to: str = "") -> Act:
    return Act("holder_answered", about=about, id=id_, answers=to)


def test_an_answer_closes_the_question_that_it_names_and_no_other() -> None:
    acts = [ask("lot"), ask("model"), answer("a", "agrees", "lot")]
    assert (awaited(acts), unsettled(acts)) == (True, ("model",))
    acts.append(answer("b", "agrees", "model"))
    assert (awaited(acts), answer_differs(acts)) == (False, False)


def test_that_it_differs_ends_only_by_an_answer_to_the_same_question() -> None:
    acts = [ask("lot"), ask("model"), answer("a", "differs", "lot"), answer("b", "agrees", "model")]
    assert (awaited(acts), answer_differs(acts)) == (False, True)
    assert not answer_differs([*acts, answer("c", "agrees", "lot")])


def test_an_answer_that_nobody_asked_for_is_ended_by_one_that_names_it() -> None:
    acts = [answer("told", "differs", "told"), ask("model"), answer("b", "agrees", "model")]
    assert answer_differs(acts)
    assert not answer_differs([*acts, answer("c", "agrees", "told")])


@given(
    st.lists(
        st.tuples(st.sampled_from(["ask", "agrees", "differs"]), st.sampled_from(["x", "y", "z"])),
        max_size=12,
    )
)
def test_no_history_of_named_answers_closes_a_question_that_they_do_not_name(
    said: list[tuple[str, str]],
) -> None:
    acts: list[Act] = []
    newest: dict[str, str] = {}
    for place, (what, about) in enumerate(said):
        if what == "ask" and about not in newest:
            acts.append(ask(about))
            newest[about] = ""
        elif what != "ask" and about in newest:
            acts.append(answer(f"a{place}", what, about))
            newest[about] = what
    assert awaited(acts) is ("" in newest.values())
    assert answer_differs(acts) is ("differs" in newest.values())


_kinds = st.sampled_from(["ask_holder", "agrees", "differs", "hold"])


@given(st.lists(_kinds, max_size=8))
def test_answers_of_before_that_name_nothing_read_as_they_did(kinds: list[str]) -> None:
    """Stored histories: the last question or answer said whether one was awaited, the last answer
    whether it differed."""
    acts = [
        Act("holder_answered", about=kind) if kind in ("agrees", "differs") else Act(kind)  # type: ignore[arg-type]
        for kind in kinds
    ]
    spoken = [kind for kind in kinds if kind != "hold"]
    answers = [kind for kind in spoken if kind != "ask_holder"]
    assert awaited(acts) is (spoken[-1:] == ["ask_holder"])
    assert answer_differs(acts) is (answers[-1:] == ["differs"])
