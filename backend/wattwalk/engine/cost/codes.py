"""What may be found about a year's running cost."""

from ..answers.codes import declare

CODES = declare(
    "cost",
    dearer_to_run="The heat pump may cost more to run",
    grant_by_table="There is a grant by the table",
    price_not_known="A price of energy is not known",
)
