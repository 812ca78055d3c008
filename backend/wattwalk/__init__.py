"""Wattwalk: a heating firm's house survey, from the phone to the accepted quote."""

from __future__ import annotations


def __getattr__(name: str) -> str:
    # Worked out when it is asked for: a checkout asks git, and who only uses the engine need not wait for that.
    if name == "__version__":
        from .version import program_version

        return program_version()
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
