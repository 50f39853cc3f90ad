"""`/consignments/{id}/use`: the goods beside the site's own policy. A difference is a caution."""

from fastapi import APIRouter
from pydantic import Field

from inkwitness.api.deps import App, Id, Lang
from inkwitness.api.guard.roles import READERS, may
from inkwitness.api.shapes.wire import Answer
from inkwitness.consignment.use import CARE
from inkwitness.phrases import Phrases
from inkwitness.rulebook import policy as policies
from inkwitness.rulebook.policy import Policy, Setting
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
    path = policies.find(app.settings.data, app.settings.policy)
    policy = policies.load(path)
    say = app.phrases(lang)
    with app.store.database.reading() as conn:
        found = use.of_consignment(conn, consignment_id, policy)
    return UseOut(
        setting=found.setting.id if found.setting is not None else "",
        settings=[SettingOut(id=one.id, says=_says(one, say)) for one in policy.settings],
        made_by=_made_by(policy, say),
        cautions=[
            UseCautionOut(key=one.key, says=one.says(say), values=dict(one.values))
            for one in found.cautions
        ],
        care=[say(f"use_care.{name}") for name in CARE],
        no_permission=say("use.no_permission"),
    )


def _says(setting: Setting, say: Phrases) -> str:
    """A setting of the example in the reader's language; one that the site wrote as it wrote it."""
    key = f"use_setting.{setting.id}"
    shipped = policies.load(policies.shipped_file()).setting(setting.id)
    same = shipped is not None and shipped.says == setting.says
    return say(key) if same and key in say else setting.says


def _made_by(policy: Policy, say: Phrases) -> str:
    shipped = policies.load(policies.shipped_file())
    return say("use.example") if policy.made_by == shipped.made_by else policy.made_by
