"""Write `backend/locks/*.txt` from `pyproject.toml` and `backend/locks/*.in`; with `--upgrade`, move to the newest of what is not pinned there.

The locks hold versions and hashes only: no registry address and no path of the machine they were made on.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LOCKS = Path("backend", "locks")

# The test lock is resolved under the run lock, so what is tested is what runs.
RESOLUTIONS = {
    "lock": [LOCKS / "lock.in"],
    "build": [LOCKS / "build.in"],
    "run": ["--extra", "server", "pyproject.toml"],
    "test": [
        "--extra",
        "server",
        "--extra",
        "test",
        "-c",
        LOCKS / "run.txt",
        "-c",
        LOCKS / "build.txt",
        "pyproject.toml",
    ],
    "node": [LOCKS / "node.in"],
    "mutants": ["-c", LOCKS / "test.txt", "-c", LOCKS / "build.txt", LOCKS / "mutants.in"],
}
OPTIONS = ["--quiet", "--generate-hashes", "--strip-extras", "--allow-unsafe", "--no-header", "--no-annotate"]
SILENT_ABOUT_THE_MACHINE = ["--no-emit-index-url", "--no-emit-find-links", "--no-emit-trusted-host"]


def main(arguments: list[str]) -> int:
    """Resolve each lock in turn; return the exit status."""
    if arguments not in ([], ["--upgrade"]):
        print("usage: lock.py [--upgrade]", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        python = Path(folder, "bin", "python")
        first = LOCKS / "lock.txt"
        hashed = ["--require-hashes", "-r", first] if (ROOT / first).exists() else ["-r", LOCKS / "lock.in"]
        run([python, "-m", "pip", "install", "-q", *hashed])
        for name, sources in RESOLUTIONS.items():
            print(f"resolving backend/locks/{name}.txt", flush=True)
            output = ["--output-file", LOCKS / f"{name}.txt"]
            run(
                [
                    python,
                    "-m",
                    "piptools",
                    "compile",
                    *OPTIONS,
                    *SILENT_ABOUT_THE_MACHINE,
                    *arguments,
                    *output,
                    *sources,
                ]
            )
    return 0


def run(command: list[object]) -> None:
    """Run a command at the root of the checkout and stop when it fails."""
    subprocess.run([str(part) for part in command], check=True, cwd=ROOT)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
