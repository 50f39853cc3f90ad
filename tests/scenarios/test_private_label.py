"""Scenario 3: a private label that the list knows, and one that it does not."""

from starlette.testclient import TestClient

from inkwitness import phrases
from tests.api.test_consignments import make
from tests.api.test_units import decide
from tests.scenarios.conftest import Send, confirm_all, findings, keys, look_up


def test_a_private_label_of_the_list_is_no_conflict(client: TestClient, send: Send) -> None:
    check = confirm_all(client, send("lc-22.png"))
    match = check["holder_match"]
    assert (check["outcome"], match["state"]) == ("no_conflict_found", "listed_agrees")
    assert findings(check, "conflict") == []
    (name,) = [field for field in match["fields"] if field["field"] == "manufacturer"]
    # The name differs from the holder's, and it is said why that is no conflict.
    assert (name["state"], name["note"]) == ("agrees", "private_label")
    assert "private label" in phrases.shipped().of("en").named("note", name["note"])


def test_an_unlisted_name_and_model_under_a_listed_number_cannot_be_told(
    client: TestClient, send: Send
) -> None:
    goods = make(client, units_declared=1)
    check = confirm_all(client, send("oh-1.png", consignment_id=goods))
    match = check["holder_match"]
    # Not cleared because the number exists, and no conflict either.
    assert check["outcome"] == "cannot_tell"
    assert match["question"] is True
    assert findings(check, "conflict") == []
    asked = decide(client, f"consignments/{goods}", "ask_holder", "is OH-1 yours?")
    assert asked.status_code == 201
    assert "answer_awaited" in keys(client, goods)
    assert decide(client, f"consignments/{goods}", "release", "wanted").status_code == 409


def test_what_the_authoritys_own_list_says_otherwise_shuts_the_gate(
    client: TestClient, send: Send
) -> None:
    """Rule RU5 of the job map: a person records that the list does not show this model."""
    goods = make(client, units_declared=1)
    confirm_all(client, send("oh-1.png", consignment_id=goods))
    look_up(client, "TC-84A-9918", "listed_other")
    assert "look_up_says_other" in keys(client, goods)
    assert decide(client, f"consignments/{goods}", "release", "wanted").status_code == 409
