"""Titles, labels and standing sentences of the record."""

GRAVE, GRAVE_ASKED = "What decides, and what to do", "Critical questions still open"
NO_GRAVE = "Nothing critical or major was found. What is not recorded is a question, not a pass."
CHANGED, CHANGED_HEAD = "Since the visit before", ("number", "thing", "now", "written of it")
BECAME = {"not again": "not looked at again"}
STATES = {"open": "open", "done": "said to be done", "accepted": "accepted by the owner"}
LEDGER = "Ledger: every thing, what was seen of it, and what was in order"
LEDGER_HEAD = ("thing", "recorded", "in order", "findings", "not seen")
AS_TOLD = "As told"  # in order, if what was told is right
CURES = "Cures {numbers}."
LIMITS, LIMITS_HEAD = "Limitations: what was not seen", ("thing", "what", "why")
BY_SURVEYOR = "named by the surveyor"
NOT_RECORDED = "Facts that are not recorded: {left}, listed under {where}."
ALL_SEEN = "Nothing that a rule asks for is left out."
SOURCES, LEGEND = "Sources", "Legend"
CHECK_EDITION = (
    "Published requirements in our words, with how much of each was read. Check the current "
    "editions."
)
PUBLISHED = "Published requirement, in our words: {says}. Sources: {sources}."
SEVERITY = "How grave: {means}."
KNOWN = (
    "How a fact is known: {hows}. What nobody is recorded to have seen or measured counts as told; "
    "what is not recorded is a question, not a pass. In order: by what was looked at. As told: in "
    "order if what was told is right. In part: some of it is told or not seen."
)
NUMBER = (
    "Number of a finding: the mark of its thing in the ledger, then the item of the survey and a "
    "letter. It stays from one visit to the next."
)
MADE_BY = "Made with seaflow {version}."
ANNEX = "Annex: {title}"
SIGNED = ("Surveyor", "Owner or master", "Place and date")
LOOK_AGAIN = "Findings of earlier visits: look again"
HOW_TO_LOOK_AGAIN = "Tick what is so today, and write beside it what you see now."
SEEN_AGAIN = ("still so", "put right")
CHECKLIST = "Checklist for the survey of {boat}"
HOW_TO_TICK = (
    "Tick one box, or write the value with its unit. Bold is the answer that is in order. Where "
    "you could not get at it, tick the last box and write why. What is left empty stays a "
    "question. Type it in with seaflow survey BOAT --ask FILE, which asks in this order."
)
NOT_REACHED = "no access"
