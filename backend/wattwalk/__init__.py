"""Wattwalk: a heating firm's house survey, from the phone to the accepted quote."""

__version__ = "0.1.0"
