"""The rooms: what each loses, and what its emitters give."""

from .heated import HeatedRoom
from .losses import RoomLosses, work_out_rooms
from .outputs import heated_rooms, room_results

__all__ = ["HeatedRoom", "RoomLosses", "heated_rooms", "room_results", "work_out_rooms"]
