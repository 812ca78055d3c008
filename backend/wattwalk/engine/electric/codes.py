"""What may be found about the supply and the cables."""

from ..answers.codes import declare

CODES = declare(
    "routes",
    apply_to_network="The network operator has to be asked",
    bus_not_screened="The bus cable is not screened",
    bus_too_few_cores="The bus cable has too few cores",
    cable_fixed_wrongly="The cable’s table has no rating for the way it is fixed",
    cable_not_for_outdoors="The cable is not for outdoors",
    cable_of_three_phases="The cable of a unit of three phases is not sized here",
    cable_too_small="The cable is too small",
    device_too_small="The protective device is too small",
    fewer_bus_cables="There are fewer bus cables than places",
    fewer_supply_cables="There are fewer supply cables than places",
    fuse_too_small="The main fuse is too small for house and unit together",
    load_on_no_phase="A load is on a phase that the house has not got",
    no_bus_cable="There is no bus cable to the outdoor unit",
    no_interlock_cable="There is no cable for the interlock",
    no_sensor_cable="There is no cable for a sensor",
    no_supply_cable="There is no supply cable to the outdoor unit",
    nobody_runs_it="Nobody is named to run the cable",
    notify_network="The network operator has to be told",
    phases_uneven="One phase carries far more than another",
    shares_conduit="The cable lies in the same conduit as mains",
    supply_looped="The supply is looped with a neighbour’s",
    supply_old="The cut-out or meter is old",
    supply_unsafe="The cut-out or meter looks unsafe",
    too_near_mains="The cable runs too near mains",
    unit_needs_three_phases="The unit needs three phases",
    unit_phase_open="The phase of the unit has not been chosen",
    voltage_drop="The cable loses too much voltage",
)
