"""Every sentence of the sampling stage, by key and language.

A translator adds a second table beside `ENGLISH` with the same keys and the same fields in braces
and enters it in `LANGUAGES`. The subject is always the sample or the print, never a supplier.
"""

from collections.abc import Mapping

Value = int | float | str | None

ENGLISH: Mapping[str, str] = {
    # -- before the sample is looked at
    "discovery.plan": (
        "Look at {n} of the {lot} units, drawn at random. If {odd} or more of them ({share}) "
        "differ in a way that this check sees (sensitivity {sensitivity}), a sample drawn like "
        "this shows at least one with probability of at least {confidence}."
    ),
    "discovery.whole_lot": "That is every unit: the lot is too small for a sample to answer this.",
    "discovery.no_size": (
        "No sample size can do it. Even if all {lot} units are looked at, the chance of noticing "
        "{odd} odd is {chance}, below the {confidence} asked for. Raise the sensitivity (better "
        "photos, a second reader), ask for less confidence, or ask about more odd units."
    ),
    "discovery.rest": (
        "The other {rest} units are then not looked at, and nothing will be known about any one "
        "of them."
    ),
    "discovery.every_carton": (
        "By carton: look at {looked_at}, drawn at random, in every one of the {cartons} cartons, "
        "{units} units in all. Wherever {odd} odd units lie, at least one is noticed with "
        "probability of at least {chance} (sensitivity {sensitivity}), and no carton stays closed."
    ),
    "discovery.every_carton_none": (
        "Looking at the same number in every one of the {cartons} cartons cannot do it."
    ),
    "cartons.plan": (
        "Open {opened} of the {cartons} cartons and look at {looked_at} in each: {units} units. "
        "If {odd_cartons} or more cartons hold at least {odd_inside} odd units of {per_carton}, "
        "at least one odd unit is noticed with probability of at least {chance} (sensitivity "
        "{sensitivity})."
    ),
    "cartons.spread": (
        "The same {units} units taken by opening only {few} of the {cartons} cartons would notice "
        "it with probability {chance}. Odd units come in whole cartons, so open many and look at "
        "few in each."
    ),
    "cartons.no_plan": (
        "No plan can do it. Even if every unit of all {cartons} cartons is looked at, the chance "
        "of noticing {odd_cartons} odd is {chance}, below the {confidence} asked for. Raise the "
        "sensitivity, ask for less confidence, or ask about more odd cartons."
    ),
    "plan.use": (
        "From code letter {letter}: look at {n} units; the lot is within the plan with {accept} or "
        "fewer faults and outside it with {reject} or more."
    ),
    "plan.between": (
        "More than {accept} but fewer than {reject} faults: the lot is within the plan, and "
        "reduced inspection ends with it."
    ),
    "plan.whole_lot": "The plan asks for as many units as the lot holds or more: look at all {n}.",
    "plan.only_for": (
        "Only for ordinary print and pack faults in a series of lots under one contract. An "
        "acceptance number above 0 makes no sense for a doubt about origin: one confirmed "
        "conflict holds the consignment, however many units were looked at."
    ),
    "plan.single_lot": (
        "An AQL describes the average of a series under switching rules. For one consignment it "
        "protects nobody: use discovery."
    ),
    # -- after
    "after.none_differed": (
        "From the list of {lot} units, {looked_at} were drawn at random{seed} and looked at; none "
        "differed. If {odd} or more of the {lot} ({share}) had differed in a way that this check "
        "sees (sensitivity {sensitivity}), a sample drawn like this would have shown at least one "
        "with probability of at least {confidence}."
    ),
    "after.nothing_excluded": (
        "From the list of {lot} units, {looked_at} were drawn at random{seed} and looked at; none "
        "differed. With sensitivity {sensitivity} this excludes no number of odd units with "
        "probability {confidence}."
    ),
    "after.all_looked_at": (
        "All {lot} units were looked at; none differed in a way that this check sees (sensitivity "
        "{sensitivity})."
    ),
    "after.hold": (
        "Confirmed to differ: {differed} of {looked_at}. One confirmed conflict ends the sampling "
        "question: hold the consignment."
    ),
    "after.between": (
        "With {confidence} confidence on each side, at least {at_least} and at most {at_most} of "
        "the {lot} units differ in a way that this check sees (sensitivity {sensitivity})."
    ),
    "after.not_random": (
        "Of {looked_at} units looked at, {differed} differed. They were not a random sample of the "
        "{lot} units: nothing follows about the others."
    ),
    "after.none_in_every_carton": (
        "All {cartons} cartons were opened, and {in_each} units drawn at random in each were "
        "looked at{seed}; none differed. If {odd} or more of the {lot} ({share}) had differed in a "
        "way that this check sees (sensitivity {sensitivity}), wherever they lay, a sample drawn "
        "like this would have shown at least one with probability of at least {confidence}."
    ),
    "after.none_in_cartons": (
        "{opened} of {cartons} cartons were drawn at random{seed}, and {looked_at} units in them "
        "looked at; none differed. If {odd_cartons} or more of the cartons had been odd throughout "
        "in a way that this check sees (sensitivity {sensitivity}), a sample drawn like this would "
        "have shown it with probability of at least {confidence}. A carton that is odd only in "
        "part may stay unseen."
    ),
    "after.none_in_cartons_excluded": (
        "{opened} of {cartons} cartons were drawn at random{seed}, and {looked_at} units in them "
        "looked at; none differed. With sensitivity {sensitivity} this excludes no number of odd "
        "cartons with probability {confidence}."
    ),
    "after.some_in_cartons": (
        "{looked_at} units in {opened} of {cartons} cartons were looked at. Whole cartons were "
        "drawn, not units: no number of odd units in the lot follows."
    ),
    "after.not_looked_at": (
        "{rest} of the {lot} units were not looked at. Nothing is known about any one of them."
    ),
    "after.not_opened": "{closed} of {cartons} cartons were not opened.",
    "after.open": (
        "{units} of the {lot} units were looked at. {told} were told, and show no conflict; {open} "
        "are open, so nothing is said of the other units yet."
    ),
    "after.chosen": (
        "They were not a random sample of the {lot} units: nothing follows about the others."
    ),
    "after.lacking": (
        "Units on which a required mark was not seen: {lacking}. They are not counted as agreeing; "
        "a person decides on each."
    ),
    "after.untold": (
        "Units that cannot be told: {untold}. They are not counted as agreeing; take the photos "
        "again, or the next units of the draw."
    ),
    "after.set_apart": (
        "Units that a person set apart: {set_apart}. They are not counted as agreeing."
    ),
    "after.at_worst": (
        "If each of these {open} differed, at most {at_most} of the {lot} units would differ, with "
        "{confidence} confidence."
    ),
    "after.process": (
        "With {confidence} confidence, at most {share} of what this source makes like this differs "
        "in a way that this check sees (sensitivity {sensitivity})."
    ),
    "estimate.share": (
        "{flagged} of {looked_at} were flagged. Corrected for sensitivity {sensitivity} and "
        "specificity {specificity}, about {share} differ (from {low} to {high} at {confidence}). "
        "An unconfirmed flag is not a finding: confirm each one."
    ),
    "estimate.no_more": (
        "{flagged} of {looked_at} were flagged: no more flags than false alarms explain. An "
        "unconfirmed flag is not a finding: confirm each one."
    ),
    "caveat": (
        "This says how often such a sample would show such a difference. A copy that prints "
        "everything alike is not seen by it. Not proof of authenticity."
    ),
    # -- the draw
    "draw.rule": (
        "Units in ascending order of SHA-256 of the UTF-8 text seed|unit; the first {n} are drawn. "
        "For a unit that is missing or cannot be read, take the next in this order and write down "
        "why. One draw, one result: a further draw is added, never put in its place."
    ),
    "draw.rule_lots": (
        "The sample is spread over the lots in proportion to their size, at least one from each; "
        "within a lot, units in ascending order of SHA-256 of the UTF-8 text seed|unit. {n} are "
        "drawn. For a unit that is missing or cannot be read, take the next of its lot and write "
        "down why. One draw, one result."
    ),
    "draw.rule_cartons": (
        "Cartons in ascending order of SHA-256 of the UTF-8 text seed|carton, the first {cartons} "
        "opened; within each, {per_carton} units in ascending order of SHA-256 of seed|unit. {n} "
        "are drawn. For a unit that is missing or cannot be read, take the next of its carton and "
        "write down why. One draw, one result."
    ),
    # -- the curve
    "curve.title_discovery": "Chance that {n} of {lot} units show nothing",
    "curve.title_plan": "Chance that a lot of {lot} is within the plan {n}, {accept}/{reject}",
    "curve.desc": (
        "The line falls from {first} with no odd unit to {half_chance} with {half} odd units "
        "({half_share}) and {tenth_chance} with {tenth} odd units ({tenth_share})."
    ),
    "curve.axis_x": "odd units in the lot",
    "curve.axis_y_discovery": "chance that none is noticed",
    "curve.axis_y_plan": "chance of at most {accept} faults",
    "curve.mark": "{odd} odd: {chance}",
    # -- bad input: what is wrong and what to change
    "bad.number": "{name} is “{value}”, which is not a number. Write it as 0.05 or as 5 %.",
    "bad.negative": "{name} is {value}. It cannot be negative: give a number above 0.",
    "bad.lot": "The lot is {value}. Give the number of units in it, from 1 to {largest}.",
    "bad.lot_for_plan": (
        "The lot is {value}. The code letters begin at a lot of 2: look at the one unit there is."
    ),
    "bad.share": (
        "The odd share is {value}. Give the smallest share you want to notice, above 0 and at most "
        "1, such as 0.01 or 1 %."
    ),
    "bad.confidence": (
        "The confidence is {value}. Give one above 0 and below 1, such as 0.95: no sample short of "
        "every unit gives certainty."
    ),
    "bad.sensitivity": (
        "The sensitivity is {value}. Give the share of odd units that this check notices, above 0 "
        "and at most 1, such as 0.95."
    ),
    "bad.specificity": (
        "The specificity is {value}. Give the share of agreeing units that this check leaves "
        "alone, above 0 and at most 1, such as 0.99."
    ),
    "bad.odd": (
        "The number of odd units is {value}. Give at least 1 and at most the {lot} units of the "
        "lot."
    ),
    "bad.odd_both": "Give either the odd share or the number of odd units, not both.",
    "bad.odd_neither": "Give the odd share (such as 0.01) or the number of odd units (such as 40).",
    "bad.none_looked_at": "No unit was looked at. Look at one or more first; {value} is too few.",
    "bad.sample_over_lot": (
        "The sample is {value}, the lot only {lot}. Look at {lot} or fewer, or correct the lot."
    ),
    "bad.looked_at": (
        "{value} units looked at. Give the number of units that were looked at one by one, at most "
        "{largest}."
    ),
    "bad.differed": (
        "{value} differed of {looked_at} looked at. Give a number from 0 to {looked_at}."
    ),
    "bad.open": (
        "{value} units lack a mark, cannot be told or were set apart, but only {left} of the lot "
        "are left beside those looked at and told. Count each unit once."
    ),
    "bad.count": "A number of units is {value}. Give 0 or more.",
    "bad.accept": (
        "The acceptance number is {value} for a sample of {n}. Give one from 0 to {most}."
    ),
    "bad.level": "The inspection level is “{value}”. Use one of {allowed}.",
    "bad.inspection": "The inspection is “{value}”. Use one of {allowed}.",
    "bad.letter": "The code letter is “{value}”. Use one of {allowed}.",
    "bad.aql": "The AQL is “{value}”. Use one of {allowed}.",
    "bad.aql_over_10": (
        "The AQL is {value}. Above 10 an AQL counts nonconformities per hundred units, not odd "
        "units: use 10 or less."
    ),
    "bad.cartons": "The number of cartons is {value}. Give at least 1.",
    "bad.per_carton": "A carton holds {value} units. Give at least 1.",
    "bad.cartons_over_lot": (
        "{value} cartons for a lot of {lot} units. Give at most one carton for each unit."
    ),
    "bad.odd_cartons": "The number of odd cartons is {value}. Give a number from 1 to {cartons}.",
    "bad.opened": "The number of cartons opened is {value}. Give a number from 1 to {cartons}.",
    "bad.design": "The design is “{value}”. Use one of {allowed}.",
    "bad.design_cartons": (
        "A sample drawn by carton needs the number of cartons and of those opened: give both."
    ),
    "bad.opened_over_looked": (
        "{value} cartons opened for {looked_at} units looked at. Count only cartons in which a "
        "unit was looked at."
    ),
    "bad.opened_lone": "Give both the cartons opened and how many there are, or neither.",
    "bad.odd_inside": (
        "{value} odd units in a carton of {per_carton}. Give a number from 1 to {per_carton}."
    ),
    "bad.looked_in_carton": (
        "{value} units looked at in a carton of {per_carton}. Give a number from 1 to {per_carton}."
    ),
    "bad.no_information": (
        "Sensitivity {sensitivity} and specificity {specificity} add up to 1 or less: such a check "
        "tells nothing. Measure it again, or use the confirmed number of odd units instead."
    ),
    "bad.seed": (
        "The seed is empty. Make one in public after the list is fixed, such as the consignment "
        "number and ten dice."
    ),
    "bad.seed_letters": (
        "The seed holds a line break or a sign that cannot be printed. Use letters, digits, spaces "
        "and the like, so that it can be copied by hand."
    ),
    "bad.no_units": "The list of units is empty. Name every unit once, as C001..C100/U01..U40.",
    "bad.blank_unit": (
        "Line {line} of the list of units is “{value}”. Remove blank names and the spaces and line "
        "breaks around names."
    ),
    "bad.double_unit": "{value} is twice in the list of units. Name every unit once.",
    "bad.too_many_units": (
        "The list names {value} units, more than {largest}. Draw cartons first, then units within "
        "those opened."
    ),
    "bad.draw_n": "The draw is for {value}, the list has {units}. Give a number from 1 to {units}.",
    "bad.reserve": "The reserve is {value}. Give 0 or more.",
    "bad.range": (
        "“{value}” is not a range of names. Write the same letters and rising numbers on both "
        "sides, such as C001..C100."
    ),
    "bad.unit_without_parent": (
        "{value} does not say which {parent} it is in. Name units as {example}, or draw without "
        "regard to {parent}s."
    ),
    "bad.draw_n_missing": "Say how many units to draw, or how many cartons and units in each.",
    "bad.draw_carton_half": "Give both the cartons to open and the units in each, or neither.",
    "bad.draw_kind": (
        "A draw by carton has its own number of units: leave out the number to draw and the lots."
    ),
    "bad.carton_short": (
        "{carton} holds too few units: {value} where {per_carton} are wanted. Ask for {value} or "
        "fewer in each, or correct the list."
    ),
    "bad.draw_cartons": (
        "{value} cartons are to be opened of {cartons} in the list. Give a number from 1 to "
        "{cartons}."
    ),
    "bad.file": (
        "The list of units {value} cannot be read. Give a text file, one unit a line, "
        "or names such as C001..C100."
    ),
}

LANGUAGES: Mapping[str, Mapping[str, str]] = {"en": ENGLISH}


def say(key: str, values: Mapping[str, Value] | None = None, language: str = "en") -> str:
    """The sentence `key` with `values` filled in; whole numbers get thousands separators.

    A key or value that is missing raises KeyError: that is a mistake in the program, not in the
    input.
    """
    shown = {name: _shown(value) for name, value in (values or {}).items()}
    return LANGUAGES[language][key].format_map(shown)


def _shown(value: Value) -> str:
    return f"{value:,}" if isinstance(value, int) else str(value)
