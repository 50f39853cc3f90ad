"""One sentence on what the user's list says, with its edition and age left to the fields beside."""

from inkwitness.holders.values import HolderMatch, Searched


def list_sentence(match: HolderMatch) -> str:
    """In English; the page has its own sentences by state."""
    key = match.looked_up or "This print"
    ended = f" ({match.status})" if match.status else ""
    sentences = {
        "listed_agrees": f"{key} is on your list ({match.holder}); what was compared agrees.",
        "listed_differs": f"{key} is on your list ({match.holder}), and something differs.",
        "listed_ended": f"{key} is on your list ({match.holder}) as ended{ended}.",
        "near": f"{key} is not on your list; an entry is near, and differs. Never a match.",
        "not_listed": f"{key} was not found on your list. Causes can be innocent.",
        "list_too_old": f"{key} was not found, and your list is too old to say anything.",
        "no_list_for_scheme": "There is no list for what this print claims; nothing was compared.",
        "nothing_to_look_up": "Nothing was read that could be looked up on a list.",
    }
    sentence = sentences[match.state]
    if match.state == "listed_differs" and match.question:
        sentence += " Ask the holder before anything else."
    if match.list_too_old and match.state != "list_too_old":
        sentence += " Your list is older than the limit."
    return sentence


def searched_sentence(one: Searched) -> str:
    """A name or model of an entry that was looked for in the print, as a question where it is."""
    what = "maker" if one.field == "manufacturer" else "model"
    whose = f" under {one.approval_number}" if one.approval_number else ""
    if one.field == "model" and not whose:
        whose = f" of {one.holder}"
    if one.state == "printed":
        asked = f"{one.printed} is printed: is this it?"
        return f"Your list has the {what} {one.listed}{whose}, and {asked}"
    if one.state == "near":
        return (
            f"Your list has the {what} {one.listed}{whose}; {one.printed} is printed, which is "
            "near and not equal: look again letter by letter."
        )
    return f"Your list has the {what} {one.listed}{whose}: not seen in what was read."
