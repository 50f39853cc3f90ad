"""What was declared of goods when they were taken in, asked, noted, and what they are meant for."""

from sqlalchemy import Connection

from inkwitness.consignment.intake import Declared
from inkwitness.consignment.number import number_of
from inkwitness.consignment.use import CARE, made_by, setting_says
from inkwitness.phrases import Phrases, capital
from inkwitness.records.chain import Entry
from inkwitness.reports import words
from inkwitness.reports.document import Section, Table, as_said, shown
from inkwitness.rulebook import intake
from inkwitness.rulebook.policy import Policy
from inkwitness.use_cases.intake.declared import declared, history
from inkwitness.use_cases.intake.use import Use
from inkwitness.use_cases.overview import Overview

_WORDS = ("goods_from", "supply_condition", "identity")
_YES_NO = ("valve", "fluid_resistant")
#: What was declared, in the order in which the form asks it.
_FIELDS = (
    "goods_from", "product", "filter_class", "use", "region", "supply_condition", "condition_by",
    "condition_until", "pallets", "seals", "first_offer", "identity", "valve", "fluid_resistant",
    "supplied", "supplied_list",
)  # fmt: skip


def declared_of(conn: Connection, found: Overview, policy: Policy, say: Phrases) -> Section:
    """Everything that was declared, put together, with who declared it and when."""
    content, now = found.content, declared(conn, found.entry.id)
    rows = [
        (say("taken_in.number"), number_of(found.entry.id)),
        (say("report.declared.supplier"), shown(content["supplier"])),
        (say("report.declared.reference"), shown(content["reference"])),
        *((say(f"taken_in.{name}"), _field(name, now, policy, say)) for name in _FIELDS),
        (say("report.declared.units"), _number(content["units_declared"], say)),
        (say("report.declared.cartons"), _number(content["cartons_declared"], say)),
        (say("report.declared.note"), shown(content["note"])),
        (say("report.declared.recorded"), _who(found.entry)),
    ]
    lots = [
        (
            say("report.declared.lot", code=shown(lot["code"])),
            say(
                "report.declared.of_lot",
                units=_number(lot["units"], say),
                cartons=_number(lot["cartons"], say),
            ),
        )
        for lot in content["lots"]
    ]
    told = tuple((capital(what), value) for what, value in (*rows, *lots) if value)
    table = Table(words.columns(say, "what", "value"), told)
    later = tuple(_later(entry, say) for entry in history(conn, found.entry.id))
    return Section(words.heading("declared", say), later, table)


def asked_and_noted(conn: Connection, found: Overview, say: Phrases) -> list[Section]:
    """The questions of intake with their answers or none; what was noted about the offer."""
    now = declared(conn, found.entry.id)
    return [_questions(now, say), _signals(now, say)]


def intended_use(
    conn: Connection, found: Overview, policy: Policy, compared: Use, say: Phrases
) -> Section:
    """The goods beside what the site wants where they are meant for: cautions, no permission."""
    return Section(say("use_report.title"), tuple(_use(conn, found, policy, compared, say)))


def cautions(compared: Use, say: Phrases) -> list[str]:
    """Where the goods are less, or other, than the site wants there; none where nothing is."""
    return [one.says(say) for one in compared.cautions]


def _use(
    conn: Connection, found: Overview, policy: Policy, compared: Use, say: Phrases
) -> list[str]:
    care = [say(f"use_care.{name}") for name in CARE]
    told = [f"{say('kind.caution')}: {as_said(one.says(say))}" for one in compared.cautions]
    if compared.setting is None:
        chosen = declared(conn, found.entry.id).use
        none = say("use_report.other", use=shown(chosen)) if chosen else say("use_report.none")
        return [none, *told, *care]
    said = told or [say("use_report.no_caution")]
    return [
        say("use_report.setting", setting=as_said(setting_says(compared.setting, say))),
        *said,
        say("use.no_permission"),
        say("use_report.policy", made_by=as_said(made_by(policy, say))),
        *care,
    ]


def _field(name: str, now: Declared, policy: Policy, say: Phrases) -> str:
    value = getattr(now, name)
    if value is None or value == "":
        return ""
    if name in _WORDS:
        return say(f"intake_word.{value}")
    if name in _YES_NO:
        return say(f"taken_in.said_{value}")
    if name == "use" and (setting := policy.setting(value)) is not None:
        return as_said(setting_says(setting, say))
    return shown(str(value))


def _later(entry: Entry, say: Phrases) -> str:
    name, at = shown(entry.context.actor.name), words.moment(entry.at)
    lots, reason = entry.content["lots"] is not None, shown(entry.content["reason"])
    if reason and (lots or "units" in entry.content["fields"]):
        key = "lots_because" if lots else "units_because"
        return say(f"taken_in.{key}", name=name, at=at, reason=reason)
    return say("taken_in.later", name=name, at=at)


def _questions(now: Declared, say: Phrases) -> Section:
    asked = intake.shipped().questions
    answered = [one for one in asked if now.answers.get(one.id)]
    title = say("taken_in.questions")
    if not answered:
        return Section(title, (say("taken_in.none_answered", of=len(asked)),))
    rows = tuple(
        (
            say(f"intake_question.{one.id}"),
            shown(now.answers.get(one.id, "")) or say("taken_in.not_answered"),
        )
        for one in (*answered, *(one for one in asked if one not in answered))
    )
    said = say("taken_in.answered", n=len(answered), of=len(asked))
    return Section(title, (said,), Table(words.columns(say, "question", "answer"), rows))


def _signals(now: Declared, say: Phrases) -> Section:
    known = [one.id for one in intake.shipped().signals]
    looked = [name for name in known if name in now.signals]
    title = say("taken_in.signals")
    told = []
    if now.identity == "not_confirmed":
        told.append(say("intake_signal.identity"))
    for name in looked:
        seen, note = now.signals[name]
        if seen == "yes":
            says = say(f"intake_signal.{name}")
            told.append(f"{says} “{say.apart(shown(note))}”" if note else says)
    if not looked and not told:
        return Section(title, (say("taken_in.signals_none"),))
    not_seen = sum(now.signals[name][0] == "no" for name in looked)
    left = say("taken_in.signals_left", n=not_seen, left=len(known) - len(looked))
    return Section(title, (say("taken_in.signals_what"), *told, left))


def _who(entry: Entry) -> str:
    return f"{shown(entry.context.actor.name)}, {words.moment(entry.at)}"


def _number(value: int | None, say: Phrases) -> str:
    return str(value) if value is not None else say("report.declared.nothing")
