"""What the answers are needed for, and what is spoilt without them."""

from __future__ import annotations

from .fields import Purpose

HEAT_LOSS = Purpose("heat_loss", "Heat loss", "Without it the heat loss of the room cannot be worked out.")
EMITTERS = Purpose("emitters", "Emitters", "Without it nobody can say whether the emitter is enough.")
HOT_WATER = Purpose("hot_water", "Hot water", "Without it the cylinder cannot be chosen.")
SITING = Purpose("siting", "Outdoor unit", "Without it nobody can say whether the unit may stand there.")
BASE = Purpose("base", "Base", "Without it nobody can say whether the base is level and old enough.")
ROUTES = Purpose("routes", "Pipes and cables", "Without it the run cannot be checked or handed to a trade.")
SUPPLY = Purpose("supply", "Electricity supply", "Without it the supply check cannot be made.")
REPORT = Purpose("report", "Report", "Without it the report cannot be addressed and sent.")
PLANT = Purpose("plant", "Unit and hot water", "Without it the unit cannot be compared with what the house needs.")
PRICE = Purpose("price", "Price", "Without it the line cannot be added up.")
WORKS = Purpose("works", "Works by trade", "Without it the trade does not know what is asked of them.")
EVIDENCE = Purpose("evidence", "Photos", "Without it nobody can tell what the photo shows.")

PURPOSES = (HEAT_LOSS, EMITTERS, HOT_WATER, SITING, BASE, ROUTES, SUPPLY, REPORT, PLANT, PRICE, WORKS, EVIDENCE)
