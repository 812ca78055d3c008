"""The example document that lies in the package: what the demo makes on one day, without the pictures.

Run `python -m tests.golden.write_example` after a change of the demo house.
"""

from __future__ import annotations

from wattwalk.cli import EXAMPLE
from wattwalk.demo.house import house
from wattwalk.terminal import as_text


def written() -> bytes:
    """Return the example document as a file."""
    return as_text(house())


if __name__ == "__main__":
    EXAMPLE.write_bytes(written())
