"""Electricity: the supply, the cables, and who runs them."""

from .runs import assess_cables, signal_findings
from .supply import assess_supply, supply_findings

__all__ = ["assess_cables", "assess_supply", "signal_findings", "supply_findings"]
