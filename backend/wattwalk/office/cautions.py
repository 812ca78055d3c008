"""The words on terms, cancellation and safety that every report carries."""

from __future__ import annotations

#: In plain words; the firm's own terms follow them.
CANCELLATION = (
    (
        "If you agree to this work at home, or by telephone, email or post, you have the right to cancel within 14 days without giving a reason. "
        "The 14 days start the day after the contract is made; for goods bought without fitting, the day after they arrive."
    ),
    "To cancel, tell us so clearly, by letter or email to the address below; you need no form, but one is on the next page. We then pay back what you have paid within 14 days.",
    (
        "If you want the work to start within those 14 days, ask us for that in writing. If you cancel after it has started, you pay for what has been done until then; "
        "once the work is finished as you asked, the right ends."
    ),
    "This is a summary of the Consumer Contracts (Information, Cancellation and Additional Charges) Regulations 2013; the regulations themselves apply.",
)

#: The lines of the form to cancel, each with whether it needs room for several rows.
CANCELLATION_FORM = (
    (
        "I/We [*] hereby give notice that I/We [*] cancel my/our [*] contract of sale of the following goods [*]/for the supply of the following service [*]:",
        True,
    ),
    ("Ordered on [*]/received on [*]:", False),
    ("Name of consumer(s):", False),
    ("Address of consumer(s):", True),
    ("Signature of consumer(s) (only if this form is notified on paper):", False),
    ("Date:", False),
)
CANCELLATION_SOURCE = (
    "After the model cancellation form of the Consumer Contracts (Information, Cancellation and Additional Charges) Regulations 2013, "
    "Schedule 3, Part B; its wording is given from memory."
)

#: (heading, words): what the figures are for, and what only a licensed or competent person may do.
CAUTIONS = (
    (
        "The figures",
        "They are made from what was seen and measured on one visit, and from published tables where nothing could be measured. A competent designer checks them before anything is ordered or fitted. Where a source is marked 'from memory' or 'common practice', check it against the standard itself.",
    ),
    (
        "Local code wins",
        "Where building regulations, planning rules, the network operator or the maker's instructions ask for something else, they apply, not this report.",
    ),
    (
        "Electricity",
        "Work on the supply, the consumer unit and new circuits belongs to a registered electrician. The main fuse and the meter belong to the network operator and the supplier; nobody else opens their seals. Isolate, lock off and prove dead before touching.",
    ),
    (
        "Gas and oil",
        "Only a registered engineer disconnects or caps a gas appliance. With a smell of gas: no switches, open windows, leave, call the emergency line.",
    ),
    (
        "Refrigerant",
        "Only a certified person opens a refrigerant circuit. Propane (R290) burns: nothing that can spark, no opening into the house, no drain and no hollow within the protective zone on the maker's drawing. R32 and others of class A2L burn too, though they are harder to light: keep them out of the house and out of hollows, and hold to the maker's drawing.",
    ),
    (
        "Unvented hot water",
        "Cylinders under mains pressure are fitted by a person qualified for them. Safety valves are never plugged, and their discharge runs to a place where it can hurt nobody.",
    ),
    (
        "Scalding",
        "Hot water is stored hot enough to stay healthy and can scald at the tap. Where small children, elderly or ill people live, mixing valves limit it.",
    ),
    (
        "Structure and weight",
        "A full cylinder or an outdoor unit weighs hundreds of kilograms. Where a floor, wall or roof is in doubt, a structural engineer decides. Do not set a unit on fresh concrete.",
    ),
    ("Lofts and heights", "Step on joists or boards only. Work at height from proper access, never alone."),
    (
        "Lifting",
        "Outdoor units and cylinders are lifted by enough people or with a lifting aid, over a path that was checked first.",
    ),
    (
        "Asbestos",
        "Old boards, flues, floor tiles and coatings can hold asbestos. Do not drill, break or lift what is suspected; have it tested first.",
    ),
)
