"""Air that comes in and must be warmed."""

from .ventilation import AirRoom, HouseAir, damp_findings, method_finding

__all__ = ["AirRoom", "HouseAir", "damp_findings", "method_finding"]
