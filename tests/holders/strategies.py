"""Lists as hypothesis makes them: any text, several of everything, no two of one key."""

from hypothesis import strategies as st

from inkwitness.holders.files.cells import clean
from inkwitness.holders.values import STATUSES, HolderEntry, HolderList, PrivateLabel

# Signs that the cells of our format use for themselves, formulas, quotes, other scripts.
_SIGNS = "aZ9 ;:,\\'\"=+-@|\t\n#/.()é߀한字А＝"
_text = st.one_of(st.text(st.sampled_from(_SIGNS), max_size=12), st.text(max_size=12)).map(clean)
_filled = _text.filter(bool)
_texts = st.lists(_filled, max_size=3, unique=True).map(tuple)
_bodies = st.sampled_from(["", "0042", "9871"])
_days = st.one_of(st.none(), st.dates())


@st.composite
def _entries(draw: st.DrawFn) -> HolderEntry:
    labels = draw(st.lists(_filled, max_size=2, unique=True))
    return HolderEntry(
        scheme=draw(st.sampled_from(["us-niosh", "eu-en149"])),
        holder=draw(_filled),
        approval_number=draw(_text),
        certificate_number=draw(_text),
        other_names=draw(_texts),
        private_labels=tuple(PrivateLabel(name, draw(_texts)) for name in labels),
        filter_classes=draw(_texts),
        models=draw(_texts.filter(bool)),
        examination_body=draw(_bodies),
        production_body=draw(_bodies),
        status=draw(st.sampled_from(STATUSES)),
        valid_until=draw(_days),
        source=draw(_text),
        checked_on=draw(_days),
        checked_by=draw(_text),
    )


entries = _entries().filter(lambda entry: not entry.fictional)


@st.composite
def lists(draw: st.DrawFn, *, min_size: int = 1) -> HolderList:
    """A live list with entries of different keys."""
    found = draw(st.lists(entries, min_size=min_size, max_size=5, unique_by=lambda one: one.key))
    return HolderList(
        name=draw(_filled), entries=tuple(found), edition=None, checked_on=draw(_days)
    )
