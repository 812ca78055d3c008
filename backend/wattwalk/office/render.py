"""Rendering a report in a process of its own, so that the server goes on answering meanwhile."""

from __future__ import annotations

import pickle
import subprocess
import sys
import threading

from .report_inputs import ReportError, ReportInputs

#: A report keeps one processor busy; more than two at once would slow each other and the server.
_AT_ONCE = threading.BoundedSemaphore(2)
_REFUSED = 3


def render_in_subprocess(inputs: ReportInputs, timeout_s: float = 180) -> bytes:
    """Make a report in another process and return its PDF.

    Parameters
    ----------
    inputs : ReportInputs
        As for :func:`wattwalk.office.report.make_report`; photos are best given as paths.
    timeout_s : float
        Seconds until the process is ended and the report refused.

    Returns
    -------
    bytes
        The PDF, the same as ``make_report`` gives.

    Raises
    ------
    ReportError
        When the report cannot be made, or not in time.
    """
    with _AT_ONCE:
        try:
            done = subprocess.run(
                [sys.executable, "-m", "wattwalk.office.render"], input=pickle.dumps(inputs), capture_output=True, timeout=timeout_s, check=False
            )
        except subprocess.TimeoutExpired as error:
            raise ReportError(f"The report was not ready after {timeout_s:.0f} seconds, so it was stopped.") from error
    if done.returncode == 0 and done.stdout.startswith(b"%PDF-"):
        return done.stdout
    said = done.stderr.decode("utf-8", "replace").strip()
    if done.returncode == _REFUSED:
        raise ReportError(said)
    last = said.splitlines()[-1] if said else "nothing was said"
    raise ReportError(f"The report could not be made (the process ended with {done.returncode}): {last}")


def main() -> int:
    """Read pickled inputs from standard input and write the PDF to standard output."""
    from .report import make_report

    # Only our own parent process writes to this pipe, so what is unpickled is our own.
    inputs = pickle.loads(sys.stdin.buffer.read())
    try:
        made = make_report(inputs)
    except ReportError as error:
        print(error, file=sys.stderr)
        return _REFUSED
    sys.stdout.buffer.write(made)
    return 0


if __name__ == "__main__":
    sys.exit(main())
