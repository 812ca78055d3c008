"""The rooms: what each loses, and what its emitters give."""

from .closing import closing_findings, open_rooms
from .heated import HeatedRoom
from .losses import RoomLosses, work_out_rooms
from .outputs import heated_rooms, room_results

__all__ = [
    "HeatedRoom",
    "RoomLosses",
    "closing_findings",
    "heated_rooms",
    "open_rooms",
    "room_results",
    "work_out_rooms",
]
