"""What is wrong with a question about a sample, and what to change: English, as all errors are."""

from collections.abc import Mapping

MISTAKES: Mapping[str, str] = {
    "number": "{name} is “{value}”, which is not a number. Write it as 0.05 or as 5 %.",
    "negative": "{name} is {value}. It cannot be negative: give a number above 0.",
    "lot": "The lot is {value}. Give the number of units in it, from 1 to {largest}.",
    "lot_for_plan": (
        "The lot is {value}. The code letters begin at a lot of 2: look at the one unit there is."
    ),
    "share": (
        "The odd share is {value}. Give the smallest share you want to notice, above 0 and at most "
        "1, such as 0.01 or 1 %."
    ),
    "confidence": (
        "The confidence is {value}. Give one above 0 and below 1, such as 0.95: no sample short of "
        "every unit gives certainty."
    ),
    "sensitivity": (
        "The sensitivity is {value}. Give the share of odd units that this check notices, above 0 "
        "and at most 1, such as 0.95."
    ),
    "specificity": (
        "The specificity is {value}. Give the share of agreeing units that this check leaves "
        "alone, above 0 and at most 1, such as 0.99."
    ),
    "odd": (
        "The number of odd units is {value}. Give at least 1 and at most the {lot} units of the "
        "lot."
    ),
    "odd_both": "Give either the odd share or the number of odd units, not both.",
    "odd_neither": "Give the odd share (such as 0.01) or the number of odd units (such as 40).",
    "none_looked_at": "No unit was looked at. Look at one or more first; {value} is too few.",
    "sample_over_lot": (
        "The sample is {value}, the lot only {lot}. Look at {lot} or fewer, or correct the lot."
    ),
    "looked_at": (
        "{value} units looked at. Give the number of units that were looked at one by one, at most "
        "{largest}."
    ),
    "differed": ("{value} differed of {looked_at} looked at. Give a number from 0 to {looked_at}."),
    "open": (
        "{value} units lack a mark, cannot be told or were set apart, but only {left} of the lot "
        "are left beside those looked at and told. Count each unit once."
    ),
    "count": "A number of units is {value}. Give 0 or more.",
    "accept": ("The acceptance number is {value} for a sample of {n}. Give one from 0 to {most}."),
    "level": "The inspection level is “{value}”. Use one of {allowed}.",
    "inspection": "The inspection is “{value}”. Use one of {allowed}.",
    "letter": "The code letter is “{value}”. Use one of {allowed}.",
    "aql": "The AQL is “{value}”. Use one of {allowed}.",
    "aql_over_10": (
        "The AQL is {value}. Above 10 an AQL counts nonconformities per hundred units, not odd "
        "units: use 10 or less."
    ),
    "cartons": "The number of cartons is {value}. Give at least 1.",
    "per_carton": "A carton holds {value} units. Give at least 1.",
    "cartons_over_lot": (
        "{value} cartons for a lot of {lot} units. Give at most one carton for each unit."
    ),
    "odd_cartons": "The number of odd cartons is {value}. Give a number from 1 to {cartons}.",
    "opened": "The number of cartons opened is {value}. Give a number from 1 to {cartons}.",
    "design": "The design is “{value}”. Use one of {allowed}.",
    "design_cartons": (
        "A sample drawn by carton needs the number of cartons and of those opened: give both."
    ),
    "opened_over_looked": (
        "{value} cartons opened for {looked_at} units looked at. Count only cartons in which a "
        "unit was looked at."
    ),
    "opened_lone": "Give both the cartons opened and how many there are, or neither.",
    "odd_inside": (
        "{value} odd units in a carton of {per_carton}. Give a number from 1 to {per_carton}."
    ),
    "looked_in_carton": (
        "{value} units looked at in a carton of {per_carton}. Give a number from 1 to {per_carton}."
    ),
    "no_information": (
        "Sensitivity {sensitivity} and specificity {specificity} add up to 1 or less: such a check "
        "tells nothing. Measure it again, or use the confirmed number of odd units instead."
    ),
    "seed": (
        "The seed is empty. Make one in public after the list is fixed, such as the consignment "
        "number and ten dice."
    ),
    "seed_letters": (
        "The seed holds a line break or a sign that cannot be printed. Use letters, digits, spaces "
        "and the like, so that it can be copied by hand."
    ),
    "no_units": "The list of units is empty. Name every unit once, as C001..C100/U01..U40.",
    "blank_unit": (
        "Line {line} of the list of units is “{value}”. Remove blank names and the spaces and line "
        "breaks around names."
    ),
    "double_unit": "{value} is twice in the list of units. Name every unit once.",
    "too_many_units": (
        "The list names {value} units, more than {largest}. Draw cartons first, then units within "
        "those opened."
    ),
    "draw_n": "The draw is for {value}, the list has {units}. Give a number from 1 to {units}.",
    "reserve": "The reserve is {value}. Give 0 or more.",
    "range": (
        "“{value}” is not a range of names. Write the same letters and rising numbers on both "
        "sides, such as C001..C100."
    ),
    "unit_without_parent": (
        "{value} does not say which {parent} it is in. Name units as {example}, or draw without "
        "regard to {parent}s."
    ),
    "draw_n_missing": "Say how many units to draw, or how many cartons and units in each.",
    "draw_carton_half": "Give both the cartons to open and the units in each, or neither.",
    "draw_kind": (
        "A draw by carton has its own number of units: leave out the number to draw and the lots."
    ),
    "carton_short": (
        "{carton} holds too few units: {value} where {per_carton} are wanted. Ask for {value} or "
        "fewer in each, or correct the list."
    ),
    "draw_cartons": (
        "{value} cartons are to be opened of {cartons} in the list. Give a number from 1 to "
        "{cartons}."
    ),
    "file": (
        "The list of units {value} cannot be read. Give a text file, one unit a line, "
        "or names such as C001..C100."
    ),
}
