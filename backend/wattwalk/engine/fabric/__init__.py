"""What heat leaves through: U-values, areas, what lies beyond."""

from .constructions import Constructions
from .moisture import cold_faces
from .room_loss import RoomWork, add_up
from .uses import with_uses

__all__ = ["Constructions", "RoomWork", "add_up", "cold_faces", "with_uses"]
