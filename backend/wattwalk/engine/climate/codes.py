"""What may be found about the design cold and the weather."""

from ..answers.codes import declare

CODES = declare(
    "rooms",
    postcode_other_nation="The postcode lies in another nation",
    station_far_from_postcode="The weather station is far from the postcode",
    station_by_postcode="The weather station was taken from the postcode",
    percentile_not_held="The 99.6 % figure of the weather station is not held",
    exposed_site="The design cold is not lowered for an exposed house",
    height_unknown="The height of the house above the sea is not known",
    region_not_by_postcode="The climate region does not come from the postcode",
    yearly_mean_unlikely="The yearly mean outside is far from the region’s",
    mean_not_carried_up="The yearly mean is not that of the house's own height",
    no_design_temperature="There is no design temperature outside",
)
