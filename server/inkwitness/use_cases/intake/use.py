"""What a consignment is meant for, beside the site's policy: gathered from what is known of it."""

from dataclasses import dataclass

from sqlalchemy import Connection

from inkwitness.consignment.papers.judge import claims_of
from inkwitness.consignment.use import ForUse, Protects, UseCaution, cautions, protects
from inkwitness.records import units
from inkwitness.rulebook import shipped
from inkwitness.rulebook.papers import Paper
from inkwitness.rulebook.policy import Policy, Setting
from inkwitness.use_cases.intake import papers
from inkwitness.use_cases.intake.declared import declared


@dataclass(frozen=True, slots=True)
class Use:
    """The setting that was chosen for goods (None: none, or none of the policy), and cautions."""

    setting: Setting | None
    cautions: tuple[UseCaution, ...]


def of_consignment(conn: Connection, consignment_id: str, policy: Policy) -> Use:
    """The goods beside what the site wants in the setting that they are declared for."""
    now = declared(conn, consignment_id)
    setting = policy.setting(now.use)
    lacking = _papers_lacking(conn, consignment_id, policy)
    if setting is None:
        return Use(None, lacking)
    book = shipped()
    found: dict[str, Protects] = {}
    valve = None if now.valve is None else now.valve == "yes"
    members = units.of_consignment(conn, consignment_id)
    schemes = list(dict.fromkeys(unit.scheme for unit in members if unit.scheme))
    for name in papers.classes_printed(conn, members):
        if (one := protects(name, schemes, book)) is not None:
            found[name] = one
    if now.filter_class:
        claimed = claims_of(Paper("other", filter_class=now.filter_class), book)
        if (one := protects(now.filter_class, claimed, book)) is not None:
            found[now.filter_class] = one
    if any("valve" in unit.state.declared for unit in members):
        valve = True
    fluid = None if now.fluid_resistant is None else now.fluid_resistant == "yes"
    of_goods = ForUse(tuple(found.values()), valve, fluid)
    return Use(setting, (*cautions(of_goods, setting), *lacking))


def _papers_lacking(
    conn: Connection, consignment_id: str, policy: Policy
) -> tuple[UseCaution, ...]:
    """The papers without which the site takes nothing, and that did not come."""
    kept = papers.in_force(papers.of_goods(conn, consignment_id=consignment_id))
    here = {papers.paper_of(entry).kind for entry in kept}
    return tuple(
        UseCaution("paper_wanted", (("paper", kind),)) for kind in policy.papers if kind not in here
    )
