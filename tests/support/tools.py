"""The scripts under `backend/tools`, which belong to no package, loaded for a test."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

TOOLS = Path(__file__).resolve().parents[2] / "backend" / "tools"


def load_tool(name: str) -> ModuleType:
    """Return a fresh copy of a script as a module, so that a test may change it as it likes."""
    specification = importlib.util.spec_from_file_location(name, TOOLS / f"{name}.py")
    if specification is None or specification.loader is None:
        raise FileNotFoundError(f"There is no script {name}.py in {TOOLS}.")
    module = importlib.util.module_from_spec(specification)
    # A script that is run finds the others of its folder, and so it does here.
    sys.path.insert(0, str(TOOLS))
    try:
        specification.loader.exec_module(module)
    finally:
        sys.path.remove(str(TOOLS))
    return module
