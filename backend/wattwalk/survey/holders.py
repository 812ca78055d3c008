"""Whose a record is, and who may see and write what belongs to the firm."""

from __future__ import annotations

#: What holds a record: one survey, or the firm's book, which every phone of the firm has.
SURVEY, FIRM = "survey", "firm"
HOLDERS = (SURVEY, FIRM)

#: What a person is to the firm.
OFFICE, SURVEYOR = "office", "surveyor"
ROLES = {OFFICE: "Office", SURVEYOR: "Surveyor"}
EVERY_ROLE = tuple(ROLES)

#: The field by which a record that a survey takes from the firm's book says so, and its two values.
FIRM_LIST = "firm_list"
IN_LIST, LEFT_LIST = "there", "left"
