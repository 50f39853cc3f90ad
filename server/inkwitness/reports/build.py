"""How a unit is made and in what condition it is: what a person saw, and what nobody looked at."""

from sqlalchemy import Connection

from inkwitness.findings.looks import LOOKS, MEASURES
from inkwitness.phrases import Phrases
from inkwitness.records import constructions
from inkwitness.reports import words
from inkwitness.reports.document import Section, shown


def seen(conn: Connection, unit_id: str, say: Phrases) -> Section:
    """One sentence for each thing that was looked at; a rough note stands with its limits."""
    title = say("look.title")
    entry = constructions.newest(conn, unit_id)
    if entry is None:
        return Section(title, (say("look.none"),))
    content = entry.content
    name = shown(entry.context.actor.name)
    told = [say("look.by", name=name, at=words.moment(entry.at))]
    for look in LOOKS:
        answer = content["answers"].get(look.name)
        if answer is not None:
            key = f"look.{look.name}.{answer}"
            says = say(key) if key in say else say(f"look.{answer}")
            told.append(say("look.said", what=say(f"look.{look.name}"), answer=says))
        if answer is not None and look.group == "rough":
            told.append(say(f"look.{look.name}.limits"))
    told += [
        say("look.said", what=say(f"look.{measure}"), answer=f"{content['measures'][measure]:g}")
        for measure in MEASURES
        if measure in content["measures"]
    ]
    left = [
        say(f"look.{look.name}")
        for look in LOOKS
        if look.name not in content["answers"] and look.group in ("build", "state")
    ]
    if left:
        told.append(say("look.left", what=", ".join(left)))
    if content["note"]:
        told.append(shown(content["note"]))
    return Section(title, tuple(told))
