"""`/consignments/{id}/use`: the goods beside the site's own policy. A difference is a caution."""

from fastapi import APIRouter
from pydantic import Field

from inkwitness.api.deps import App, Id, Lang
from inkwitness.api.guard.roles import READERS, may
from inkwitness.api.shapes.wire import Answer
from inkwitness.consignment.use import CARE, made_by, setting_says
from inkwitness.use_cases.intake import use

router = APIRouter(prefix="/consignments", tags=["intake"])


class SettingOut(Answer):
    id: str
    says: str


class UseCautionOut(Answer):
    key: str
    says: str
    values: dict[str, str] = Field(description="for the same sentence in another language")


class UseOut(Answer):
    """What goods are meant for. Cautions only: nothing here permits anything."""

    setting: str = Field(description="the one that was chosen; empty where none of the policy is")
    settings: list[SettingOut]
    made_by: str = Field(description="whose policy it is")
    cautions: list[UseCautionOut]
    care: list[str] = Field(description="cautions for any goods")
    no_permission: str


@router.get("/{consignment_id}/use", openapi_extra=may(*READERS))
def see_use(app: App, consignment_id: Id, lang: Lang = "en") -> UseOut:
    """The class of the goods, valve and fluid resistance beside what the site wants there."""
    policy = app.policy()
    say = app.phrases(lang)
    with app.store.database.reading() as conn:
        found = use.of_consignment(conn, consignment_id, policy)
    return UseOut(
        setting=found.setting.id if found.setting is not None else "",
        settings=[SettingOut(id=one.id, says=setting_says(one, say)) for one in policy.settings],
        made_by=made_by(policy, say),
        cautions=[
            UseCautionOut(key=one.key, says=one.says(say), values=dict(one.values))
            for one in found.cautions
        ],
        care=[say(f"use_care.{name}") for name in CARE],
        no_permission=say("use.no_permission"),
    )
