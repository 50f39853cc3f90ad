"""One paper by its fields, and one that a scheme has a buyer ask for."""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from inkwitness.rulebook.kinds import STRICT
from inkwitness.rulebook.source import Source

#: What a paper is offered as. Its title, as printed, is a field of its own. `approval`: an
#: authority's word on the product, under the number that is printed on it.
PaperKind = Literal[
    "type_certificate",
    "control",
    "declaration",
    "approval",
    "approval_label",
    "instructions",
    "test_report",
    "compliance_certificate",
    "quality_certificate",
    "registration",
    "authorisation",
    "invoice",
    "packing_list",
    "other",
]
#: `certificate` and `certificate_body`: what a paper says of the certificate that it rests on.
PaperField = Literal[
    "title",
    "issuer",
    "body_number",
    "number",
    "certificate",
    "certificate_body",
    "holder",
    "product",
    "filter_class",
    "standard",
    "lots",
    "issued",
    "expires",
    "signed_by",
    "method",
    "pages",
]
#: Who issues a paper. `authority`: a state authority, or the body that it named for this.
PaperIssuer = Literal["authority", "body", "maker", "laboratory"]
#: What is raised where papers came and this one is not among them: `missing`, a `caution`, nothing
#: (it is `named` to the seller alone), or what a rule of `papers.yaml` of its `own` says.
Lacking = Literal["missing", "caution", "named", "own"]


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper by its fields, as printed; what is empty was not typed or does not stand there.

    `unreadable` names fields that stand on the paper and cannot be read. `pages` says how many
    pages it has, `pages_here` how many came. `id` is empty in an example.
    """

    __pydantic_config__ = STRICT
    kind: PaperKind
    title: str = ""
    issuer: str = ""
    body_number: str = ""
    number: str = ""
    certificate: str = ""
    certificate_body: str = ""
    holder: str = ""
    product: str = ""
    filter_class: str = ""
    standard: str = ""
    lots: tuple[str, ...] = ()
    issued: dt.date | None = None
    expires: dt.date | None = None
    signed_by: str = ""
    method: str = ""
    pages: int | None = None
    pages_here: int | None = None
    specimen_values: Literal["", "yes", "no"] = ""
    unreadable: tuple[PaperField, ...] = ()
    id: str = ""

    def texts(self, name: PaperField) -> tuple[str, ...]:
        """What stands in a field: none, one, or (lots) several texts."""
        value = getattr(self, name)
        if isinstance(value, tuple):
            return tuple(text for text in value if text.strip())
        if isinstance(value, dt.date):
            return (value.isoformat(),)
        return (str(value),) if value not in (None, "") else ()


@dataclass(frozen=True, slots=True)
class WantedPaper:
    """A paper that a buyer asks for with goods of a scheme; what it is stands under `wanted.PAPER`.

    `titles`: as the law or the standard names it, the usual one first. `kinds`: what it may be
    entered as. `agrees`: the fields that must say what is printed on the goods. Its example is
    `print`, goods with which it is asked for, and `there`, the paper by its fields.
    """

    __pydantic_config__ = STRICT
    paper: str
    titles: tuple[str, ...]
    issued_by: PaperIssuer
    kinds: tuple[PaperKind, ...]
    lacking: Lacking
    source: Source
    print: str
    there: Paper
    agrees: tuple[PaperField, ...] = ()
