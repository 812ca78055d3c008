"""Set up a checkout: `python3 backend/tools/set_up.py run|test|mutants|lock`, for running, for testing, for testing the tests or for writing the locks.

It needs nothing but a Python and, when something is missing, Debian's `apt-get`. Each step leaves a stamp under
`.venv/.stamps` with the fingerprint of what it was made from, so a second run does only what has changed.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LOCKS = ROOT / "backend" / "locks"
PACKAGE = ROOT / "backend" / "wattwalk"
PHONE_APP = ROOT / "pwa"
VENV = ROOT / ".venv"
VENV_BIN = VENV / "bin"
STAMPS = VENV / ".stamps"

OLDEST_PYTHON = (3, 11)
PACKAGES_FOR_THE_REPORT = ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0")
SYSTEM_PACKAGES = {
    "run": PACKAGES_FOR_THE_REPORT,
    # libatomic1 is for the driver that Playwright brings along.
    "test": (*PACKAGES_FOR_THE_REPORT, "chromium", "libatomic1", "postgresql", "poppler-utils"),
    "lock": (),
}
SYSTEM_PACKAGES["mutants"] = SYSTEM_PACKAGES["test"]  # mutants are tried on the tests

# The phone app's forms come from the record declarations and its offline results from the engine.
# The sample house is what the build tries the packed engine on.
PHONE_APP_IS_MADE_FROM = (
    "__init__.py",
    "version.py",
    "answer.py",
    "survey",
    "engine",
    "offers",
    "pictures",
    "catalogue",
    "demo/house.py",
    "demo/works.py",
    "unit_list.py",
    "cli.py",
    "terminal.py",
)
ANSWER_TYPES = ROOT / "backend" / "tools" / "answer_types.py"
PHONE_APP_LEAVES_OUT = {"node_modules", "dist", "generated"}


#: Without a network each tool would try for minutes without a word.
PIP_PATIENCE = ("--retries", "1", "--timeout", "15")
NPM_PATIENCE = (
    "--fetch-retries=1",
    "--fetch-timeout=30000",
    "--fetch-retry-mintimeout=1000",
    "--fetch-retry-maxtimeout=5000",
)
APT_PATIENCE = ("-o", "Acquire::Retries=1", "-o", "Acquire::http::Timeout=15", "-o", "Acquire::https::Timeout=15")


class SetUpError(Exception):
    """Set-up cannot go on; the message says what to do."""


def main(arguments: list[str]) -> int:
    """Set up for the purpose named on the command line; return the exit status."""
    if len(arguments) != 1 or arguments[0] not in SYSTEM_PACKAGES:
        print("usage: set_up.py run|test|mutants|lock", file=sys.stderr)
        return 2
    purpose = arguments[0]
    try:
        with only_one_set_up():
            install_system_packages(SYSTEM_PACKAGES[purpose] + packages_for_the_virtual_environment())
            make_virtual_environment()
            find_or_install_node()
            if purpose == "lock":
                return 0
            side_by_side(
                lambda: install_python_packages("run" if purpose == "run" else "test"), install_phone_app_packages
            )
            if purpose == "mutants":
                install_packages_for_mutants()
            build_phone_app()
    except SetUpError as error:
        print(f"set-up: {error}", file=sys.stderr)
        return 1
    except subprocess.CalledProcessError as error:
        print(f"set-up: `{' '.join(map(str, error.cmd))}` ended with status {error.returncode}.", file=sys.stderr)
        return 1
    return 0


class only_one_set_up:
    """Hold the checkout while setting up, so that two at once do not spoil each other's files."""

    def __enter__(self) -> None:
        self._folder = os.open(ROOT, os.O_RDONLY)
        try:
            fcntl.flock(self._folder, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("waiting for another set-up of this checkout")
            fcntl.flock(self._folder, fcntl.LOCK_EX)

    def __exit__(self, *_: object) -> None:
        os.close(self._folder)


def side_by_side(*steps: Callable[[], None]) -> None:
    """Take steps that do not touch each other's files at once; when all have ended, the first failure is raised."""
    with ThreadPoolExecutor(len(steps)) as pool:
        begun = [pool.submit(step) for step in steps]
    for each in begun:
        each.result()


def install_system_packages(names: tuple[str, ...]) -> None:
    """Install the Debian packages that are missing; ask for the index only when one is."""
    if not names:
        return
    if not shutil.which("dpkg-query"):
        say(f"this is not a Debian machine, so see to it that it has the like of: {' '.join(names)}")
        return
    missing = [name for name in names if not has_debian_package(name)]
    if not missing:
        return
    say(f"installing system packages: {' '.join(missing)}")
    as_root: list[str] = []
    if os.geteuid() != 0:
        if not shutil.which("sudo"):
            raise SetUpError(
                f"run this as root, then try again: apt-get install --no-install-recommends {' '.join(missing)}"
            )
        as_root = ["sudo"]
    apt = [*as_root, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-qq", "-o", "Dpkg::Use-Pty=0"]
    # The index may be old and still do; what is not to be had is said by the second one.
    subprocess.run([*apt, *APT_PATIENCE, "update"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    fetch("the system packages", [*apt, *APT_PATIENCE, "install", "-y", "--no-install-recommends", *missing])


def has_debian_package(name: str) -> bool:
    """Return whether the Debian package is installed."""
    answer = subprocess.run(["dpkg-query", "-W", "-f=${db:Status-Status}", name], capture_output=True, text=True)
    return answer.returncode == 0 and answer.stdout == "installed"


def packages_for_the_virtual_environment() -> tuple[str, ...]:
    """Return what Debian keeps apart from Python and a virtual environment needs, if it is needed and not there."""
    if has_virtual_environment() or works([newest_enough_python(), "-c", "import ensurepip, venv"]):
        return ()
    return ("python3-venv",)


def make_virtual_environment() -> None:
    """Make `.venv`, or make it anew when the Python it was made from has gone."""
    if not has_virtual_environment():
        say("making .venv")
        run([newest_enough_python(), "-m", "venv", "--clear", VENV])


def has_virtual_environment() -> bool:
    """Return whether `.venv` is there and its Python and pip still work."""
    return works([VENV_BIN / "python", "-c", "import pip"])


def newest_enough_python() -> str:
    """Return the Python to use: the one running this, or else another on the path that is new enough."""
    if sys.version_info[:2] >= OLDEST_PYTHON:
        return sys.executable
    for minor in range(11, 15):
        found = shutil.which(f"python3.{minor}")
        if found:
            return found
    raise SetUpError(f"Python 3.11 or newer is needed; python3 is {sys.version.split()[0]}.")


def install_python_packages(lock: str) -> None:
    """Install the pinned packages of one lock, and the project itself as an editable install."""
    made_from = [LOCKS / "build.txt", LOCKS / f"{lock}.txt", ROOT / "pyproject.toml"]
    # The test lock holds all of the run lock.
    if is_done("python-test", fingerprint([LOCKS / "build.txt", LOCKS / "test.txt", ROOT / "pyproject.toml"])):
        return
    mark = fingerprint(made_from)
    if is_done(f"python-{lock}", mark):
        return
    say(f"installing Python packages (backend/locks/{lock}.txt), about a minute")
    pip = [VENV_BIN / "python", "-m", "pip", "install", "-q", "--disable-pip-version-check"]
    # The build tools come first and from their lock: an isolated build would fetch its own, unpinned.
    fetch("the Python packages", [*pip, *PIP_PATIENCE, "--require-hashes", "-r", LOCKS / "build.txt"])
    fetch(
        "the Python packages",
        [*pip, *PIP_PATIENCE, "--require-hashes", "--no-build-isolation", "--use-pep517", "-r", LOCKS / f"{lock}.txt"],
    )
    run([*pip, "--no-deps", "--no-build-isolation", "-e", ROOT])
    mark_done(f"python-{lock}", mark)


def install_packages_for_mutants() -> None:
    """Install what draws the mutants, beside what the tests need."""
    lock = LOCKS / "mutants.txt"
    mark = fingerprint([lock])
    if is_done("mutants", mark):
        return
    say("installing Python packages (backend/locks/mutants.txt)")
    pip = [VENV_BIN / "python", "-m", "pip", "install", "-q", "--disable-pip-version-check"]
    run([*pip, "--require-hashes", "--no-build-isolation", "--use-pep517", "-r", lock])
    mark_done("mutants", mark)


def find_or_install_node() -> None:
    """Use the machine's Node.js when it is new enough, or else put one into `.venv`, which the tools look in first."""
    lock = LOCKS / "node.txt"
    mark = fingerprint([lock])
    if is_done("node", mark) and (VENV_BIN / "node").exists():
        return
    if shutil.which("npm") and node_is_new_enough():
        return
    say("installing Node.js into .venv")
    fetch(
        "Node.js",
        [
            VENV_BIN / "python",
            "-m",
            "pip",
            "install",
            "-q",
            "--disable-pip-version-check",
            *PIP_PATIENCE,
            "--require-hashes",
            "-r",
            lock,
        ],
    )
    mark_done("node", mark)


def node_is_new_enough() -> bool:
    """Return whether the machine's own `node` can build the phone app (20.19 or newer, 21 and early 22 left out)."""
    try:
        answer = subprocess.run(["node", "--version"], capture_output=True, text=True)
    except FileNotFoundError:
        return False
    match = re.fullmatch(r"v(\d+)\.(\d+)\.\d+", answer.stdout.strip())
    if not match:
        return False
    major, minor = int(match[1]), int(match[2])
    return (major == 20 and minor >= 19) or (major == 22 and minor >= 12) or major >= 23


def install_phone_app_packages() -> None:
    """Run `npm ci` when the phone app's lock has changed."""
    mark = fingerprint([PHONE_APP / "package.json", PHONE_APP / "package-lock.json", PHONE_APP / ".npmrc"])
    if is_done("npm", mark) and (PHONE_APP / "node_modules" / ".package-lock.json").exists():
        return
    say("installing the phone app's packages")
    fetch(
        "the phone app's packages",
        ["npm", "ci", "--loglevel=error", "--no-fund", "--no-audit", *NPM_PATIENCE],
        cwd=PHONE_APP,
        env=environment_with_node(),
    )
    mark_done("npm", mark)


def build_phone_app() -> None:
    """Derive the form model and the types of the answer from the package, and build the phone app, when either has changed."""
    mark = fingerprint(phone_app_sources(), extra=(STAMPS / "npm").read_text())
    if is_done("pwa", mark) and (PHONE_APP / "dist" / "index.html").exists():
        return
    say("building the phone app")
    model = PHONE_APP / "src" / "generated" / "model.json"
    model.parent.mkdir(parents=True, exist_ok=True)
    run([VENV_BIN / "wattwalk", "model", "--out", model])
    run([VENV_BIN / "python", ANSWER_TYPES, model.with_name("answers.ts")])
    model.with_name("version.ts").write_text(name_of_phone_app(mark))
    run_quietly(["npm", "run", "--silent", "build"], cwd=PHONE_APP, env=environment_with_node())
    mark_done("pwa", mark)


def name_of_phone_app(mark: str) -> str:
    """Return the module that tells the phone app its name: the release, and a digest of what it is made from.

    It need not be made anew with each commit, as the program's own version would want.
    """
    release = re.search(r'^RELEASE = "([^"]+)"$', (PACKAGE / "version.py").read_text(), re.MULTILINE)
    if release is None:
        raise SetUpError("backend/wattwalk/version.py does not say which release this is.")
    return f"export const APP_VERSION = '{release[1]}+p{mark[:10]}';\n"


def phone_app_sources() -> list[Path]:
    """Return every file the built phone app depends on."""
    found: list[Path] = [ANSWER_TYPES]
    for folder, subfolders, names in os.walk(PHONE_APP):
        subfolders[:] = [name for name in subfolders if name not in PHONE_APP_LEAVES_OUT]
        found.extend(Path(folder, name) for name in names)
    for name in PHONE_APP_IS_MADE_FROM:
        path = PACKAGE / name
        found.extend([path] if path.is_file() else (each for each in path.rglob("*") if each.suffix in {".py", ".csv"}))
    return found


def environment_with_node() -> dict[str, str]:
    """Return the environment with `.venv/bin` first on the path and all else, certificates among it, as it is."""
    return {**os.environ, "PATH": f"{VENV_BIN}{os.pathsep}{os.environ.get('PATH', os.defpath)}"}


def fingerprint(paths: Iterable[Path], extra: str = "") -> str:
    """Return a hash over the names and the contents of the files."""
    digest = hashlib.sha256(extra.encode())
    for path in sorted(paths):
        digest.update(f"{path.relative_to(ROOT)}\0".encode())
        digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()


def is_done(step: str, mark: str) -> bool:
    """Return whether the step was last done from the very same files."""
    stamp = STAMPS / step
    return stamp.is_file() and stamp.read_text() == mark


def mark_done(step: str, mark: str) -> None:
    """Remember what the step was done from."""
    STAMPS.mkdir(exist_ok=True)
    (STAMPS / step).write_text(mark)


def run(command: list, **options) -> None:  # type: ignore[type-arg]
    """Run a command, letting it speak for itself, and stop when it fails."""
    subprocess.run([str(part) for part in command], check=True, **options)


def fetch(what: str, command: list, **options) -> None:  # type: ignore[type-arg]
    """Run a command that fetches something, and say in words what could not be had and what to do when it fails.

    Raises
    ------
    SetUpError
        When the command fails, with its own last words.
    """
    done = subprocess.run(
        [str(part) for part in command], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **options
    )
    if done.returncode == 0:
        return
    last = [line.strip() for line in done.stdout.splitlines() if line.strip()][-3:]
    raise SetUpError(
        f"{what} could not be fetched. Has this machine a network? It is needed once; what has come stays. Connect it and run the same command "
        "again. Behind a proxy, set https_proxy; with a mirror of your own, tell pip, npm or apt of it. "
        f"`{Path(str(command[0])).name}` said last: {' / '.join(last) or f'nothing, and ended with status {done.returncode}'}"
    )


#: What a program is ended by that stumbles over itself, and not over what it was given.
CRASHES = (signal.SIGSEGV, signal.SIGBUS, signal.SIGABRT, signal.SIGILL)


def run_quietly(command: list, **options) -> None:  # type: ignore[type-arg]
    """Run a command that has much to say, and pass it on only when it fails; one that crashed is run once more, and that is said.

    Node.js 20 was seen to crash once in the middle of a build, and not again in a dozen of the same.
    """
    for is_last in (False, True):
        done = subprocess.run(
            [str(part) for part in command], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **options
        )
        if done.returncode == 0:
            return
        print(done.stdout, file=sys.stderr)
        # A shell tells a signal as 128 and its number.
        has_crashed = done.returncode in {status for crash in CRASHES for status in (-crash, 128 + crash)}
        if is_last or not has_crashed:
            done.check_returncode()
        say(f"`{Path(str(command[0])).name}` crashed (status {done.returncode}); once more")


def works(command: list) -> bool:  # type: ignore[type-arg]
    """Return whether a command can be started and ends well."""
    try:
        return subprocess.run([str(part) for part in command], capture_output=True).returncode == 0
    except OSError:
        return False


def say(text: str) -> None:
    """Tell the person waiting what is being done."""
    print(f"set-up: {text}", flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
