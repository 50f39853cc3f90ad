"""The goods of a consignment beside what the site wants where they are to be used.

A difference is a caution. That nothing differs is no permission: local policy and licensed practice
decide. Cautions on care stand beside any goods (common practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from inkwitness.phrases import Phrases
from inkwitness.rulebook import policy as policies
from inkwitness.rulebook.policy import Policy, Protection, Setting
from inkwitness.rulebook.values import Rulebook

_ORDER: tuple[Protection, ...] = ("none", "medical_mask", "respirator")
#: Said of all goods: the maker and the local authority decide on each.
CARE = ("reuse", "decontamination", "storage", "dust_masks")


@dataclass(frozen=True, slots=True)
class Protects:
    """One class as the goods claim it: what kind it is, and its minimum efficiency in per cent."""

    name: str
    kind: Protection
    efficiency: float | None = None


@dataclass(frozen=True, slots=True)
class ForUse:
    """What is known of goods for their use. `valve` and `fluid_resistant` are None if not known."""

    classes: tuple[Protects, ...] = ()
    valve: bool | None = None
    fluid_resistant: bool | None = None


@dataclass(frozen=True, slots=True)
class UseCaution:
    """One caution: a key of the phrase book and its values; `paper` is a kind of paper."""

    key: str
    values: tuple[tuple[str, str], ...] = ()

    def says(self, say: Phrases) -> str:
        """The sentence in one language; kinds of protection are named in it."""
        told = dict(self.values)
        for name in ("kind", "least"):
            if name in told:
                told[name] = say(f"use_kind.{told[name]}")
        if "paper" in told:
            told["paper"] = say.named("paper_kind", told["paper"])
        return say(f"use.{self.key}", **told)


def setting_says(setting: Setting, say: Phrases) -> str:
    """A setting of the example in the reader's language; one that the site wrote as it wrote it."""
    key = f"use_setting.{setting.id}"
    shipped = policies.shipped().setting(setting.id)
    same = shipped is not None and shipped.says == setting.says
    return say(key) if same and key in say else setting.says


def made_by(policy: Policy, say: Phrases) -> str:
    """Whose policy it is; of the example, that it is one."""
    shipped = policy.made_by == policies.shipped().made_by
    return say("use.example") if shipped else policy.made_by


def protects(name: str, schemes: Sequence[str], rulebook: Rulebook) -> Protects | None:
    """What a class is under the schemes that the goods claim; None where they do not have it."""
    wanted = "".join(name.upper().split())
    behind = rulebook.vocabulary.printing.behind_class
    for scheme in (found for one in schemes if (found := rulebook.scheme(one)) is not None):
        for entry in scheme.classes:
            known = "".join(entry.name.upper().split())
            # `FFP2 NR` is FFP2 with a mark of its own behind it
            if wanted == known or wanted.startswith(tuple(f"{known}{sign}" for sign in behind)):
                return Protects(name, scheme.kind, entry.minimum_efficiency)
    return None


def cautions(goods: ForUse, setting: Setting) -> tuple[UseCaution, ...]:
    """Where the goods are less, or other, than the setting wants, and what is not known of them."""
    found: list[UseCaution] = []
    if setting.least != "none":
        found += _classes(goods, setting)
    if setting.valve == "excluded" and goods.valve is not False:
        found.append(UseCaution("valve" if goods.valve else "valve_not_known"))
    if setting.fluid_resistance == "wanted" and goods.fluid_resistant is not True:
        known = goods.fluid_resistant is False
        found.append(UseCaution("no_fluid_resistance" if known else "fluid_not_known"))
    return tuple(found)


def _classes(goods: ForUse, setting: Setting) -> list[UseCaution]:
    if not goods.classes:
        return [UseCaution("class_not_known", (("least", setting.least),))]
    found = []
    for one in goods.classes:
        told = (("class", one.name), ("kind", one.kind), ("least", setting.least))
        if _ORDER.index(one.kind) < _ORDER.index(setting.least):
            found.append(UseCaution("less_than_wanted", told))
        elif (
            setting.least_efficiency is not None
            and one.kind == "respirator"
            and one.efficiency is not None
            and one.efficiency < setting.least_efficiency
        ):
            share = (("share", f"{one.efficiency:g}"), ("wanted", f"{setting.least_efficiency:g}"))
            found.append(UseCaution("efficiency_less", (("class", one.name), *share)))
    return found
